using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Road;

/// <summary>The rider mixes that lie beside a plant's definitions.</summary>
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
}
