using MathNet.Numerics.Integration;

namespace Roadproof.Engineering.Statistics;

/// <summary>Integrals over a finite range by the Gauss-Legendre rule.</summary>
/// <remarks>Exact for polynomials up to degree 63 in each panel. Knees belong on panel edges: the rule converges fast only where the integrand is
/// smooth.</remarks>
public static class Quadrature
{
    const int Nodes = 32;

    /// <summary>Integral of <paramref name="f"/> over each panel between neighbouring <paramref name="edges"/>, added up.</summary>
    /// <param name="edges">Rising, shape [n ≥ 2]; equal neighbours make an empty panel.</param>
    public static double Over(ReadOnlySpan<double> edges, Func<double, double> f)
    {
        var sum = 0.0;
        for (var i = 1; i < edges.Length; i++)
            if (edges[i] > edges[i - 1]) sum += GaussLegendreRule.Integrate(f, edges[i - 1], edges[i], Nodes);
        return sum;
    }
}
