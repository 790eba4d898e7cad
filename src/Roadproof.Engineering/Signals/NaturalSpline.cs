using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Roadproof.Engineering.Signals;

/// <summary>A smooth curve through points: cubic between two neighbours, slope and bend continuous, no bend at the ends.</summary>
/// <remarks>
/// O(n) to make, O(m) to read on m even steps, whole vectors. Exact at the points; between points of a smooth function the error falls with the fourth power of
/// their distance, near the ends with the second. Source: textbook (tridiagonal system of the second derivatives). Check: SciPy's natural spline.
/// </remarks>
public sealed class NaturalSpline
{
    readonly double[] x, y, bend;
    readonly int points;

    NaturalSpline(double[] x, double[] y, int points) => (this.x, this.y, this.points, bend) = (x, y, points, new double[points]);

    /// <param name="x">Strictly rising, at least two of them.</param>
    public static NaturalSpline Through(double[] x, double[] y) => Through(x, y, x.Length);

    /// <summary>Through the first <paramref name="points"/> of longer (rented) arrays, which must live as long as the spline.</summary>
    public static NaturalSpline Through(double[] x, double[] y, int points)
    {
        if (points < 2) throw new ArgumentException("A curve needs two points at least.", nameof(points));
        var spline = new NaturalSpline(x, y, points);
        spline.Bend();
        return spline;
    }

    /// <summary>Values at <paramref name="from"/>, from + step, …; all within the points.</summary>
    public void Read(double from, double step, Span<double> values)
    {
        var perStep = 1 / step;
        var lanes = Vector512.CreateSequence(0.0, 1.0) * step;
        ref var first = ref MemoryMarshal.GetReference(values);
        var k = 0;
        for (var i = 0; i < points - 1 && k < values.Length; i++)
        {
            // Readings of this piece: up to its right end, which the next piece has too (and the last piece needs).
            var until = i == points - 2 ? values.Length : Math.Min(values.Length, (int)Math.Ceiling((x[i + 1] - from) * perStep));
            if (until <= k) continue;

            var h = x[i + 1] - x[i];
            var (b, c, d) = ((y[i + 1] - y[i]) / h - h * (2 * bend[i] + bend[i + 1]) / 6, bend[i] / 2, (bend[i + 1] - bend[i]) / (6 * h));
            var (vb, vc, vd, va) = (Vector512.Create(b), Vector512.Create(c), Vector512.Create(d), Vector512.Create(y[i]));
            for (; k < until; k += Vector512<double>.Count)
            {
                var u = Vector512.Create(from + k * step - x[i]) + lanes;
                var value = Vector512.FusedMultiplyAdd(Vector512.FusedMultiplyAdd(Vector512.FusedMultiplyAdd(vd, u, vc), u, vb), u, va);
                if (k + Vector512<double>.Count <= values.Length) value.StoreUnsafe(ref first, (nuint)k); // what runs over belongs to the next piece, which writes it anew
                else for (var lane = 0; k + lane < values.Length; lane++) values[k + lane] = value[lane];
            }

            k = until;
        }
    }

    /// <summary>Second derivatives by elimination of the tridiagonal system.</summary>
    void Bend()
    {
        var share = new double[points];
        for (var i = 1; i < points - 1; i++)
        {
            double left = x[i] - x[i - 1], right = x[i + 1] - x[i];
            var pivot = 1 / (2 * (left + right) - left * share[i - 1]);
            share[i] = right * pivot;
            bend[i] = (6 * ((y[i + 1] - y[i]) / right - (y[i] - y[i - 1]) / left) - left * bend[i - 1]) * pivot;
        }

        for (var i = points - 2; i >= 1; i--) bend[i] -= share[i] * bend[i + 1];
    }
}
