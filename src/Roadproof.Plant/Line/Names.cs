using System.Globalization;
using Roadproof.Engineering.Statistics;

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

/// <summary>The people of the line by their opaque keys; who works where changes every two hours.</summary>
sealed class Crew
{
    const string Letters = "bcdfghjkmnpqrstvwxz";
    static readonly TimeSpan Turn = TimeSpan.FromHours(2);
    readonly string[] _keys;
    readonly DateTimeOffset _from;

    public Crew(ulong seed, int stations, DateTimeOffset from)
    {
        _from = from;
        var noise = new SeededNoise(seed, "crew");
        var keys = new HashSet<string>(StringComparer.Ordinal);
        while (keys.Count < stations + 2) keys.Add($"{Letter(noise)}{Digit(noise)}{Letter(noise)}{Digit(noise)}");
        _keys = [.. keys];
    }

    public string ShiftLead => _keys[0];
    public string GoodsIn => _keys[1];

    public string At(int station, DateTimeOffset now) => _keys[2 + (station + (int)((now - _from) / Turn)) % (_keys.Length - 2)];

    static char Letter(SeededNoise noise) => Letters[(int)(noise.Share() * Letters.Length)];

    static char Digit(SeededNoise noise) => (char)('2' + (int)(noise.Share() * 8));
}
