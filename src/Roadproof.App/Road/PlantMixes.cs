using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Records.Definitions;
using Roadproof.Records.Rides;

namespace Roadproof.App.Road;

/// <summary>The rider mixes that lie beside a plant's definitions, and the kept rides of each one's terrains.</summary>
static class PlantMixes
{
    // What the program brings along; a plant lays its own beside its definitions.
    static readonly string Folder = Path.Combine(Environment.GetEnvironmentVariable("ROADPROOF_DEFINITIONS") ?? Path.Combine(AppContext.BaseDirectory, "demo"), "mixes");

    public static IReadOnlyList<string> Names => Directory.Exists(Folder) ? [.. Directory.EnumerateFiles(Folder, "*.yaml").Order(StringComparer.Ordinal).Select(f => Path.GetFileNameWithoutExtension(f))] : [];

    /// <param name="asked">Name of a mix; null or empty for the first.</param>
    /// <param name="version">Tells a mix that was changed from what it was.</param>
    /// <exception cref="InputException">No such mix, none at all, or one with mistakes.</exception>
    public static RiderMix Read(string? asked, out string version)
    {
        var names = Names;
        if (names.Count == 0) throw new InputException(new InputError("mix", 0, "", "no rider mix beside the definitions", "a YAML file in mixes/"));
        var name = asked is { Length: > 0 } ? asked : names[0];
        if (!names.Contains(name, StringComparer.Ordinal)) throw new InputException(new InputError("mix", 0, "", $"mix '{asked}'", $"one of {string.Join(", ", names)}"));
        var file = Path.Combine(Folder, name + ".yaml");
        version = $"{name} {File.GetLastWriteTimeUtc(file).Ticks.ToString(CultureInfo.InvariantCulture)}";
        return MixFile.Read(Path.GetFileName(file), File.ReadAllText(file));
    }

    /// <summary>Ids of the kept rides with a road, by the mix's terrains.</summary>
    public static Dictionary<string, List<string>> ByTerrain(RiderMix mix, RideStore rides) => rides.All
        .Where(r => r.DistanceM >= 100)
        .Select(r => (r.Id, Terrain: mix.TerrainOf((r.AscentM ?? 0) / (r.DistanceM / 1000))))
        .Where(r => r.Terrain is not null)
        .GroupBy(r => r.Terrain!, r => r.Id, StringComparer.Ordinal)
        .ToDictionary(g => g.Key, g => g.ToList(), StringComparer.Ordinal);

    /// <summary>A kept ride under the name that it came with; null where it is gone.</summary>
    public static Roadproof.Engineering.Formats.Ride? Ride(RideStore rides, string id) => rides.Read(id) is { } ride ? ride with { Name = rides.Find(id)?.Name ?? id } : null;
}
