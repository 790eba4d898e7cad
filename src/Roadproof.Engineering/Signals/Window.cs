using System.Collections.Concurrent;

namespace Roadproof.Engineering.Signals;

/// <summary>A weighting of a block of samples before its spectrum is taken: a sum of cosines over the block.</summary>
/// <remarks>
/// Periodic form w[n] = Σ (−1)ᵏ·a[k]·cos(2π·k·n/N). Hann for a glance, Blackman-Harris where a small line stands beside a large one, flat top where an amplitude
/// between two bins must be right. Source: Heinzel, Rüdiger, Schilling, Spectrum and spectral density estimation by the DFT, 2002 (coefficients from memory; their
/// noise bandwidth and scallop loss are checked against the published table).
/// </remarks>
public sealed record Window
{
    public static readonly Window Rectangular = new("rectangular", 1);
    public static readonly Window Hann = new("hann", 0.5, 0.5);
    public static readonly Window BlackmanHarris = new("blackman-harris", 0.35875, 0.48829, 0.14128, 0.01168);

    /// <summary>HFT90D: an amplitude between two bins is wrong by less than 0.004 dB.</summary>
    public static readonly Window FlatTop = new("flat top", 1, 1.942604, 1.340318, 0.440811, 0.043097);

    static readonly ConcurrentDictionary<(string Name, int Length), double[]> Ready = new();

    /// <summary>Every window that there is.</summary>
    public static readonly IReadOnlyList<Window> All = [Rectangular, Hann, BlackmanHarris, FlatTop];

    readonly double[] coefficients;

    Window(string name, params double[] coefficients) => (Name, this.coefficients) = (name, coefficients);

    public string Name { get; }

    /// <summary>Mean of the weights: what a steady line's amplitude is multiplied by.</summary>
    public double CoherentGain => coefficients[0];

    /// <summary>Width of the rectangle that lets as much white noise through, in bins.</summary>
    public double NoiseBandwidthBins => (Square(coefficients[0]) + coefficients.Skip(1).Sum(Square) / 2) / Square(coefficients[0]);

    /// <summary>The most that a line anywhere between two bins is misread, dB: a flat top waves, so the worst place need not be the middle.</summary>
    public double ScallopLossDb => Enumerable.Range(0, 501).Max(i => Math.Abs(20 * Math.Log10(ResponseAt(i / 1000.0))));

    /// <summary>Half the width of the lobe that a steady line makes, in bins: nothing of it is left there, and two lines nearer than this flow together.</summary>
    public int ReachBins => coefficients.Length;

    /// <summary>The weights of a block, kept for the next one: shared, to be read only.</summary>
    internal ReadOnlySpan<double> Kept(int n) => Ready.GetOrAdd((Name, n), key => Of(key.Length));

    /// <summary>Weights of a block, shape [n].</summary>
    public double[] Of(int n)
    {
        var weights = new double[n];
        for (var i = 0; i < n; i++)
        {
            var sign = 1.0;
            for (var k = 0; k < coefficients.Length; k++, sign = -sign) weights[i] += sign * coefficients[k] * Math.Cos(2 * Math.PI * k * i / n);
        }

        return weights;
    }

    /// <summary>Reading of a line of amplitude 1 that lies <paramref name="offBins"/> beside a bin, for long blocks.</summary>
    public double ResponseAt(double offBins)
    {
        // The alternating signs of the weights and of the block's phase cancel: every term adds.
        var sum = coefficients[0] * Sinc(offBins);
        for (var k = 1; k < coefficients.Length; k++) sum += coefficients[k] / 2 * (Sinc(offBins - k) + Sinc(offBins + k));
        return Math.Abs(sum) / coefficients[0];
    }

    static double Sinc(double x) => x == 0 ? 1 : Math.Sin(Math.PI * x) / (Math.PI * x);

    static double Square(double x) => x * x;
}
