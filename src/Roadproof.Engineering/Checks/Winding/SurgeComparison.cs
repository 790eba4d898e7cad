using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks;

/// <summary>A winding's answer to a surge beside a master's, taken at the same instants.</summary>
public sealed record SurgeCurves(double[] TimeS, double[] Volts, double[] MasterVolts);

/// <summary>How a winding's answer to a surge differs from a master's.</summary>
/// <remarks>A shorted turn lowers the inductance: the wave comes faster and dies sooner. Method and cautions: <c>docs/methods/winding.md</c>.</remarks>
public sealed record SurgeComparison
{
    /// <summary>Σ|v − master| / Σ|master|; both waves' noise alone makes <see cref="NoiseAreaShare"/> of it.</summary>
    public required Reading AreaShare { get; init; }
    public required double NoiseAreaShare { get; init; }

    /// <summary>Peak less the master's, as a share: like is compared with like.</summary>
    public required double PeakShare { get; init; }

    /// <summary>Null where a wave does not ring clearly enough to be fitted.</summary>
    public required DampedWave? Wave { get; init; }
    public required DampedWave? Master { get; init; }

    public static SurgeComparison Of(SurgeCurves curves)
    {
        var (volts, master) = (curves.Volts, curves.MasterVolts);
        double difference = 0, area = 0, peak = 0, masterPeak = 0;
        for (var i = 0; i < volts.Length; i++)
        {
            difference += Math.Abs(volts[i] - master[i]);
            area += Math.Abs(master[i]);
            (peak, masterPeak) = (Math.Max(peak, Math.Abs(volts[i])), Math.Max(masterPeak, Math.Abs(master[i])));
        }

        // |N(0, s²)| has the mean s·√(2/π) and the variance s²·(1 − 2/π).
        var noise = double.Hypot(RowNoise.Of(volts), RowNoise.Of(master));
        var (floor, random) = (noise * Math.Sqrt(2 / Math.PI) * volts.Length / area, noise * Math.Sqrt((1 - 2 / Math.PI) * volts.Length) / area);
        return new()
        {
            AreaShare = new(difference / area, double.Hypot(random, floor / Math.Sqrt(3))),
            NoiseAreaShare = floor,
            PeakShare = peak / masterPeak - 1,
            Wave = DampedWave.Of(curves.TimeS, volts),
            Master = DampedWave.Of(curves.TimeS, master),
        };
    }
}
