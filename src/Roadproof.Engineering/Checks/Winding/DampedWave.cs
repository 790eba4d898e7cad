using MathNet.Numerics.LinearAlgebra;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks;

/// <summary>A winding rings after a surge: e^(−αt)·(a·cos ωt + b·sin ωt) + c.</summary>
/// <param name="FrequencyHz">ω/2π; √(1/(L·C)) nearly.</param>
/// <param name="DampingPerS">α; R/(2L) and what the iron takes.</param>
/// <param name="Scatter">Standard deviation of the rows about the wave.</param>
public sealed record DampedWave(Reading FrequencyHz, Reading DampingPerS, double Scatter)
{
    const int Rounds = 40;

    /// <summary>Least squares by Gauss and Newton with shortened steps; null where fewer than three half waves stand out of the noise or the steps do not close.</summary>
    public static DampedWave? Of(ReadOnlySpan<double> timeS, ReadOnlySpan<double> volts)
    {
        var from = Largest(volts);
        if (volts.Length - from < 20) return null;
        var (first, last) = (timeS[from], timeS[^1]);
        var span = last - first;

        // Time from 0 to 1: the normal equations keep their digits.
        var t = new double[volts.Length - from];
        for (var i = 0; i < t.Length; i++) t[i] = (timeS[from + i] - first) / span;
        var y = volts[from..].ToArray();
        if (Start(t, y) is not { } x) return null;

        var squares = Squares(t, y, x);
        for (var round = 0; round < Rounds; round++)
        {
            var (normal, gradient) = Normal(t, y, x);
            if (normal.Determinant() is 0 or double.NaN) return null;
            var step = normal.Solve(gradient);
            var share = 1.0;
            double[] next;
            double nextSquares;
            do
            {
                next = [.. x.Select((v, k) => v + share * step[k])];
                nextSquares = Squares(t, y, next);
                share /= 2;
            }
            while (!(nextSquares <= squares) && share > 1e-6);
            if (!(nextSquares <= squares)) break;
            var closed = squares - nextSquares <= 1e-12 * squares;
            (x, squares) = (next, nextSquares);
            if (closed) break;
        }

        var variance = squares / (t.Length - x.Length);
        var covariance = Normal(t, y, x).Normal.Inverse() * variance;
        var wave = new DampedWave(new(Math.Abs(x[0]) / (2 * Math.PI * span), Math.Sqrt(covariance[0, 0]) / (2 * Math.PI * span)), new(x[1] / span, Math.Sqrt(covariance[1, 1]) / span), Math.Sqrt(variance));
        return double.IsFinite(wave.FrequencyHz.StandardUncertainty) ? wave : null;
    }

    static int Largest(ReadOnlySpan<double> volts)
    {
        var at = 0;
        for (var i = 1; i < volts.Length; i++)
            if (Math.Abs(volts[i]) > Math.Abs(volts[at])) at = i;
        return at;
    }

    /// <summary>Frequency from the crossings of zero, damping from the two halves' rms.</summary>
    static double[]? Start(double[] t, double[] y)
    {
        var (crossings, edge) = (new List<double>(), 3 * RowNoise.Of(y));
        var sign = Math.Sign(y[0]);
        var lastZero = 0;
        for (var i = 1; i < y.Length; i++)
        {
            if (Math.Sign(y[i]) != Math.Sign(y[i - 1])) lastZero = i;
            if (Math.Sign(y[i]) == sign || Math.Abs(y[i]) <= edge) continue;
            crossings.Add(t[lastZero]);
            sign = Math.Sign(y[i]);
        }

        if (crossings.Count < 3) return null;
        var omega = Math.PI * (crossings.Count - 1) / (crossings[^1] - crossings[0]);
        var half = y.Length / 2;
        double early = 0, late = 0;
        for (var i = 0; i < y.Length; i++)
            if (i < half) early += y[i] * y[i];
            else late += y[i] * y[i];
        return [omega, late > 0 ? Math.Log(early / late) : 0, y[0], 0, 0];
    }

    static double Squares(double[] t, double[] y, double[] x)
    {
        var sum = 0.0;
        for (var i = 0; i < t.Length; i++)
        {
            var (sin, cos) = Math.SinCos(x[0] * t[i]);
            var r = y[i] - Math.Exp(-x[1] * t[i]) * (x[2] * cos + x[3] * sin) - x[4];
            sum += r * r;
        }

        return sum;
    }

    static (Matrix<double> Normal, Vector<double> Gradient) Normal(double[] t, double[] y, double[] x)
    {
        Span<double> d = stackalloc double[5], normal = stackalloc double[25], gradient = stackalloc double[5];
        normal.Clear();
        gradient.Clear();
        for (var i = 0; i < t.Length; i++)
        {
            var (sin, cos) = Math.SinCos(x[0] * t[i]);
            var fade = Math.Exp(-x[1] * t[i]);
            var wave = fade * (x[2] * cos + x[3] * sin);
            (d[0], d[1], d[2], d[3], d[4]) = (t[i] * fade * (x[3] * cos - x[2] * sin), -t[i] * wave, fade * cos, fade * sin, 1);
            var r = y[i] - wave - x[4];
            for (var j = 0; j < 5; j++)
            {
                gradient[j] += d[j] * r;
                for (var k = 0; k < 5; k++) normal[5 * j + k] += d[j] * d[k];
            }
        }

        return (Matrix<double>.Build.Dense(5, 5, normal.ToArray()), Vector<double>.Build.Dense(gradient.ToArray()));
    }
}
