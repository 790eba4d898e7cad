using CsCheck;
using MathNet.Numerics.LinearAlgebra;
using Roadproof.Engineering.CycleDesign;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class NonNegativeTests
{
    /// <summary>Kuhn and Tucker: nothing is below 0, what is used has no pull left, and nothing unused would help.</summary>
    /// <remarks>
    /// As far as rounding lets any solver go: with columns that nearly cancel one another the shares are huge (1e9 was drawn) and so are the products that a pull is the rest of.
    /// Bound: Higham, Accuracy and Stability of Numerical Algorithms, 2nd edition, section 20.1, backward error of least squares (from memory).
    /// </remarks>
    [Fact]
    public void What_is_found_is_a_minimum() =>
        Gen.Select(Gen.Int[1, 7], Gen.Int[1, 12]).SelectMany((rows, columns) => Gen.Select(Gen.Double[-2, 3].Array[rows * columns], Gen.Double[-2, 3].Array[rows], (a, b) => (rows, columns, a, b))).Sample((rows, columns, a, b) =>
        {
            IsMinimum(Matrix<double>.Build.Dense(rows, columns, a), Vector<double>.Build.Dense(b));
        }, iter: 2000, seed: "8SwDFpVh87c7");

    /// <summary>A column that the others make already, or of next to nothing, once kept the search going for ever.</summary>
    [Fact]
    public void Columns_of_next_to_nothing_end_the_search() => IsMinimum(
        Matrix<double>.Build.Dense(3, 5, [-7.131e-59, -1, -3.003e-65, 0.22388059701492538, 0.6485199346400845, -6.604e-84, 0, 0, 1.7337471417062762, -9.847e-85, 0.5544015851557544, -2.194e-40, -7.242e-9, 1.5618407072659175, 0]),
        Vector<double>.Build.Dense([-0.7755257913000573, 0.07180836565269866, -11 / 14.0]));

    static void IsMinimum(Matrix<double> matrix, Vector<double> target)
    {
        var x = Vector<double>.Build.Dense(NonNegativeLeastSquares.Solve(matrix, target));
        var pull = matrix.TransposeThisAndMultiply(target - matrix * x);
        var size = matrix.FrobeniusNorm();
        var rounding = size * (1e-9 * target.L2Norm() + 1e-14 * size * x.L2Norm());
        for (var j = 0; j < matrix.ColumnCount; j++)
        {
            Assert.True(x[j] >= 0);
            if (x[j] > 0) Assert.Equal(0, pull[j], rounding);
            else Assert.True(pull[j] <= rounding, $"{pull[j]}");
        }
    }
}
