using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Factorization;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>The combination of columns, none of them less than nothing, that comes nearest to a target.</summary>
/// <remarks>
/// Active-set method; its solutions hold no more columns than there are rows, which makes short programmes. The kept linear-algebra library has least squares but not this.
/// Source: Lawson, Hanson, Solving Least Squares Problems, 1974, chapter 23 (from memory); tests hold its conditions for a minimum (Kuhn and Tucker).
/// </remarks>
static class NonNegativeLeastSquares
{
    /// <summary>How little of a column, as a share of it, may lie outside those in use before it counts as made of them.</summary>
    const double Dependent = 1e-10;

    /// <param name="columns">Shape [rows, columns].</param>
    /// <param name="target">Shape [rows].</param>
    /// <returns>Shape [columns], each 0 or more.</returns>
    public static double[] Solve(Matrix<double> columns, Vector<double> target)
    {
        var count = columns.ColumnCount;
        var x = Vector<double>.Build.Dense(count);
        var used = new List<int>();
        var barred = new HashSet<int>();
        var tolerance = 1e-10 * columns.FrobeniusNorm() * target.L2Norm();
        for (var round = 0; round < 10 * count; round++)
        {
            var pull = columns.TransposeThisAndMultiply(target - columns * x);
            var best = Enumerable.Range(0, count).Where(j => !used.Contains(j) && !barred.Contains(j)).Select(j => (Column: j, Pull: pull[j])).OrderByDescending(p => p.Pull).FirstOrDefault((-1, 0));
            if (best.Column < 0 || best.Pull <= tolerance) break;
            used.Add(best.Column);
            if (OfUsed(columns, used, target) is not { } free || free[^1] <= 0)
            {
                // What those in use can make already, or what rounding alone proposes, has nothing to add.
                used.RemoveAt(used.Count - 1);
                barred.Add(best.Column);
                continue;
            }

            barred.Clear();
            while (used.Zip(free).Any(p => p.Second <= 0))
            {
                // As far towards it as nothing falls below 0; what reaches 0 leaves, one at least.
                var (first, step) = used.Zip(free).Where(p => p.Second <= 0).Select(p => (Column: p.First, Step: x[p.First] / (x[p.First] - p.Second))).MinBy(p => p.Step);
                foreach (var (j, goal) in used.Zip(free)) x[j] += step * (goal - x[j]);
                var gone = used.FindAll(j => j == first || x[j] <= 0);
                foreach (var j in gone) x[j] = 0;
                used.RemoveAll(gone.Contains);
                free = OfUsed(columns, used, target) ?? [];
            }

            x.Clear();
            foreach (var (j, share) in used.Zip(free)) x[j] = share;
        }

        return [.. x];
    }

    /// <summary>Least squares of the columns in use; nothing when they are none, or one of them is made of the others.</summary>
    static double[]? OfUsed(Matrix<double> columns, List<int> used, Vector<double> target)
    {
        if (used.Count == 0 || used.Count > columns.RowCount) return null;
        var part = Matrix<double>.Build.DenseOfColumnVectors(used.Select(columns.Column));
        var qr = part.QR(QRMethod.Thin);
        if (Enumerable.Range(0, used.Count).Any(k => Math.Abs(qr.R[k, k]) <= Dependent * part.Column(k).L2Norm())) return null;
        return [.. qr.Solve(target)];
    }
}
