namespace Roadproof.Engineering.CycleDesign;

/// <summary>A gearbox behind the motor's own stages, which shifts: it stands between the unit's output and the chainring, and the rider's crank does not go through it.</summary>
/// <remarks>It takes the gear that keeps the rotor nearest to a speed. The time without torque while it shifts is left out, and so is the life of its own teeth.</remarks>
public sealed record ShiftingTransmission
{
    /// <summary>It shifts when the rotor is this share away from its speed (common practice for a rider who shifts, no source).</summary>
    public const double FeelsRight = 0.15;

    public required IReadOnlyList<TransmissionGear> Gears { get; init; }

    /// <summary>Speed of the rotor that it shifts towards.</summary>
    public required double RotorRadPerS { get; init; }

    /// <summary>What it weighs; null where nobody said, and then it is not in any mass.</summary>
    public double? MassKg { get; init; }

    /// <summary>The gear of each second.</summary>
    /// <param name="chainringRadPerS">0 where nobody pedals: the gear stays.</param>
    /// <param name="ratio">Rotor turns per turn of the unit's output.</param>
    public int[] GearsOver(ReadOnlySpan<double> chainringRadPerS, double ratio)
    {
        var gears = new int[chainringRadPerS.Length];
        int? gear = null;
        for (var i = 0; i < gears.Length; i++)
        {
            if (chainringRadPerS[i] > 0) gear = Next(gear, chainringRadPerS[i] * ratio);
            gears[i] = gear ?? 0;
        }

        return gears;
    }

    /// <summary>The gear at a steady speed.</summary>
    /// <param name="rotorIfDirectRadPerS">What the rotor would turn at 1 : 1.</param>
    public int Nearest(double rotorIfDirectRadPerS)
    {
        var (nearest, least) = (0, double.PositiveInfinity);
        for (var g = 0; g < Gears.Count; g++)
        {
            var away = Math.Abs(Math.Log(rotorIfDirectRadPerS * Gears[g].Ratio / RotorRadPerS));
            if (away < least) (nearest, least) = (g, away);
        }

        return nearest;
    }

    int Next(int? gear, double rotorIfDirectRadPerS) =>
        gear is { } kept && Math.Abs(rotorIfDirectRadPerS * Gears[kept].Ratio / RotorRadPerS - 1) <= FeelsRight ? kept : Nearest(rotorIfDirectRadPerS);
}

/// <summary>A gear of a <see cref="ShiftingTransmission"/>.</summary>
public sealed record TransmissionGear
{
    /// <summary>Turns of the unit's output for one turn of the chainring.</summary>
    public required double Ratio { get; init; }

    /// <summary>Share of the power that comes through.</summary>
    public required double Efficiency { get; init; }
}
