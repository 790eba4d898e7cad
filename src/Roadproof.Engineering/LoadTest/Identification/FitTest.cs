using MathNet.Numerics.LinearAlgebra;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Whether the model explains the run within its errors.</summary>
/// <param name="ChiSquare">r'·V⁻¹·r of what the fit leaves.</param>
/// <param name="DegreesOfFreedom">Readings less the parameters that they resolve.</param>
/// <param name="Probability">Of a value as large by chance.</param>
/// <param name="Fits">The probability is at least <see cref="LeastProbability"/>.</param>
public sealed record FitTest(double ChiSquare, int DegreesOfFreedom, double Probability, bool Fits)
{
    /// <summary>A run that is explained by its errors is called unexplained this often.</summary>
    public const double LeastProbability = 0.001;

    internal static FitTest Of(ParameterFit fit, double[] weights)
    {
        // What the rows resolve is the trace of the resolution matrix.
        var resolved = (int)Math.Round((fit.Covariance(weights) * fit.Information).Trace());
        var (chiSquare, freedom) = (fit.Residual * (fit.Weight * fit.Residual), fit.Residual.Count - resolved);
        var probability = freedom > 0 ? ChanceOf(chiSquare, freedom) : 1;
        return new(chiSquare, freedom, probability, probability >= LeastProbability);
    }

    internal static double ChanceOf(double chiSquare, int freedom) => chiSquare <= 0 ? 1 : MathNet.Numerics.SpecialFunctions.GammaUpperRegularized(freedom / 2.0, chiSquare / 2);
}

/// <summary>How far one load point stands off from what all others say of it.</summary>
/// <param name="ChiSquare">By how much leaving it out would lower the run's.</param>
/// <param name="Readings">Of this point.</param>
/// <param name="Probability">Of a value as large by chance, for this point alone.</param>
/// <param name="Channel">Of its readings the one that stands off most, beside the others' doubt.</param>
/// <param name="Off">By how much, reading less what the other points say, in <paramref name="Unit"/>.</param>
public sealed record PointTest(string Point, double ChiSquare, int Readings, double Probability, string Channel, double Off, string Unit)
{
    /// <summary>Every point in the order of the run.</summary>
    /// <remarks>
    /// With Q = W − W·J·(J'WJ)⁻¹·J'·W, the reduction by giving the rows of a point shifts of their own is (Qr)_p'·(Q_pp)⁻¹·(Qr)_p, χ² with as many degrees of freedom as rows.
    /// Source: test of a shift in some observations of a linear model, textbook (in surveying known as data snooping).
    /// </remarks>
    internal static List<PointTest> Of(RunResiduals run, ParameterFit fit, double[] weights)
    {
        var weighted = fit.Weight * fit.Jacobian;
        var q = fit.Weight - weighted * fit.Covariance(weights) * weighted.Transpose();
        var qr = q * fit.Residual;
        var tests = new List<PointTest>();
        foreach (var point in run.Rows.Select(r => r.Point).Distinct(StringComparer.Ordinal))
        {
            var rows = Enumerable.Range(0, run.Rows.Count).Where(i => run.Rows[i].Point == point).ToArray();
            var block = Matrix<double>.Build.Dense(rows.Length, rows.Length, (i, j) => q[rows[i], rows[j]]);
            var shift = Vector<double>.Build.Dense(rows.Length, i => qr[rows[i]]);
            var spread = block.Inverse();
            var off = spread * shift;
            var most = Enumerable.Range(0, rows.Length).MaxBy(i => Math.Abs(off[i]) / Math.Sqrt(spread[i, i]));
            var (chiSquare, row) = (shift * off, run.Rows[rows[most]]);
            tests.Add(new(point, chiSquare, rows.Length, FitTest.ChanceOf(chiSquare, rows.Length), row.Channel, off[most], row.Unit));
        }

        return tests;
    }
}
