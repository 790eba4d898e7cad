using System.Globalization;

namespace Roadproof.Plant.Line;

/// <summary>Codes and keys of a demo.</summary>
static class Names
{
    const int FirstShell = 1841;

    public static string Key(string place, int count) => string.Create(CultureInfo.InvariantCulture, $"{place}-{count:000000}");

    public static string Shell(int unit) => string.Create(CultureInfo.InvariantCulture, $"SH-{FirstShell + unit:0000000}");

    /// <summary>What another line or cell starts from, by the initials of the part: such as RC-00012 for a rotor core.</summary>
    public static string Shell(LineRoute route, int number)
    {
        var shell = route.Steps.SelectMany(s => s.Parts ?? []).Select(p => route.PartOf(p.Part)).First(p => p.Shell).Id;
        return string.Create(CultureInfo.InvariantCulture, $"{string.Concat(shell.Split('-').Select(word => char.ToUpperInvariant(word[0])))}-{number:00000}");
    }

    public static string Box(string line, int unit) => string.Create(CultureInfo.InvariantCulture, $"B{char.ToUpperInvariant(line[0])}-{unit:000000}");
}
