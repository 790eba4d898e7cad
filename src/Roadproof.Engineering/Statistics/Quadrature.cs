namespace Roadproof.Engineering.Statistics;

/// <summary>Integrals over a finite range by the Gauss-Legendre rule.</summary>
/// <remarks>Exact for polynomials up to degree 2n − 1 in each panel. Knees belong on panel edges: the rule converges fast only where the integrand is
/// smooth.</remarks>
public static class Quadrature
{
    const int Nodes = 32;
    static readonly double[] Place = new double[Nodes];
    static readonly double[] Weight = new double[Nodes];

    static Quadrature()
    {
        for (var i = 0; i < Nodes; i++) (Place[i], Weight[i]) = Node(i);
    }

    /// <summary>Integral of <paramref name="f"/> over each panel between neighbouring <paramref name="edges"/>, added up.</summary>
    /// <param name="edges">Rising, shape [n ≥ 2]; equal neighbours make an empty panel.</param>
    public static double Over(ReadOnlySpan<double> edges, Func<double, double> f)
    {
        var sum = 0.0;
        for (var i = 1; i < edges.Length; i++)
            if (edges[i] > edges[i - 1]) sum += Panel(edges[i - 1], edges[i], f);
        return sum;
    }

    static double Panel(double from, double to, Func<double, double> f)
    {
        var half = 0.5 * (to - from);
        var middle = 0.5 * (to + from);
        var sum = 0.0;
        for (var i = 0; i < Nodes; i++) sum += Weight[i] * f(middle + half * Place[i]);
        return half * sum;
    }

    // A root of the Legendre polynomial by Newton's method from the usual cosine start (Abramowitz & Stegun 25.4.29, from memory).
    static (double Place, double Weight) Node(int i)
    {
        var x = Math.Cos(Math.PI * (i + 0.75) / (Nodes + 0.5));
        double slope;
        do
        {
            var (p, before) = (1.0, 0.0);
            for (var k = 1; k <= Nodes; k++) (p, before) = (((2 * k - 1) * x * p - (k - 1) * before) / k, p);
            slope = Nodes * (x * p - before) / (x * x - 1);
            var step = p / slope;
            x -= step;
            if (Math.Abs(step) < 1e-15) break;
        }
        while (true);
        return (x, 2 / ((1 - x * x) * slope * slope));
    }
}
