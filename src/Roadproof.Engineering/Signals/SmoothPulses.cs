using MathNet.Numerics;
using MathNet.Numerics.LinearRegression;

namespace Roadproof.Engineering.Signals;

/// <summary>Takes out of a tacho's times what its recorder's clock put in: an edge that rises within one sample is known to that sample only.</summary>
/// <remarks>
/// Smoothing spline of time over the pulses' number: of all curves whose distance from the times is no more than rounding makes it the one with the least bend (Reinsch, Smoothing by spline functions,
/// Numerische Mathematik 10, 1967; from memory, held by tests against known shafts). A shaft that truly speeds up bends the curve as much as it needs. What noise is left in a time follows from the
/// smoother's filter 1/(1 + λω⁴): variance δ²·(3/(8√2))·λ^(−1/4), and never less than a straight line's 2δ²/n.
/// </remarks>
static class SmoothPulses
{
    const double LeastBendWeight = 1e-4, MostBendWeight = 1e8;

    /// <param name="edgeS">Standard uncertainty of a time, s, above 0.</param>
    /// <returns>The pulses at smoothed times, and the standard uncertainty that is left of each, s.</returns>
    public static (PulseTrain Pulses, double LeftS) Of(PulseTrain pulses, double edgeS)
    {
        if (pulses.TimeS.Length < 5) return (pulses, edgeS);
        var usual = Usual(pulses);
        var (smooth, leftS) = OfRest(pulses with { TimeS = Less(pulses.TimeS, usual) }, edgeS);
        return (pulses with { TimeS = [.. smooth.Zip(usual, (rest, s) => rest + s)] }, leftS);
    }

    /// <summary>When the pulses would have come with a speed that changes as a polynomial of time, which an even speed and a run-up do. What is left of the times has hardly a bend, at its ends least of all, where the spline must have none.</summary>
    static double[] Usual(PulseTrain pulses)
    {
        var (startS, lastS) = (pulses.TimeS[0], pulses.TimeS[^1] - pulses.TimeS[0]);
        var place = Array.ConvertAll(pulses.TimeS, t => (2 * (t - startS) / lastS) - 1);
        var number = Polynomial.Fit(place, pulses.Number, Math.Clamp(place.Length / 10, 1, 6), DirectRegressionMethod.QR);
        var speed = number.Differentiate();
        var usual = new double[place.Length];
        for (var k = 0; k < place.Length; k++)
        {
            var x = place[k];
            for (var step = 0; step < 4; step++)
            {
                var slope = speed.Evaluate(x);
                // No such curve: the spline alone follows the times.
                if (!(slope > 0)) return new double[place.Length];
                x -= (number.Evaluate(x) - pulses.Number[k]) / slope;
            }

            usual[k] = startS + ((x + 1) / 2 * lastS);
        }

        return usual;
    }

    static double[] Less(double[] a, double[] b) => [.. a.Zip(b, (x, y) => x - y)];

    static (double[] TimeS, double LeftS) OfRest(PulseTrain pulses, double edgeS)
    {
        var (least, most) = (Math.Log(LeastBendWeight), Math.Log(MostBendWeight));
        var wanted = pulses.TimeS.Length * edgeS * edgeS;
        for (var step = 0; step < 40 && most - least > 0.01; step++)
        {
            var middle = (least + most) / 2;
            if (SquaresLeft(pulses.TimeS, Smoothed(pulses, Math.Exp(middle))) < wanted) least = middle;
            else most = middle;
        }

        var weight = Math.Exp(least);
        var left = edgeS * Math.Sqrt(Math.Clamp(3 / (8 * Math.Sqrt(2)) * Math.Pow(weight, -0.25), 2.0 / pulses.TimeS.Length, 1));
        return (Smoothed(pulses, weight), left);
    }

    static double SquaresLeft(double[] a, double[] b)
    {
        var sum = 0.0;
        for (var i = 0; i < a.Length; i++) sum += (a[i] - b[i]) * (a[i] - b[i]);
        return sum;
    }

    /// <summary>Solves (R + λQᵀQ)·γ = Qᵀt by the root-free Cholesky decomposition of a matrix with five diagonals; the curve is t − λQγ.</summary>
    static double[] Smoothed(PulseTrain pulses, double weight)
    {
        var (x, t) = (pulses.Number, pulses.TimeS);
        var n = x.Length - 2;
        double H(int i) => x[i + 1] - x[i];
        var (d, e, f, g) = (new double[n], new double[n], new double[n], new double[n]); // diagonal, first and second beside it, right side
        for (var j = 0; j < n; j++)
        {
            double a = 1 / H(j), c = 1 / H(j + 1), b = -a - c;
            d[j] = ((H(j) + H(j + 1)) / 3) + (weight * ((a * a) + (b * b) + (c * c)));
            g[j] = (a * t[j]) + (b * t[j + 1]) + (c * t[j + 2]);
            if (j + 1 >= n) continue;
            double a1 = c, c1 = 1 / H(j + 2), b1 = -a1 - c1;
            e[j] = (H(j + 1) / 6) + (weight * ((b * a1) + (c * b1)));
            if (j + 2 < n) f[j] = weight * c * c1;
        }

        for (var j = 0; j < n; j++)
        {
            if (j + 1 < n)
            {
                var first = e[j] / d[j];
                var second = j + 2 < n ? f[j] / d[j] : 0;
                d[j + 1] -= first * e[j];
                if (j + 2 < n)
                {
                    e[j + 1] -= first * f[j];
                    d[j + 2] -= second * f[j];
                    g[j + 2] -= second * g[j];
                }

                g[j + 1] -= first * g[j];
                (e[j], f[j]) = (first, second);
            }
        }

        for (var j = n - 1; j >= 0; j--)
        {
            g[j] /= d[j];
            if (j + 1 < n) g[j] -= e[j] * g[j + 1];
            if (j + 2 < n) g[j] -= f[j] * g[j + 2];
        }

        var smooth = (double[])t.Clone();
        for (var j = 0; j < n; j++)
        {
            double a = 1 / H(j), c = 1 / H(j + 1);
            smooth[j] -= weight * a * g[j];
            smooth[j + 1] -= weight * (-a - c) * g[j];
            smooth[j + 2] -= weight * c * g[j];
        }

        return smooth;
    }
}
