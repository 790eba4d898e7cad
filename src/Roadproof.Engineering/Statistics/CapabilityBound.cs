namespace Roadproof.Engineering.Statistics;

/// <summary>What an estimated capability proves.</summary>
public static class CapabilityBound
{
    /// <summary>One-sided lower confidence bound of Cpk, for a normal process in control.</summary>
    /// <param name="cpk">As estimated from the sample's mean and standard deviation.</param>
    /// <param name="count">Units measured; 2 or more, trustworthy from about 25.</param>
    /// <remarks>Normal approximation: Cpk·(1 − z·√(1/(9·n·Cpk²) + 1/(2·(n − 1)))). Source: Bissell 1990, Applied Statistics 39(3) (from memory).</remarks>
    public static double Lower(double cpk, int count, double confidence = 0.95)
    {
        if (count < 2) throw new ArgumentOutOfRangeException(nameof(count), count, "A capability needs two units at least.");
        var z = Normal.Quantile(confidence);
        return cpk - z * Math.Sqrt(1 / (9.0 * count) + cpk * cpk / (2.0 * (count - 1)));
    }
}
