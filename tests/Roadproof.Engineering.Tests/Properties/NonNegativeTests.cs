using CsCheck;
using MathNet.Numerics.LinearAlgebra;
using Roadproof.Engineering.CycleDesign;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class NonNegativeTests
{
    /// <summary>Kuhn and Tucker: nothing is below 0, what is used has no pull left, and nothing unused would help.</summary>
    [Fact]
    public void What_is_found_is_a_minimum() =>
        Gen.Select(Gen.Int[1, 7], Gen.Int[1, 12]).SelectMany((rows, columns) => Gen.Select(Gen.Double[-2, 3].Array[rows * columns], Gen.Double[-2, 3].Array[rows], (a, b) => (rows, columns, a, b))).Sample((rows, columns, a, b) =>
        {
            var matrix = Matrix<double>.Build.Dense(rows, columns, a);
            var target = Vector<double>.Build.Dense(b);
            var x = Vector<double>.Build.Dense(NonNegativeLeastSquares.Solve(matrix, target));
            var pull = matrix.TransposeThisAndMultiply(target - matrix * x);
            for (var j = 0; j < columns; j++)
            {
                Assert.True(x[j] >= 0);
                if (x[j] > 0) Assert.Equal(0, pull[j], 1e-6);
                else Assert.True(pull[j] <= 1e-6, $"{pull[j]}");
            }
        }, iter: 2000, seed: "0N0XIzNsQ0O2");
}
