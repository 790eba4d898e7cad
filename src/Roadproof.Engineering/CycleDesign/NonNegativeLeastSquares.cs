using MathNet.Numerics.LinearAlgebra;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>The combination of columns, none of them less than nothing, that comes nearest to a target.</summary>
/// <remarks>
/// Active-set method; its solutions hold no more columns than there are rows, which makes short programmes. The kept linear-algebra library has least squares but not this.
/// Source: Lawson, Hanson, Solving Least Squares Problems, 1974, chapter 23 (from memory); tests hold its conditions for a minimum (Kuhn and Tucker).
/// </remarks>
static class NonNegativeLeastSquares
{
    /// <param name="columns">Shape [rows, columns].</param>
    /// <param name="target">Shape [rows].</param>
    /// <returns>Shape [columns], each 0 or more.</returns>
    public static double[] Solve(Matrix<double> columns, Vector<double> target)
    {
        var count = columns.ColumnCount;
        var x = Vector<double>.Build.Dense(count);
        var used = new List<int>();
        var tolerance = 1e-10 * columns.FrobeniusNorm() * target.L2Norm();
        for (var round = 0; round < 10 * count; round++)
        {
            var pull = columns.TransposeThisAndMultiply(target - columns * x);
            var best = Enumerable.Range(0, count).Where(j => !used.Contains(j)).Select(j => (Column: j, Pull: pull[j])).OrderByDescending(p => p.Pull).FirstOrDefault((-1, 0));
            if (best.Column < 0 || best.Pull <= tolerance) break;
            used.Add(best.Column);
            while (true)
            {
                var free = OfUsed(columns, used, target);
                if (free.All(v => v > 0))
                {
                    x.Clear();
                    for (var k = 0; k < used.Count; k++) x[used[k]] = free[k];
                    break;
                }

                // As far towards it as nothing falls below 0; what reaches 0 leaves.
                var step = used.Select((j, k) => (j, k)).Where(p => free[p.k] <= 0).Min(p => x[p.j] / (x[p.j] - free[p.k]));
                for (var k = 0; k < used.Count; k++) x[used[k]] += step * (free[k] - x[used[k]]);
                var gone = used.FindAll(j => x[j] <= 1e-14);
                foreach (var j in gone) x[j] = 0;
                used.RemoveAll(gone.Contains);
                if (used.Count == 0) break;
            }
        }

        return [.. x];
    }

    static Vector<double> OfUsed(Matrix<double> columns, List<int> used, Vector<double> target)
    {
        var part = Matrix<double>.Build.DenseOfColumnVectors(used.Select(columns.Column));
        return part.RowCount >= part.ColumnCount ? part.QR().Solve(target) : part.Svd().Solve(target);
    }
}
