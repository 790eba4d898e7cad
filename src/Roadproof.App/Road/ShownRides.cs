using Roadproof.Records.Definitions;
using Roadproof.Records.Rides;

namespace Roadproof.App.Road;

/// <summary>Profiles of the rides that somebody looks at: a page that stays open asks for its own again and again.</summary>
public sealed class ShownRides(RideStore rides)
{
    const int Remembered = 16;

    readonly Lock one = new();
    readonly LinkedList<(string Key, Lazy<(RideProfile? Profile, string? Failed)> Shown)> recent = new();

    /// <returns>Null where no such ride is kept; else its profile, or why it tells no load.</returns>
    public (RideProfile? Profile, string? Failed)? Of(string ride, RouteRevision revision, RoadSettings settings)
    {
        if (rides.Find(ride) is null) return null;
        var key = $"{ride}/{revision.Id}?{settings.Query}";
        Lazy<(RideProfile?, string?)> shown;
        lock (one)
        {
            var found = recent.First;
            while (found is not null && found.Value.Key != key) found = found.Next;
            if (found is not null) recent.Remove(found);
            found ??= new((key, new(() => Work(ride, revision, settings))));
            recent.AddFirst(found);
            if (recent.Count > Remembered) recent.RemoveLast();
            shown = found.Value.Shown;
        }

        return shown.Value;
    }

    (RideProfile?, string?) Work(string id, RouteRevision revision, RoadSettings settings)
    {
        if (rides.Read(id) is not { } ride) return (null, "It was let go of.");
        var onUnit = new RideOnUnit(revision.LoadTest.Unit, settings);
        var (figures, spectrum, on) = onUnit.Count(id, ride, CancellationToken.None);
        return on is null ? (null, figures.Failed) : (RideProfile.Of(figures, spectrum, ride, on, settings.Day.Battery), null);
    }
}
