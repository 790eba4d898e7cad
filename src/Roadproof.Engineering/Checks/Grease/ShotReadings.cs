using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks;

/// <summary>What the pressure of a shot says: how much went through, and whether air went with it.</summary>
/// <remarks>Through a nozzle a power-law fluid flows as p^(1/n) (Rabinowitsch-Mooney, textbook), so the dose is the calibrated flow times ∫(p/p₀)^(1/n) dt. Method: <c>docs/methods/grease.md</c>.</remarks>
public sealed record ShotReadings
{
    const int LeastRows = 12;

    /// <summary>∫(p/p₀)^(1/n) dt over the shot, s: how long a shot at nominal pressure would have lasted.</summary>
    public required Reading NominalS { get; init; }

    /// <summary>Usual pressure while it flows, Pa.</summary>
    public required Reading Plateau { get; init; }

    /// <summary>From a tenth to nine tenths of the plateau, s; air in the supply is pressed together first.</summary>
    public required double RiseS { get; init; }

    /// <summary>From nine tenths back to a tenth, s; air in the supply pushes on. NaN where the record ends before.</summary>
    public required double FallS { get; init; }

    /// <summary>Deepest fall below the plateau while it flows, as a share of it; a bubble in the nozzle resists nothing.</summary>
    public required Reading Dip { get; init; }

    /// <summary>The dip that noise alone reaches, as a share.</summary>
    public required double NoiseDip { get; init; }

    /// <returns>Null where there is no shot: the pressure never stands.</returns>
    public static ShotReadings? From(GreaseShot shot, GreaseTest test)
    {
        var (time, pressure) = (shot.TimeS, shot.GaugePa);
        var noise = RowNoise.Of(pressure);
        var top = pressure.Max();
        var (first, last) = Between(pressure, top / 2);
        if (top <= RowNoise.Reach(pressure.Length) * 2 * noise || last - first + 1 < LeastRows) return null;

        var plateau = RowNoise.Median(pressure.AsSpan(first, last - first + 1));
        if (plateau < top / 2) return null;

        var (start, end) = Between(pressure, 0.1 * plateau);
        var (full, gone) = Between(pressure, 0.9 * plateau);
        var nominalS = 0.0;
        for (var i = Math.Max(1, start); i <= end; i++) nominalS += (Rate(pressure[i], test) + Rate(pressure[i - 1], test)) / 2 * (time[i] - time[i - 1]);

        var lowest = plateau;
        for (var i = full; i <= gone; i++) lowest = Math.Min(lowest, pressure[i]);
        return new()
        {
            NominalS = new(nominalS, nominalS * test.PressureGainShare / test.FlowIndex),
            Plateau = new(plateau, double.Hypot(noise / Math.Sqrt(last - first + 1), test.PressureGainShare * plateau)),
            RiseS = time[full] - time[start],
            FallS = end < pressure.Length - 1 ? time[end] - time[gone] : double.NaN,
            Dip = new((plateau - lowest) / plateau, noise / plateau),
            NoiseDip = noise * RowNoise.Reach(gone - full + 1) / plateau,
        };
    }

    static double Rate(double pa, GreaseTest test) => Math.Pow(Math.Max(0, pa) / test.NominalPa, 1 / test.FlowIndex);

    /// <summary>First and last row at or above an edge.</summary>
    static (int First, int Last) Between(double[] pressure, double edge) => (Array.FindIndex(pressure, p => p >= edge), Array.FindLastIndex(pressure, p => p >= edge));
}
