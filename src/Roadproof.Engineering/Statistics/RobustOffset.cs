using StudentT = MathNet.Numerics.Distributions.StudentT;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Statistics;

/// <summary>How far apart two groups lie once factors that both may have are allowed for, whatever a few wild values say.</summary>
/// <param name="Freedom">Values less coefficients.</param>
/// <param name="Scale">Scatter of one value around the fit.</param>
/// <param name="Information">How many values of each group count, as n₁·n₂/(n₁ + n₂) with what the factors take away; the offset's standard error is about the scale over its root.</param>
/// <remarks>
/// Least squares with Huber's function (values beyond 1.345 scales count as if they lay there: 95 % as sure as the mean where all is normal), scale with it by his second proposal, so that
/// there is one solution; interval by his covariance with its correction for the number of coefficients and Student's distribution. Source: P. J. Huber, Robust Statistics (1981), 6.4, 7.6
/// and 7.8 (from memory); held against scipy. Assumes that the factors add up.
/// </remarks>
public sealed record RobustOffset(double Offset, double StandardError, int Freedom, double Scale, double Information)
{
    const double Tuning = 1.345;
    const int MostSteps = 300;

    /// <summary>A scatter below this share of the values is that of rounding.</summary>
    const double Nothing = 1e-12;

    /// <summary>A column of which less is left beside the others says nothing of its own.</summary>
    const double LeastLeft = 1e-9;

    /// <param name="values">Shape [n].</param>
    /// <param name="isSecond">Which of the two groups each belongs to, shape [n].</param>
    /// <param name="factors">For each factor the level of each value, shape [factors][n].</param>
    /// <returns>The second group less the first; null where the groups cannot be told from the factors, or too few values are left.</returns>
    public static RobustOffset? Of(ReadOnlySpan<double> values, IReadOnlyList<bool> isSecond, IReadOnlyList<IReadOnlyList<string>> factors)
    {
        var n = values.Length;
        var basis = new List<double[]>();
        AddTo(basis, [.. Enumerable.Repeat(1.0, n)]);
        foreach (var factor in factors)
            foreach (var level in factor.Distinct(StringComparer.Ordinal).Skip(1)) AddTo(basis, [.. factor.Select(f => f == level ? 1.0 : 0)]);
        var own = Left(basis, [.. isSecond.Select(second => second ? 1.0 : 0)]);
        var information = Dot(own, own);
        var p = basis.Count + 1;
        if (information <= LeastLeft * n || n - p < 2) return null;

        basis.Add([.. own.Select(x => x / Math.Sqrt(information))]);
        var (fit, scale) = Fitted(values, basis);
        var offset = Dot(own, fit) / information;
        if (scale == 0) return new(offset, 0, n - p, 0, information);

        double squares = 0, inside = 0;
        for (var i = 0; i < n; i++)
        {
            var r = (values[i] - fit[i]) / scale;
            squares += Square(Math.Clamp(r, -Tuning, Tuning));
            if (Math.Abs(r) < Tuning) inside++;
        }

        var slope = inside / n;
        var correction = 1 + (double)p / n * (1 - slope) / slope;
        var standardError = correction * scale * Math.Sqrt(squares / (n - p)) / slope / Math.Sqrt(information);
        return new(offset, standardError, n - p, scale, information);
    }

    public Interval Interval(double confidence)
    {
        var half = StudentT.InvCDF(0, 1, Freedom, 1 - (1 - confidence) / 2) * StandardError;
        return new(Offset - half, Offset + half, confidence);
    }

    // Modified residuals: the columns stay as they are, so that one set of them serves all steps.
    static (double[] Fit, double Scale) Fitted(ReadOnlySpan<double> values, List<double[]> basis)
    {
        var (all, freedom) = (values.ToArray(), values.Length - basis.Count);
        var fit = Onto(basis, all);
        var scale = Math.Sqrt(all.Zip(fit, (y, f) => Square(y - f)).Sum() / freedom);
        if (scale <= Nothing * all.Max(Math.Abs)) return (fit, 0);
        for (var step = 0; step < MostSteps; step++)
        {
            double[] pulled = [.. all.Zip(fit, (y, f) => Math.Clamp(y - f, -Tuning * scale, Tuning * scale))];
            var nextScale = Math.Sqrt(Dot(pulled, pulled) / (freedom * SquareOfNormal));
            var next = Onto(basis, [.. pulled.Zip(fit, (r, f) => f + r)]);
            var moved = Math.Max(Math.Abs(nextScale - scale), next.Zip(fit, (a, b) => Math.Abs(a - b)).Max());
            (fit, scale) = (next, nextScale);
            if (moved < 1e-9 * scale) break;
        }

        return (fit, scale);
    }

    /// <summary>Mean of the square of Huber's function over a standard normal.</summary>
    static readonly double SquareOfNormal =
        1 - 2 * Normal.Above(Tuning) - 2 * Tuning * Math.Exp(-Tuning * Tuning / 2) / Math.Sqrt(2 * Math.PI) + 2 * Tuning * Tuning * Normal.Above(Tuning);

    static void AddTo(List<double[]> basis, double[] column)
    {
        var left = Left(basis, column);
        var size = Math.Sqrt(Dot(left, left));
        if (size * size > LeastLeft * Math.Max(1, Dot(column, column))) basis.Add([.. left.Select(x => x / size)]);
    }

    // Twice, because once leaves rounding errors that grow (Kahan, "twice is enough").
    static double[] Left(List<double[]> basis, double[] column)
    {
        var left = (double[])column.Clone();
        for (var pass = 0; pass < 2; pass++)
            foreach (var b in basis)
            {
                var along = Dot(b, left);
                for (var i = 0; i < left.Length; i++) left[i] -= along * b[i];
            }

        return left;
    }

    static double[] Onto(List<double[]> basis, double[] values)
    {
        var sum = new double[values.Length];
        foreach (var b in basis)
        {
            var along = Dot(b, values);
            for (var i = 0; i < sum.Length; i++) sum[i] += along * b[i];
        }

        return sum;
    }

    static double Dot(double[] a, double[] b) => Whitening.Dot(a, b);

    static double Square(double x) => x * x;
}
