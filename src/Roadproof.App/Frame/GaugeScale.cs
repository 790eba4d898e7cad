using Roadproof.Engineering.Judging;

namespace Roadproof.App.Frame;

/// <summary>Where a value stands on a limit gauge, in per cent of its width.</summary>
/// <remarks>
/// Every gauge of a table has its two ends at the same places, 24 % and 76 %, so that a value which leaves them is seen before it is read.
/// Where only one edge exists, the other end is a plain end of the scale: zero for quantities that cannot be negative, else as far as the reading needs.
/// </remarks>
public sealed class GaugeScale
{
    public const double LowerX = 24;
    public const double UpperX = 76;
    const double Least = 2;
    const double Most = 98;

    readonly double lowerEnd;
    readonly double upperEnd;

    GaugeScale(double lowerEnd, double upperEnd) => (this.lowerEnd, this.upperEnd) = (lowerEnd, upperEnd);

    /// <summary>The scale of a requirement: its edges at 24 % and 76 %.</summary>
    public static GaugeScale Of(double? lower, double? upper, double value, double guardBand)
    {
        if (lower is { } l && upper is { } u) return u > l ? new(l, u) : new(l - 1, l + 1);
        if (upper is { } top) return new(top > 0 && value >= 0 ? 0 : top - Span(top, value, guardBand), top);
        if (lower is { } bottom) return new(bottom, bottom + Span(bottom, value, guardBand));
        return new(value - 1, value + 1);
    }

    public static GaugeScale Of(RequirementReading r) => Of(r.Lower, r.Upper, r.Value, r.GuardBand);

    /// <summary>Position of a value, kept on the paper.</summary>
    public double X(double value) => Math.Clamp(Free(value), Least, Most);

    /// <summary>The value lies beyond what the paper shows; an arrow says so.</summary>
    public bool OffPaper(double value) => Free(value) is < Least or > Most;

    /// <summary>A width on the scale, in per cent.</summary>
    public double Width(double span) => (UpperX - LowerX) * span / (upperEnd - lowerEnd);

    double Free(double value) => LowerX + (UpperX - LowerX) * (value - lowerEnd) / (upperEnd - lowerEnd);

    static double Span(double edge, double value, double guardBand) =>
        Math.Max(Math.Max(2 * Math.Abs(value - edge), 6 * guardBand), Math.Max(0.05 * Math.Abs(edge), 1e-9));
}

/// <summary>Where a reading stands among sound units, in per cent of the width: the middle is what is expected, 76 % is the limit of a single reading.</summary>
public static class SoundScale
{
    const double Middle = 50;

    /// <summary>Per cent of the width for one standard deviation.</summary>
    public static double PerSigma(double sigmaLimit) => (GaugeScale.UpperX - Middle) / Math.Max(sigmaLimit, 1e-9);

    public static double X(double sigma, double sigmaLimit) => Math.Clamp(Middle + sigma * PerSigma(sigmaLimit), 2, 98);

    public static bool OffPaper(double sigma, double sigmaLimit) => Middle + sigma * PerSigma(sigmaLimit) is < 2 or > 98;

    /// <summary>Outline of the normal density over the width 0 … 100, its foot at 40 and its top at 4: how many sound units read what.</summary>
    public static string Bell(double sigmaLimit)
    {
        var points = Enumerable.Range(0, 61).Select(i => -4 + 8 * i / 60.0)
            .Select(s => $"{Figure.Svg(Math.Clamp(Middle + s * PerSigma(sigmaLimit), 0, 100))} {Figure.Svg(40 - 36 * Math.Exp(-s * s / 2))}");
        return $"M{string.Join('L', points)}Z";
    }
}
