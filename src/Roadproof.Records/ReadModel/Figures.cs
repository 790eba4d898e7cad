using System.Globalization;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Records.ReadModel;

/// <summary>The little arithmetic of the pages.</summary>
public static class Figures
{
    /// <summary>Null where there is nothing to take the middle of.</summary>
    public static double? Median(IEnumerable<double> values)
    {
        var sorted = values.Order().ToArray();
        return sorted.Length == 0 ? null : sorted.Length % 2 == 1 ? sorted[sorted.Length / 2] : (sorted[sorted.Length / 2 - 1] + sorted[sorted.Length / 2]) / 2;
    }

    /// <summary>95 % interval of a share, by Wilson's score: keeps within 0 and 1 and holds for small counts and shares near 1, where the usual ± does not.</summary>
    /// <remarks>Source: E. B. Wilson, JASA 22 (1927) 209–212, eq. for the score interval without continuity correction (from memory).</remarks>
    public static (double Lower, double Upper) ShareInterval(int hits, int of)
    {
        var z = Normal.Quantile(0.975);
        var share = (double)hits / of;
        var widened = 1 + z * z / of;
        var centre = (share + z * z / (2 * of)) / widened;
        var half = z / widened * Math.Sqrt(share * (1 - share) / of + z * z / (4.0 * of * of));
        return (Math.Max(0, centre - half), Math.Min(1, centre + half));
    }

    public static string Count(long number) => number.ToString(CultureInfo.InvariantCulture);

    /// <summary>"1 unit", "3 units".</summary>
    public static string Of(long number, string one) => $"{Count(number)} {one}{(number == 1 ? "" : "s")}";
}
