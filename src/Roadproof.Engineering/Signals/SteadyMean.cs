namespace Roadproof.Engineering.Signals;

/// <summary>A value with its standard uncertainty, in the same unit.</summary>
public readonly record struct Reading(double Value, double StandardUncertainty)
{
    public static readonly Reading None = new(double.NaN, double.NaN);

    /// <summary>The true value is this or more: what is read had not ended when it was last looked at.</summary>
    public bool AtLeast { get; init; }
}

/// <summary>Mean of a steady piece of a signal, and how far chance may have moved it.</summary>
/// <remarks>
/// Neighbouring samples are alike, so the scatter of single samples would promise too much. The piece is cut into at most 20 blocks of equal length; what
/// the block means still scatter about their own straight line gives the uncertainty: u² = Σ residual² / (B − 2) / B. A slow drift is a condition, not noise.
/// Good where the signal forgets within a block. Source: batch means, e.g. Law and Kelton, Simulation Modeling and Analysis (from memory).
/// </remarks>
public static class SteadyMean
{
    const int Blocks = 20;

    /// <summary>How well the uncertainty of a window of 40 samples or more is known: its blocks less the two numbers of their line.</summary>
    public const int DegreesOfFreedom = Blocks - 2;

    /// <param name="samples">Shape [n]; n below 6 gives no uncertainty (NaN).</param>
    public static Reading Of(ReadOnlySpan<float> samples)
    {
        if (samples.Length < 6) return new(samples.Length == 0 ? double.NaN : Moments.MeanOf(samples), double.NaN);

        var blocks = Math.Min(Blocks, samples.Length / 2);
        Span<double> means = stackalloc double[blocks];
        for (var b = 0; b < blocks; b++) means[b] = Moments.MeanOf(samples[(int)((long)samples.Length * b / blocks)..(int)((long)samples.Length * (b + 1) / blocks)]);
        return new(Moments.MeanOf(samples), Uncertainty(means));
    }

    public static Reading Of(ReadOnlySpan<double> samples)
    {
        if (samples.Length < 6) return new(samples.Length == 0 ? double.NaN : Moments.MeanOf(samples), double.NaN);

        var blocks = Math.Min(Blocks, samples.Length / 2);
        Span<double> means = stackalloc double[blocks];
        for (var b = 0; b < blocks; b++) means[b] = Moments.MeanOf(samples[(int)((long)samples.Length * b / blocks)..(int)((long)samples.Length * (b + 1) / blocks)]);
        return new(Moments.MeanOf(samples), Uncertainty(means));
    }

    static double Uncertainty(ReadOnlySpan<double> means)
    {
        var n = means.Length;
        var middle = (n - 1) / 2.0;
        double mean = 0, slope = 0, spread = 0;
        for (var b = 0; b < n; b++) mean += means[b] / n;
        for (var b = 0; b < n; b++)
        {
            slope += (b - middle) * means[b];
            spread += (b - middle) * (b - middle);
        }

        slope /= spread;
        var sum = 0.0;
        for (var b = 0; b < n; b++)
        {
            var residual = means[b] - mean - slope * (b - middle);
            sum += residual * residual;
        }

        return Math.Sqrt(sum / (n - 2) / n);
    }
}
