using Roadproof.Plant.Line;

namespace Roadproof.Plant.Faults;

/// <summary>One hidden fault that the checks of a station can show: the readings that it moves, by their id, to a value.</summary>
/// <param name="Readings">Empty for a fault that no check can see.</param>
public sealed record CheckFault(string Id, string Product, IReadOnlyDictionary<string, double> Readings)
{
    /// <summary>Scatter about a moved value beside that about the usual one: what shrinks to a tenth scatters by a tenth.</summary>
    public static double SpreadShare(double moved, double usual) => Math.Min(1, Math.Abs(moved / usual));

    /// <summary>How far the reading that it moves most lies from the usual one, in standard deviations of sound parts; null where they do not scatter, or where nothing moves.</summary>
    public double? SizeSigma(LineRoute route) => route.Steps
        .SelectMany(s => s.Readings ?? [])
        .Where(r => Readings.ContainsKey(r.Id) && r.UsualSpread > 0)
        .Select(r => (double?)(Math.Abs(Readings[r.Id] - r.UsualValue) / r.UsualSpread))
        .Max();
}

/// <summary>The faults that the checks of the cells, and of a line beside its load test, may find.</summary>
/// <remarks>Kinds and directions: common practice, no source; sizes are the demo's own. The last of each cell is one that no check of the plant can see: it is told as such.</remarks>
public static class CheckFaults
{
    /// <summary>Share of a cell's parts that carry a fault.</summary>
    public const double Share = 0.03;

    public static readonly IReadOnlyList<CheckFault> All =
    [
        Of("unbalanced-rotor", "rotor-85", ("unbalance", 9)),
        Of("weak-pole", "rotor-85", ("pole-spread", 7)),
        Of("swapped-poles", "rotor-85", ("pole-order", 2), ("flux-mean", 85.7)),
        Of("over-pressed-bearing", "rotor-85", ("press-end", 0.09), ("press-force", 1620)),
        Of("adhesive-uncured", "rotor-85"),
        // One turn of 72 shorted: the inductance and the answer to a surge tell, the resistance (−1.4 %) hides among sound wire.
        Of("shorted-turn", "stator-85", ("surge-area", 14), ("inductance-imbalance", 8), ("resistance-uv", 108.5), ("resistance-wu", 108.5)),
        Of("bad-crimp", "stator-85", ("crimp-height", 1.85), ("resistance-uv", 120), ("resistance-wu", 120), ("resistance-imbalance", 9)),
        Of("damp-insulation", "stator-85", ("insulation", 20)),
        Of("resin-void", "stator-85"),
        Of("gain-off", "controller-85", ("current-gain", 104)),
        Of("late-cut-off", "controller-85", ("cut-off-voltage", 64)),
        Of("potting-void", "controller-85", ("potting-mass", 48)),
        Of("cracked-capacitor", "controller-85"),
        Of("dim-display", "display-2", ("brightness", 280)),
        Of("dead-button", "display-2", ("button-force", 1.2)),
        Of("weak-seal", "display-2"),
        Of("slow-return", "throttle-1", ("return-time", 0.8)),
        Of("sticking-throttle", "throttle-1", ("hysteresis", 4.5)),
        Of("open-wire-alive", "throttle-1", ("open-wire", 0.9)),
        Of("frayed-cable", "throttle-1"),
        Of("loose-cable", "af-40", ("cable-pull", 45), ("cable-slip", 2.4)),
    ];

    public static IReadOnlyList<CheckFault> Of(string product) => [.. All.Where(f => f.Product == product)];

    static CheckFault Of(string id, string product, params (string Reading, double Value)[] readings) => new(id, product, readings.ToDictionary(r => r.Reading, r => r.Value, StringComparer.Ordinal));
}
