using MathNet.Numerics.Integration;
using MathNet.Numerics.LinearAlgebra;

namespace Roadproof.Engineering.Statistics;

/// <summary>An exponentially weighted moving average of standard normal deviations: it remembers, so that a small lasting shift shows long before a single value lies out.</summary>
/// <param name="Lambda">Weight of the newest value, 0 to 1.</param>
/// <param name="Limit">Half width of the limits in the average's own standard deviations.</param>
/// <remarks>Source: Roberts 1959; NIST/SEMATECH e-Handbook 6.3.2.4. Run lengths: the integral equation of Crowder 1987 (from memory), held against published run lengths in the tests.</remarks>
public sealed record EwmaChart(double Lambda, double Limit)
{
    const int Nodes = 48;

    /// <summary>For one characteristic: a wrong alarm in about 500 values, a shift of one standard deviation found in about ten (Lucas and Saccucci 1990, from memory).</summary>
    public static readonly EwmaChart OfOne = new(0.2, 2.962);

    /// <summary>For several characteristics watched together, of which any one raises the alarm.</summary>
    /// <param name="meanRunLength">Values until the first wrong alarm of all of them together, on average.</param>
    /// <remarks>Each alone waits so many times longer. Exact for independent characteristics; with correlated ones wrong alarms are rarer.</remarks>
    public static EwmaChart OfFamily(int characteristics, double meanRunLength = 500)
    {
        var (lower, upper) = (1.0, 8.0);
        while (upper - lower > 1e-4)
        {
            var middle = (lower + upper) / 2;
            if (new EwmaChart(OfOne.Lambda, middle).MeanRunLength(0) < characteristics * meanRunLength) lower = middle;
            else upper = middle;
        }

        return new(OfOne.Lambda, (lower + upper) / 2);
    }

    /// <summary>The average after one more value.</summary>
    public double Next(double before, double value) => Lambda * value + (1 - Lambda) * before;

    /// <summary>How far the average may lie from zero after so many values.</summary>
    public double LimitAt(int values) => Limit * Math.Sqrt(Lambda / (2 - Lambda) * (1 - Math.Pow(1 - Lambda, 2 * values)));

    /// <summary>Values until an alarm, on average, when from now on every value is shifted; limits as after many values, the average at zero before.</summary>
    /// <param name="shift">In standard deviations of a value.</param>
    public double MeanRunLength(double shift)
    {
        // L(z) = 1 + ∫ L(x)·φ((x − (1 − λ)z)/λ − shift)/λ dx between the limits, at the nodes of a Gauss-Legendre rule.
        var half = LimitAt(int.MaxValue / 2);
        var rule = new GaussLegendreRule(-half, half, Nodes);
        var (x, weight) = (rule.Abscissas, rule.Weights);
        double Into(double from, int to) => weight[to] / Lambda * Normal.Density((x[to] - (1 - Lambda) * from) / Lambda - shift);
        var lengths = Matrix<double>.Build.Dense(Nodes, Nodes, (i, j) => (i == j ? 1 : 0) - Into(x[i], j)).Solve(Vector<double>.Build.Dense(Nodes, 1));
        return 1 + Enumerable.Range(0, Nodes).Sum(j => Into(0, j) * lengths[j]);
    }
}
