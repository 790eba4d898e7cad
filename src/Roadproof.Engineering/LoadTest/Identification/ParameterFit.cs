using MathNet.Numerics.LinearAlgebra;

namespace Roadproof.Engineering.LoadTest;

/// <summary>The parameters that agree best with a run, each held to the drawing as loosely as its weight says.</summary>
/// <param name="Z">In spreads from the drawing.</param>
/// <param name="Residual">Reading less model at the solution, shape [rows].</param>
/// <param name="Weight">Inverse of the rows' covariance.</param>
/// <param name="Jacobian">How the model's readings move with z, shape [rows, parameters].</param>
/// <remarks>
/// Generalised least squares: minimises r'·V⁻¹·r + Σ (w·z)², V from every error of the rig at the solution, so that what readings share (a gain, a temperature) is not counted as often as it is seen.
/// Gauss-Newton with central differences; V is computed twice, at the drawing and at what that gives. Source: least squares with correlated errors, textbook (Aitken).
/// </remarks>
sealed record ParameterFit(double[] Z, Vector<double> Residual, Matrix<double> Weight, Matrix<double> Jacobian, bool Converged)
{
    const int MostSteps = 50;
    const double Step = 0.01, Small = 1e-8;

    /// <param name="weights">1 holds a parameter as the drawing's spread does, 0.01 a hundred times looser; shape [parameters].</param>
    public static ParameterFit Of(RunResiduals run, double[] weights)
    {
        var first = Of(run, weights, new double[DrawnParameters.Count]);
        return Of(run, weights, first.Z);
    }

    /// <summary>What the rows alone say: J'·V⁻¹·J, in spreads.</summary>
    public Matrix<double> Information => Jacobian.TransposeThisAndMultiply(Weight * Jacobian);

    /// <summary>Covariance of the parameters in spreads, held by these weights.</summary>
    public Matrix<double> Covariance(double[] weights) => Held(Information, weights).Inverse();

    static ParameterFit Of(RunResiduals run, double[] weights, double[] from)
    {
        var z = (double[])from.Clone();
        var weight = Matrix<double>.Build.DenseOfArray(run.Covariance(z)).Cholesky().Solve(Matrix<double>.Build.DenseIdentity(run.Rows.Count));
        var hold = Vector<double>.Build.DenseOfArray(weights).PointwisePower(2);
        for (var step = 0; step < MostSteps; step++)
        {
            var (residual, jacobian) = (Vector<double>.Build.DenseOfArray(run.At(z)), JacobianAt(run, z));
            var weighted = weight * jacobian;
            var move = Held(jacobian.TransposeThisAndMultiply(weighted), weights)
                .Cholesky().Solve(weighted.TransposeThisAndMultiply(residual) - hold.PointwiseMultiply(Vector<double>.Build.DenseOfArray(z)));
            for (var k = 0; k < z.Length; k++) z[k] += move[k];
            if (move.AbsoluteMaximum() < Small) return At(run, z, weight, converged: true);
        }

        return At(run, z, weight, converged: false);
    }

    static ParameterFit At(RunResiduals run, double[] z, Matrix<double> weight, bool converged) =>
        new(z, Vector<double>.Build.DenseOfArray(run.At(z)), weight, JacobianAt(run, z), converged);

    static Matrix<double> Held(Matrix<double> information, double[] weights)
    {
        var held = information.Clone();
        for (var k = 0; k < weights.Length; k++) held[k, k] += weights[k] * weights[k];
        return held;
    }

    static Matrix<double> JacobianAt(RunResiduals run, double[] z)
    {
        var jacobian = Matrix<double>.Build.Dense(run.Rows.Count, z.Length);
        var moved = (double[])z.Clone();
        for (var k = 0; k < z.Length; k++)
        {
            moved[k] = z[k] + Step;
            var up = run.At(moved);
            moved[k] = z[k] - Step;
            var down = run.At(moved);
            moved[k] = z[k];
            // A residual is reading less model.
            for (var i = 0; i < up.Length; i++) jacobian[i, k] = (down[i] - up[i]) / (2 * Step);
        }

        return jacobian;
    }
}
