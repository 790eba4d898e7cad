using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>A channel over one turn of a shaft of the unit: the mean of the turns, and the band in which they lie.</summary>
/// <param name="Shaft">Its name in the unit: rotor, intermediate shaft, output.</param>
/// <param name="PerRotorTurn">Its turns in one turn of the rotor.</param>
/// <param name="SpeedRadPerS">Mean speed of the shaft.</param>
/// <param name="HighestOrder">Of the shaft; what repeats more often in a turn is filtered out.</param>
public sealed record ShaftTurn(string Channel, string Unit, string Shaft, double PerRotorTurn, double FromS, double ToS, double SpeedRadPerS, double HighestOrder, TurnBand Band, IReadOnlyList<string> Warnings)
{
    // As many places as a picture has columns; a turn with fewer samples has fewer places.
    const int MostParts = 720;
    const double ReadableShare = 0.4;

    /// <summary>Below it the scatter of the turns is itself known only to a quarter or worse: 1/√(2·(n − 1)).</summary>
    const int FewTurns = 10;

    /// <param name="shaft">0 is the rotor, k the wheel of stage k, the last one the output.</param>
    /// <param name="fromS">Reads from here on.</param>
    /// <param name="toS">Reads up to here.</param>
    /// <param name="places">In a turn; where its samples are fewer, there are fewer. The most that a picture shows by default.</param>
    /// <exception cref="InputException">No such channel or shaft, no angle, a shaft that stands still, or fewer than two whole turns of it.</exception>
    public static ShaftTurn Of(Capture capture, string channel, DriveUnit unit, int shaft, double? fromS, double? toS, int places = MostParts)
    {
        if (shaft < 0 || shaft > unit.Gears.Count) throw new InputException(new InputError("turn", 0, "shaft", Invariant($"{shaft}"), Invariant($"0 (rotor) to {unit.Gears.Count} (output)")));
        var warnings = new List<string>();
        var rotor = TurningShaft.Find(capture, new(channel) { FromS = fromS, ToS = toS }, unit, warnings);
        var order = NamedOrders.Of(unit).Shaft(shaft);
        var angleRad = shaft == 0 ? rotor.AngleRad : Array.ConvertAll(rotor.AngleRad, a => a * order.PerRotorTurn);
        var turns = (angleRad[^1] - angleRad[0]) / (2 * Math.PI);

        // Never finer than the samples: what lies between them is not known.
        var parts = (int)Math.Clamp(angleRad.Length / Math.Max(turns, 1), 1, places);
        if (parts < 4) throw TooFew(rotor, channel, Invariant($"{angleRad.Length / turns:0.#} samples a turn of the {order.Name}"), "4 at least", "A channel that is sampled faster, or a slower shaft.");
        if (TurnBand.Of(rotor.Samples, angleRad, parts) is not { } band)
            throw TooFew(rotor, channel, Invariant($"{Math.Floor(100 * turns) / 100:0.##} turns of the {order.Name}"), Invariant($"{TurnBand.Fewest} whole turns at least"), "Choose a longer stretch, a faster load point or a shaft nearer to the rotor.");
        if (band.Turns < FewTurns) warnings.Add(Invariant($"Only {band.Turns} turns: the width of their band is itself known to {100 / Math.Sqrt(2.0 * (band.Turns - 1)):0} % only."));
        if (shaft > 0) warnings.Add(Invariant($"Only the rotor has a mark: where the turn of the {order.Name} begins is chance, and another in each run."));
        return new(channel, OrderAnalysis.UnitOf(channel), order.Name, order.PerRotorTurn, rotor.Rows.FromS, rotor.Rows.ToS, turns * 2 * Math.PI / (rotor.Rows.ToS - rotor.Rows.FromS), ReadableShare * parts, band, warnings);
    }

    /// <summary>Channels of a capture that a reading of one channel over the rotor's angle looks at.</summary>
    public static IReadOnlySet<string> Needs(string channel) => new HashSet<string>([channel, .. TurningShaft.UsualAngles], StringComparer.Ordinal);

    static InputException TooFew(TurningShaft rotor, string channel, string found, string expected, string hint) => new(new InputError(rotor.Table.Source, 0, channel, found, expected, hint));
}
