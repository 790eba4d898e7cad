using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using MathNet.Numerics.Integration;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Judging;

/// <summary>Consumer's and producer's share of a process that makes a normal distribution, by a Gauss-Legendre rule of fixed nodes, a panel at a time.</summary>
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
            var (sum, perU) = (Vector512<double>.Zero, 1 / u);
            var (below, above) = (Vector512.Create(acceptLower), Vector512.Create(acceptUpper));
            var nearest = isUpper ? above : below;

            // A single edge: what lies beyond it, on the side that is asked for.
            var towards = isUpper == accepted ? perU : -perU;
            for (var panel = 0; panel < panels; panel++)
            {
                var middle = Vector512.Create(from + (2 * panel + 1) * half);
                var (x0, x1, x2) = (Place(0, half, middle), Place(8, half, middle), Place(16, half, middle));
                var (a, b, c) = ((x0 - nearest) * towards, (x1 - nearest) * towards, (x2 - nearest) * towards);
                if (bothEdges)
                {
                    (a, b, c) = ((x0 - below) * perU, (x1 - below) * perU, (x2 - below) * perU);
                    var (d, e, f) = ((above - x0) * perU, (above - x1) * perU, (above - x2) * perU);
                    NormalLanes.Above(ref a, ref b, ref c);
                    NormalLanes.Above(ref d, ref e, ref f);
                    (a, b, c) = (a + d, b + e, c + f);
                    if (accepted) (a, b, c) = (Vector512<double>.One - a, Vector512<double>.One - b, Vector512<double>.One - c);
                }
                else
                {
                    NormalLanes.Above(ref a, ref b, ref c);
                }

                sum += Weight(0) * NormalLanes.Density(x0) * a + Weight(8) * NormalLanes.Density(x1) * b + Weight(16) * NormalLanes.Density(x2) * c;
            }

            return half * Vector512.Sum(sum);
        }
    }

    static Vector512<double> Place(nuint node, double half, Vector512<double> middle) =>
        Vector512.FusedMultiplyAdd(Vector512.LoadUnsafe(ref MemoryMarshal.GetArrayDataReference(Rule.At), node), Vector512.Create(half), middle);

    static Vector512<double> Weight(nuint node) => Vector512.LoadUnsafe(ref MemoryMarshal.GetArrayDataReference(Rule.Weight), node);

    static double Between(double from, double to) => from < to ? Normal.Between(from, to) : 0;

    static (double[], double[]) Legendre()
    {
        var rule = new GaussLegendreRule(-1, 1, Nodes);
        return (rule.Abscissas, rule.Weights);
    }
}
