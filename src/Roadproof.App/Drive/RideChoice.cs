using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Rides;

namespace Roadproof.App.Drive;

/// <summary>How many of the kept rides a gear train is ridden over, read strictly.</summary>
/// <param name="Kept">How many the plant keeps; 0 takes the example beside the program.</param>
/// <param name="Asked">A number or <c>all</c>, as it was typed.</param>
/// <param name="Taken">Their ids.</param>
/// <param name="Errors">What was typed and is no such number; else empty.</param>
public sealed record RideChoice(int Kept, string Asked, IReadOnlyList<string> Taken, IReadOnlyList<InputError> Errors)
{
    public const string Name = "rides";
    const string All = "all";

    /// <summary>Without being asked: soon there, and no single week of one rider.</summary>
    const int Usual = 12;

    /// <summary>What the form offers below all of them.</summary>
    static readonly int[] Steps = [3, Usual, 50, 200];

    /// <param name="kept">In the order in which they came.</param>
    /// <param name="asked">What was typed behind a name; null for what was not.</param>
    public static RideChoice Read(IReadOnlyList<RideFacts> kept, Func<string, string?> asked)
    {
        ArgumentNullException.ThrowIfNull(kept);
        ArgumentNullException.ThrowIfNull(asked);
        IReadOnlyList<string> ids = [.. kept.Select(r => r.Id)];
        var typed = asked(Name)?.Trim() is { Length: > 0 } text ? text : kept.Count <= Usual ? All : Number(Usual);
        if (typed == All) return new(kept.Count, typed, ids, []);
        if (int.TryParse(typed, NumberStyles.None, CultureInfo.InvariantCulture, out var number) && number > 0) return new(kept.Count, number >= kept.Count ? All : typed, Spread(ids, number), []);
        return new(kept.Count, typed, [], [new(Name, 0, "", $"'{typed}'", $"a whole number from 1, or {All}")]);
    }

    /// <summary>So many, spread over when they came.</summary>
    public static IReadOnlyList<string> Spread(IReadOnlyList<string> ids, int number) =>
        number >= ids.Count ? ids : [.. Enumerable.Range(0, number).Select(i => ids[number == 1 ? ids.Count / 2 : (int)((long)i * (ids.Count - 1) / (number - 1))])];

    /// <summary>What the form offers: what stands in the address, and its words.</summary>
    public IEnumerable<(string Value, string Words)> Offered => Steps.Where(n => n < Kept).Append(Errors.Count == 0 && Asked != All ? Taken.Count : 0).Where(n => n > 0).Distinct().Order()
        .Select(n => (Number(n), $"{Figure.Of(n, "ride")}{(n == Steps[0] ? ", quick" : ", spread over all")}")).Append((All, $"all {Figure.Count(Kept)} rides"));

    /// <summary>The part of an address behind others; empty where nobody has to choose.</summary>
    public string Query => Kept > Steps[0] ? $"&{Name}={Uri.EscapeDataString(Asked)}" : "";

    /// <summary>In words: so many of them.</summary>
    public string Words(int taken) => Kept == 0 ? "an invented ride over two hills of 200 m; this plant keeps no rides yet"
        : taken == Kept ? $"{(Kept > 1 ? "all " : "")}{Figure.Of(Kept, "ride")} of this plant"
        : $"{Figure.Count(taken)} of {Figure.Of(Kept, "ride")} of this plant";

    static string Number(int number) => number.ToString(CultureInfo.InvariantCulture);
}
