namespace Roadproof.Engineering.Signals;

/// <summary>A straight line through samples by least squares, with what their scatter leaves unsure.</summary>
/// <param name="Scatter">Standard deviation of a sample about the line, n − 2 degrees of freedom.</param>
/// <remarks>Independent errors of equal size in y, none in x. Source: ordinary least squares, any textbook; NIST/SEMATECH e-Handbook 4.4.</remarks>
public readonly record struct LineFit(double Slope, double MeanX, double MeanY, double SpreadX, double Scatter, int Samples)
{
    /// <summary>Least samples that tell of their own scatter.</summary>
    public const int Fewest = 3;

    public double SlopeUncertainty => Scatter / Math.Sqrt(SpreadX);

    /// <param name="x">Shape [n], n ≥ 3, not all equal.</param>
    /// <param name="y">Shape [n].</param>
    public static LineFit Of(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        var n = x.Length;
        double meanX = 0, meanY = 0;
        for (var i = 0; i < n; i++)
        {
            meanX += x[i];
            meanY += y[i];
        }

        (meanX, meanY) = (meanX / n, meanY / n);
        double xx = 0, xy = 0, yy = 0;
        for (var i = 0; i < n; i++)
        {
            var (dx, dy) = (x[i] - meanX, y[i] - meanY);
            xx += dx * dx;
            xy += dx * dy;
            yy += dy * dy;
        }

        var slope = xy / xx;
        return new(slope, meanX, meanY, xx, Math.Sqrt(Math.Max(0, yy - slope * xy) / (n - 2)), n);
    }

    /// <summary>Height of the line.</summary>
    public double HeightAt(double x) => MeanY + Slope * (x - MeanX);

    /// <summary>Standard uncertainty of <see cref="HeightAt"/>.</summary>
    public double HeightUncertaintyAt(double x) => Scatter * Math.Sqrt(1.0 / Samples + (x - MeanX) * (x - MeanX) / SpreadX);

    /// <summary>Where the line reaches a height.</summary>
    public double At(double y) => MeanX + (y - MeanY) / Slope;

    /// <summary>Standard uncertainty of <see cref="At"/>: the line's own and that of the height.</summary>
    public double UncertaintyAt(double y, double ofY)
    {
        var ofLine = HeightUncertaintyAt(At(y));
        return Math.Sqrt(ofLine * ofLine + ofY * ofY) / Math.Abs(Slope);
    }
}
