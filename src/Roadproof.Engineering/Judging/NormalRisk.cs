using System.Runtime.Intrinsics;
using MathNet.Numerics.Integration;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Judging;

/// <summary>Consumer's and producer's share of a process that makes a normal distribution and is read with a normal error: two jointly normal values.</summary>
/// <remarks>
/// With X the true value in spreads of the process and Z the reading, scaled to spread 1, their correlation is ρ = 1/√(1 + u²). Plackett's identity, ∂P(X ≤ h, Z ≤ k)/∂ρ = φ₂(h, k; ρ), from the exact
/// reading (ρ = 1), where truth and reading decide alike, gives
/// P(X &gt; h, Z &lt; k) = max(0, Φ(k) − Φ(h)) + J(h, k), J = 1/2π ∫ exp(−(h − k)²/(2 sin²φ) − hk/(1 + cos φ)) dφ from 0 to arctan u.
/// Every term is positive, so that small risks keep their digits. Error below 1e-11 absolute (tests against quadrature of the definition). Sources: JCGM 106:2012, 9.5.2; Plackett, Biometrika 41 (1954) 351, from memory.
/// </remarks>
static class NormalRisk
{
    const int Nodes = 24;

    /// <summary>The integrand falls to nothing towards φ = 0 faster than any power: panels shrink towards it by this factor.</summary>
    const double Shrink = 0.25;

    /// <summary>e to minus this is nothing beside 1e-17.</summary>
    const double Nothing = 40;

    static readonly (double[] At, double[] Weight) Rule = Legendre();

    /// <param name="lower">Edge, minus infinity without one; all in spreads of the process from its mean.</param>
    /// <param name="acceptLower">Readings between the accept edges are accepted; lower below upper.</param>
    /// <param name="u">Standard uncertainty of a reading in spreads; above 0.</param>
    public static (double Consumer, double Producer) Of(double lower, double upper, double acceptLower, double acceptUpper, double u)
    {
        var spread = Math.Sqrt(1 + u * u);
        var (low, high) = (acceptLower / spread, acceptUpper / spread);

        // Half the angle of the correlation: q = tan(φ/2) turns sines into fractions.
        var last = u / (1 + spread);
        var (upperHigh, upperLow) = (Doubt(upper, high, last), Doubt(upper, low, last));
        var (lowerLow, lowerHigh) = (Doubt(lower, low, last), Doubt(lower, high, last));

        var consumer = Between(upper, high) + upperHigh - (Between(upper, low) + upperLow)
            + Between(low, lower) + lowerLow - (Between(high, lower) + lowerHigh);
        var producer = Between(lower, low) + lowerLow - (Between(upper, low) + upperLow)
            + Between(high, upper) + upperHigh - (Between(high, lower) + lowerHigh);
        return (Math.Max(0, consumer), Math.Max(0, producer));
    }

    /// <summary>J(<paramref name="h"/>, <paramref name="k"/>): what an inexact reading adds to the share that is beyond <paramref name="h"/> and reads short of <paramref name="k"/>.</summary>
    static double Doubt(double h, double k, double last)
    {
        var distance = h - k;
        if (!double.IsFinite(distance)) return 0;
        var (eighth, half) = (Vector512.Create(-distance * distance / 8), Vector512.Create(-h * k / 2));
        var doubt = 0.0;
        for (var to = last; distance * distance < 8 * Nothing * to * to; to *= Shrink)
        {
            // Where the distance no longer bends the integrand, one panel reaches down to 0.
            var bends = Math.Abs(distance) > 1e-13 * to;
            var from = bends ? Shrink * to : 0;
            var (middle, width) = (Vector512.Create((to + from) / 2), Vector512.Create((to - from) / 2));
            var sum = Vector512<double>.Zero;
            for (nuint node = 0; node < Nodes; node += 8)
            {
                var q = Vector512.FusedMultiplyAdd(Vector512.LoadUnsafe(ref Rule.At[0], node), width, middle);
                var square = q * q;
                var one = Vector512<double>.One + square;
                sum += Vector512.LoadUnsafe(ref Rule.Weight[0], node) * Vector512.Exp(one * (eighth * one / square + half)) / one;
            }

            doubt += width[0] * Vector512.Sum(sum);
            if (!bends) break;
        }

        return doubt / Math.PI;
    }

    static double Between(double from, double to) => from < to ? Normal.Between(from, to) : 0;

    static (double[], double[]) Legendre()
    {
        var rule = new GaussLegendreRule(-1, 1, Nodes);
        return (rule.Abscissas, rule.Weights);
    }
}
