namespace Roadproof.Engineering.Signals;

/// <summary>A straight line through samples: its value at <see cref="MiddleX"/> and its slope, with what chance may have moved them.</summary>
/// <param name="MiddleX">Mean of the samples' places; value and slope do not depend on each other there.</param>
/// <param name="Value">Of the line at <paramref name="MiddleX"/>.</param>
/// <param name="Slope">Units of y per unit of x.</param>
/// <param name="Scatter">Standard deviation of single samples about the line.</param>
public readonly record struct SteadyLine(double MiddleX, Reading Value, Reading Slope, double Scatter)
{
    const int Blocks = 20;

    public double At(double x) => Value.Value + Slope.Value * (x - MiddleX);

    /// <summary>Standard uncertainty of the line at a place.</summary>
    public double UncertaintyAt(double x) => double.Hypot(Value.StandardUncertainty, Slope.StandardUncertainty * (x - MiddleX));

    /// <summary>Least squares; NaN uncertainties below 6 samples, all NaN below 2.</summary>
    /// <param name="x">Rising, shape [n].</param>
    /// <param name="y">Shape [n], no gaps.</param>
    /// <param name="resolution">Smallest step of y that the instrument shows; a signal that stands on one step is known no better than that.</param>
    /// <remarks>
    /// Neighbouring samples are alike, so the uncertainty comes from the means of at most 20 blocks about the same line (batch means, as in <see cref="SteadyMean"/>):
    /// s² = Σ(block residual)²/(B − 2), u(slope)² = s²/Σ(block middle − mean)², u(value)² = s²/B, with s² never below resolution²/12 (rectangular distribution, JCGM 100:2008, F.2.2.1).
    /// </remarks>
    public static SteadyLine Of(ReadOnlySpan<double> x, ReadOnlySpan<double> y, double resolution = 0)
    {
        var n = x.Length;
        if (n < 2) return new(double.NaN, Reading.None, Reading.None, double.NaN);

        var (meanX, meanY) = (Moments.MeanOf(x), Moments.MeanOf(y));
        double xx = 0, xy = 0;
        for (var i = 0; i < n; i++)
        {
            xx += (x[i] - meanX) * (x[i] - meanX);
            xy += (x[i] - meanX) * (y[i] - meanY);
        }

        var slope = xy / xx;
        var squares = 0.0;
        for (var i = 0; i < n; i++) squares += Square(y[i] - meanY - slope * (x[i] - meanX));
        if (n < 6) return new(meanX, new(meanY, double.NaN), new(slope, double.NaN), double.NaN);

        var blocks = Math.Min(Blocks, n / 2);
        double blockSquares = 0, spread = 0;
        for (var b = 0; b < blocks; b++)
        {
            var (from, to) = ((int)((long)n * b / blocks), (int)((long)n * (b + 1) / blocks));
            var middle = Moments.MeanOf(x[from..to]) - meanX;
            blockSquares += Square(Moments.MeanOf(y[from..to]) - meanY - slope * middle);
            spread += middle * middle;
        }

        var variance = Math.Max(blockSquares / (blocks - 2), resolution * resolution / 12);
        return new(meanX, new(meanY, Math.Sqrt(variance / blocks)), new(slope, Math.Sqrt(variance / spread)), Math.Sqrt(squares / (n - 2)));
    }

    static double Square(double x) => x * x;
}
