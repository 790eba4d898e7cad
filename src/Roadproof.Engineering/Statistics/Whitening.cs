namespace Roadproof.Engineering.Statistics;

/// <summary>Turns correlated normal residuals into independent ones of unit variance: the inverse of the lower Cholesky factor of their covariance.</summary>
public sealed class Whitening
{
    // Row by row, lower triangle only: [0,0], [1,0], [1,1], …
    readonly double[] factor;

    /// <param name="covariance">Symmetric, positive definite, shape [n, n].</param>
    /// <exception cref="ArgumentException">Not positive definite: a characteristic that is a sum of others, or has no variance.</exception>
    public Whitening(double[,] covariance)
    {
        Count = covariance.GetLength(0);
        factor = new double[Count * (Count + 1) / 2];
        for (var i = 0; i < Count; i++)
            for (var j = 0; j <= i; j++)
            {
                var sum = covariance[i, j];
                for (var k = 0; k < j; k++) sum -= factor[Row(i) + k] * factor[Row(j) + k];
                if (i != j) factor[Row(i) + j] = sum / factor[Row(j) + j];
                else if (sum > 1e-12 * covariance[i, i]) factor[Row(i) + i] = Math.Sqrt(sum);
                else throw new ArgumentException(FormattableString.Invariant($"Row {i} of the covariance follows from the rows before it: it adds nothing that could be judged."), nameof(covariance));
            }
    }

    public int Count { get; }

    /// <summary>Logarithm of the covariance's determinant.</summary>
    public double LogDeterminant
    {
        get
        {
            var sum = 0.0;
            for (var i = 0; i < Count; i++) sum += 2 * Math.Log(factor[Row(i) + i]);
            return sum;
        }
    }

    /// <summary>L⁻¹·residual.</summary>
    public void Whiten(ReadOnlySpan<double> residual, Span<double> white)
    {
        for (var i = 0; i < Count; i++)
        {
            var sum = residual[i];
            var row = Row(i);
            for (var k = 0; k < i; k++) sum -= factor[row + k] * white[k];
            white[i] = sum / factor[row + i];
        }
    }

    public double[] Whiten(ReadOnlySpan<double> residual)
    {
        var white = new double[Count];
        Whiten(residual, white);
        return white;
    }

    /// <summary>L·white: residuals with the covariance, from independent ones.</summary>
    public void Colour(ReadOnlySpan<double> white, Span<double> residual)
    {
        for (var i = 0; i < Count; i++)
        {
            var row = factor.AsSpan(Row(i), i + 1);
            var sum = 0.0;
            for (var k = 0; k <= i; k++) sum += row[k] * white[k];
            residual[i] = sum;
        }
    }

    /// <summary>Squared Mahalanobis distance of a residual from zero.</summary>
    public double Distance(ReadOnlySpan<double> residual)
    {
        Span<double> white = stackalloc double[Count];
        Whiten(residual, white);
        return Dot(white, white);
    }

    public static double Dot(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        var sum = 0.0;
        for (var i = 0; i < a.Length; i++) sum += a[i] * b[i];
        return sum;
    }

    static int Row(int i) => i * (i + 1) / 2;
}
