using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Statistics;

/// <summary>A trend that a few wild values do not bend: the median of the slopes between all pairs.</summary>
/// <param name="Interval">95 % interval of the slope from the ranks of the pairwise slopes; null below five points, where no pair of ranks can promise it.</param>
/// <remarks>Source: Sen 1968; interval with Kendall's variance n(n − 1)(2n + 5)/18, Hollander and Wolfe (both from memory; coverage is tested). Assumes independent errors of one
/// distribution, which need not be normal.</remarks>
public sealed record TheilSen(double Slope, Interval? Interval)
{
    const double Confidence = 0.95, NormalQuantile = 1.959964;

    const int FewestForInterval = 5;

    /// <param name="x">Shape [n], at least two values that differ.</param>
    /// <param name="y">Shape [n].</param>
    public static TheilSen Of(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        var slopes = new List<double>(x.Length * (x.Length - 1) / 2);
        for (var i = 0; i < x.Length; i++)
            for (var j = i + 1; j < x.Length; j++)
                if (x[i] != x[j]) slopes.Add((y[j] - y[i]) / (x[j] - x[i]));
        slopes.Sort();
        var (n, pairs) = ((double)x.Length, slopes.Count);
        var middle = (slopes[(pairs - 1) / 2] + slopes[pairs / 2]) / 2;
        if (x.Length < FewestForInterval) return new(middle, null);

        var reach = NormalQuantile * Math.Sqrt(n * (n - 1) * (2 * n + 5) / 18);
        var (lower, upper) = ((int)Math.Floor((pairs - reach) / 2) - 1, (int)Math.Ceiling((pairs + reach) / 2));
        return new(middle, new(slopes[Math.Clamp(lower, 0, pairs - 1)], slopes[Math.Clamp(upper, 0, pairs - 1)], Confidence));
    }
}
