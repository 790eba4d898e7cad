using System.Collections.Concurrent;
using Roadproof.App.Road;
using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.App.Drive;

/// <summary>Rides of a study, read one by one as often as they are gone through; what is no ride is left out and remembered.</summary>
/// <param name="read">Gives the ride of a file's name; without, the file itself is read.</param>
sealed class StudiedRides(IReadOnlyList<string> files, IReadOnlyList<(string Name, Rider Rider)> riders, DriveUnit unit, Func<string, Ride>? read = null)
{
    readonly ConcurrentDictionary<string, IReadOnlyList<InputError>> refused = new(StringComparer.Ordinal);

    public int Count => files.Count * riders.Count;

    public IReadOnlyList<string> Files => files;

    public IReadOnlyList<string> Riders => [.. riders.Select(r => r.Name)];

    /// <summary>Files that were no rides, or rides without a way, with what is wrong.</summary>
    public IReadOnlyDictionary<string, IReadOnlyList<InputError>> Refused => refused;

    /// <summary>Each ride with each rider on it.</summary>
    public IEnumerable<RiddenLoad> All() => files.Where(f => !refused.ContainsKey(f)).SelectMany(OfFile);

    IEnumerable<RiddenLoad> OfFile(string file)
    {
        try
        {
            var ride = (read ?? FromFile)(file);
            List<RiddenLoad> loads = [];
            foreach (var (name, rider) in riders)
            {
                var load = RoadLoad.Run(ride, rider, unit);
                if (!load.HasRoad || !(load.Summary.DistanceM > 0)) throw new InputException(new InputError(file, 0, "", "a ride without a way", "positions, distance or speed", "A life is told per kilometre."));
                loads.Add(new(name, rider, load));
            }

            return loads;
        }
        catch (InputException e)
        {
            refused[file] = e.Errors;
            return [];
        }
    }
    static Ride FromFile(string file)
    {
        using var stream = RideFiles.Open(file);
        return RideFile.Read(file, stream);
    }
}
