using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks;

/// <summary>Where a press-in's line breaks into the much steeper one of a part that sits.</summary>
/// <param name="Rows">Rows before the break.</param>
/// <param name="Distance">Crossing of the two lines, m, with the chance part of its uncertainty.</param>
/// <param name="Slope">Behind the break, N/m.</param>
sealed record SeatFit(int Rows, Reading Distance, Reading Slope)
{
    const int LeastBefore = 6, LeastBehind = 3;

    /// <summary>The pair of lines with the least squares over every place of the break, from running sums; null where the second is not clearly the steeper.</summary>
    /// <remarks>O(n). Source: two-phase regression, Hinkley 1969 (from memory). The crossing's variance is that of the lines' difference there over the square of the slopes' difference (first order).</remarks>
    public static SeatFit? Find(ReadOnlySpan<double> distance, ReadOnlySpan<double> force, double noiseN, PressTest test)
    {
        var n = distance.Length;
        if (n < LeastBefore + LeastBehind) return null;

        // Centred, so that the running sums keep their digits.
        var (x0, y0) = (Moments.MeanOf(distance), Moments.MeanOf(force));
        var sums = new Sums[n + 1];
        for (var i = 0; i < n; i++) sums[i + 1] = sums[i].With(distance[i] - x0, force[i] - y0);

        var (best, least) = (-1, double.PositiveInfinity);
        for (var k = LeastBefore; k <= n - LeastBehind; k++)
        {
            var squares = sums[k].Residual + (sums[n] - sums[k]).Residual;
            if (squares < least) (best, least) = (k, squares);
        }

        var (before, behind) = (sums[best], sums[n] - sums[best]);
        var variance = Math.Max(least / Math.Max(1, n - 4), noiseN * noiseN);
        var steeper = behind.Slope - before.Slope;
        var uSlope = Math.Sqrt(variance / behind.XX);
        var rise = behind.Slope * (distance[^1] - distance[best]);
        var clear = behind.Slope > test.SeatSteepening * Math.Max(before.Slope, 0) && steeper > 5 * uSlope && rise > Math.Max(6 * noiseN, 2 * test.ForceZeroN);
        if (!clear) return null;

        var crossing = (before.MeanY - before.Slope * before.MeanX - behind.MeanY + behind.Slope * behind.MeanX) / steeper;
        var u = Math.Sqrt(variance * (before.VarianceAt(crossing) + behind.VarianceAt(crossing))) / steeper;
        return new(best, new(crossing + x0, u), new(behind.Slope, uSlope));
    }

    readonly record struct Sums(int N, double X, double Y, double X2, double Y2, double XYSum)
    {
        public double MeanX => X / N;
        public double MeanY => Y / N;
        public double XX => X2 - X * X / N;
        double XY => XYSum - X * Y / N;
        double YY => Y2 - Y * Y / N;
        public double Slope => XX > 0 ? XY / XX : 0;
        public double Residual => Math.Max(0, YY - Slope * XY);

        public Sums With(double x, double y) => new(N + 1, X + x, Y + y, X2 + x * x, Y2 + y * y, XYSum + x * y);

        /// <summary>Variance of the line at a place for a variance of 1 of single rows.</summary>
        public double VarianceAt(double x) => 1.0 / N + (x - MeanX) * (x - MeanX) / XX;

        public static Sums operator -(Sums a, Sums b) => new(a.N - b.N, a.X - b.X, a.Y - b.Y, a.X2 - b.X2, a.Y2 - b.Y2, a.XYSum - b.XYSum);
    }
}
