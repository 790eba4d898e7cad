using Roadproof.Records.ReadModel;

namespace Roadproof.App.Line;

/// <summary>One place on the drawn line: a station, or several that do the same step side by side and are drawn as a fork.</summary>
/// <param name="Flags">Numbers of the notes that stand here.</param>
public sealed record LineColumn(int Number, IReadOnlyList<StationState> Stations, IReadOnlyList<int> Flags)
{
    public bool IsFork => Stations.Count > 1;

    /// <summary>Every station of a fork sees the same units waiting.</summary>
    public int WaitingAhead => Stations.Max(s => s.WaitingAhead);

    /// <summary>Seconds between units that this place can give: stations side by side share the work. Null before the first unit.</summary>
    public double? BeatS
    {
        get
        {
            var known = Stations.Where(s => s.UsualBeatS is > 0).ToList();
            return known.Count == 0 ? null : 1 / known.Sum(s => 1 / s.UsualBeatS!.Value);
        }
    }

    public string Name => IsFork ? Common(Stations) : Stations[0].Name;

    /// <summary>The line's places from shell to carton, each with the flags of the notes that point there.</summary>
    public static IReadOnlyList<LineColumn> Of(LineView view)
    {
        var at = view.Notes.Select((n, i) => (Number: i + 1, Station: StationOf(n, view))).Where(n => n.Station is not null).ToLookup(n => n.Station, n => n.Number);
        return view.Stations
            .GroupBy(s => s.Step)
            .OrderBy(g => g.First().Number)
            .Select(g => new LineColumn(g.First().Number, [.. g], [.. g.SelectMany(s => at[s.Station]).Order()]))
            .ToList();
    }

    /// <summary>The station a note stands at: named by it, or where its unit is right now.</summary>
    public static string? StationOf(Note note, LineView view) =>
        note.Station is { } named && view.Stations.Any(s => s.Station == named)
            ? named
            : note.Item is { } item ? view.Stations.FirstOrDefault(s => s.Unit == item)?.Station : null;

    static string Common(IReadOnlyList<StationState> stations)
    {
        var words = stations[0].Step.Replace('-', ' ');
        return words.Length == 0 ? stations[0].Name : char.ToUpperInvariant(words[0]) + words[1..];
    }
}
