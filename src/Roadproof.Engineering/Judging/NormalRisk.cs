using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using MathNet.Numerics.Integration;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Judging;

/// <summary>Consumer's and producer's share of a process that makes a normal distribution, by a Gauss-Legendre rule of fixed nodes, eight at a time.</summary>
/// <remarks>
/// Panels stand around the acceptance edges, where readings decide: their nodes lie within eight and a half uncertainties of an edge, and where the density itself bends sooner, within its spread.
/// Farther out a reading accepts or rejects for sure (1e-17), and the density's own integral is the normal distribution's. Error below 1e-11 absolute (tests against adaptive quadrature). Source: JCGM 106:2012, 9.5.2.
/// </remarks>
static class NormalRisk
{
    const int Nodes = 24;

    /// <summary>From here on, in uncertainties, a reading is sure to a part in 10¹⁷.</summary>
    const double Sure = 8.5;

    /// <summary>Longest panel, in uncertainties and in spreads of the process: 24 nodes leave less than 1e-13 of it.</summary>
    const double LongestInU = 4.25, LongestInSpreads = 3;

    static readonly (double[] At, double[] Weight) Rule = Legendre();

    /// <param name="lower">Edge, minus infinity without one; all in spreads of the process from its mean.</param>
    /// <param name="acceptLower">Readings between the accept edges are accepted; lower below upper.</param>
    /// <param name="u">Standard uncertainty of a reading in spreads; above 0.</param>
    public static (double Consumer, double Producer) Of(double lower, double upper, double acceptLower, double acceptUpper, double u)
    {
        // Where a reading could fall either way, and between the two such strips the stretch that is surely accepted.
        var (lowFrom, lowTo) = (acceptLower - Sure * u, acceptLower + Sure * u);
        var (highFrom, highTo) = (acceptUpper - Sure * u, acceptUpper + Sure * u);
        var apart = lowTo < highFrom;
        double consumer = 0, producer = 0;
        if (apart)
        {
            Strip(lowFrom, lowTo, bothEdges: false, isUpper: false);
            Strip(highFrom, highTo, bothEdges: false, isUpper: true);

            // Accepted for sure: bad where it lies beyond an edge.
            consumer += Between(lowTo, Math.Min(highFrom, lower)) + Between(Math.Max(lowTo, upper), highFrom);
        }
        else
        {
            Strip(lowFrom, highTo, bothEdges: true, isUpper: true);
        }

        // Rejected for sure: good where it lies within the edges.
        producer += Between(lower, Math.Min(lowFrom, upper)) + Between(Math.Max(highTo, lower), upper);
        return (consumer, producer);

        void Strip(double from, double to, bool bothEdges, bool isUpper)
        {
            if (!(from < to) || double.IsInfinity(from) || double.IsInfinity(to)) return;
            const double farOut = 12;
            (from, to) = (Math.Max(from, -farOut), Math.Min(to, farOut));
            consumer += Sum(from, Math.Min(to, lower), accepted: true, bothEdges, isUpper) + Sum(Math.Max(from, upper), to, accepted: true, bothEdges, isUpper);
            producer += Sum(Math.Max(from, lower), Math.Min(to, upper), accepted: false, bothEdges, isUpper);
        }

        double Sum(double from, double to, bool accepted, bool bothEdges, bool isUpper)
        {
            if (!(from < to)) return 0;
            var panels = Math.Max(1, (int)Math.Ceiling((to - from) / Math.Min(LongestInU * u, LongestInSpreads)));
            var half = (to - from) / (2 * panels);
            ref var at = ref MemoryMarshal.GetArrayDataReference(Rule.At);
            ref var weight = ref MemoryMarshal.GetArrayDataReference(Rule.Weight);
            var (sum, perU) = (Vector512<double>.Zero, 1 / u);
            for (var panel = 0; panel < panels; panel++)
                for (nuint k = 0; k < Nodes; k += 8)
                {
                    var x = Vector512.FusedMultiplyAdd(Vector512.LoadUnsafe(ref at, k), Vector512.Create(half), Vector512.Create(from + (2 * panel + 1) * half));
                    var share = bothEdges
                        ? Outside((x - Vector512.Create(acceptLower)) * perU, (Vector512.Create(acceptUpper) - x) * perU, accepted)
                        : NormalLanes.Above((isUpper == accepted ? x - Vector512.Create(isUpper ? acceptUpper : acceptLower) : Vector512.Create(isUpper ? acceptUpper : acceptLower) - x) * perU);
                    sum = Vector512.FusedMultiplyAdd(Vector512.LoadUnsafe(ref weight, k) * NormalLanes.Density(x), share, sum);
                }

            return half * Vector512.Sum(sum);
        }
    }

    /// <param name="above">How far the true value lies above the lower accept edge, in uncertainties; <paramref name="below"/>: below the upper one.</param>
    static Vector512<double> Outside(Vector512<double> above, Vector512<double> below, bool accepted)
    {
        var rejected = NormalLanes.Above(above) + NormalLanes.Above(below);
        return accepted ? Vector512<double>.One - rejected : rejected;
    }

    static double Between(double from, double to) => from < to ? Normal.Between(from, to) : 0;

    static (double[], double[]) Legendre()
    {
        var rule = new GaussLegendreRule(-1, 1, Nodes);
        return (rule.Abscissas, rule.Weights);
    }
}
