using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Judging;

/// <summary>What a limit with a guard band lets through and turns away, over everything a process makes.</summary>
/// <param name="Consumer">Share of all items that are bad and accepted.</param>
/// <param name="Producer">Share of all items that are good and rejected.</param>
/// <param name="AcceptLower">Readings from here on are accepted; null without a lower edge.</param>
/// <param name="AcceptUpper">Readings up to here are accepted; null without an upper edge.</param>
public sealed record ConformanceRisk(double Consumer, double Producer, double? AcceptLower, double? AcceptUpper)
{
    // Readings this exact decide like the truth; what they leave is a step, which the general way cuts at the edges.
    const double LeastUncertainty = 1e-9;

    /// <summary>Risks for a process that makes a normal distribution.</summary>
    /// <param name="guardBand">Width of the strip kept free inside each edge, in the unit of the edge; negative accepts beyond the edge.</param>
    /// <remarks>
    /// Both are joint shares of all items made (JCGM 106:2012, 9.5.2), not shares of the accepted or the rejected.
    /// Error below 1e-11 absolute; what lies more than 12 standard deviations from the mean is left out (1e-32). Source: JCGM 106:2012, 9.5.
    /// </remarks>
    /// <exception cref="InputException">Edges, spread or uncertainty that cannot be.</exception>
    public static ConformanceRisk Of(double? lower, double? upper, double standardUncertainty, double processMean, double processSd, double guardBand = 0)
    {
        RequireInputs(lower, upper, standardUncertainty, processMean, processSd, guardBand);
        var (acceptLower, acceptUpper) = (lower + guardBand, upper - guardBand);
        if (standardUncertainty / processSd > LeastUncertainty && !(acceptLower >= acceptUpper))
        {
            double Standard(double? edge, double without) => edge is { } e ? (e - processMean) / processSd : without;
            var (low, high) = (double.NegativeInfinity, double.PositiveInfinity);
            var (consumer, producer) = NormalRisk.Of(
                Standard(lower, low), Standard(upper, high), Standard(acceptLower, low), Standard(acceptUpper, high), standardUncertainty / processSd);
            return new(consumer, producer, acceptLower, acceptUpper);
        }

        const double farOut = 12;
        return Of(lower, upper, standardUncertainty, x => Normal.Density((x - processMean) / processSd) / processSd,
            processMean - farOut * processSd, processMean + farOut * processSd, processSd, guardBand);
    }

    /// <summary>Risks for a process with any density.</summary>
    /// <param name="density">Of the true value, in 1/unit; smooth between <paramref name="from"/> and <paramref name="to"/>, where it is as good as zero or
    /// ends.</param>
    /// <param name="spread">About one standard deviation of the process: how far the density may be taken as smooth.</param>
    public static ConformanceRisk Of(
        double? lower, double? upper, double standardUncertainty, Func<double, double> density, double from, double to, double spread, double guardBand = 0)
    {
        var (acceptLower, acceptUpper) = (lower + guardBand, upper - guardBand);
        var empty = acceptLower > acceptUpper;
        var (edgeLower, edgeUpper) = (Math.Clamp(lower ?? from, from, to), Math.Clamp(upper ?? to, from, to));

        double Accepted(double x) => empty ? 0 : Conformance.Probability(x, standardUncertainty, acceptLower, acceptUpper);
        double Rejected(double x) => empty ? 1 : Outside(x, standardUncertainty, acceptLower, acceptUpper);

        var inside = Panels(edgeLower, edgeUpper);
        return new(
            Quadrature.Over(Panels(from, edgeLower), x => Accepted(x) * density(x)) + Quadrature.Over(Panels(edgeUpper, to), x => Accepted(x) * density(x)),
            Quadrature.Over(inside, x => Rejected(x) * density(x)), acceptLower, acceptUpper);

        // The acceptance curve bends within a few u of its edges, the density within a spread: panels follow both.
        double[] Panels(double start, double end)
        {
            var edges = new SortedSet<double> { start, end };
            foreach (var bend in (double?[])[acceptLower, acceptUpper])
                for (var k = -8; k <= 8 && bend is not null; k += 2) Add(bend.Value + k * standardUncertainty);
            var first = Math.Max(start, from);
            for (var x = first; x < end; x += 2 * spread) Add(x);
            return [.. edges];

            void Add(double x)
            {
                if (x > start && x < end) edges.Add(x);
            }
        }
    }

    /// <summary>The guard band that keeps the consumer's risk at or below a largest share of all items made.</summary>
    /// <returns>In the unit of the edges; negative where even accepting beyond the edge keeps the risk.</returns>
    /// <exception cref="InputException">Inputs that cannot be, or a share that is not between 0 and 1.</exception>
    public static double GuardBandFor(double largestConsumerRisk, double? lower, double? upper, double standardUncertainty, double processMean, double processSd)
    {
        if (largestConsumerRisk is not (> 0 and < 1))
            throw new InputException(new InputError("risk", 0, "largest consumer's risk", Text.Of(largestConsumerRisk), "a share between 0 and 1 such as 0.001"));
        var reach = 10 * standardUncertainty;
        var widest = lower is { } l && upper is { } u ? Math.Min(reach, (u - l) / 2) : reach;
        double Excess(double guardBand) => Of(lower, upper, standardUncertainty, processMean, processSd, guardBand).Consumer - largestConsumerRisk;
        if (Excess(-reach) <= 0) return -reach;
        if (Excess(widest) > 0) return widest;
        return MathNet.Numerics.RootFinding.Brent.FindRoot(Excess, -reach, widest, 1e-12 * standardUncertainty, 200);
    }

    static double Outside(double x, double u, double? lower, double? upper)
    {
        if (u == 0) return x < lower || x > upper ? 1 : 0;
        return (lower is { } l ? Normal.Below((l - x) / u) : 0) + (upper is { } h ? Normal.Above((h - x) / u) : 0);
    }

    static void RequireInputs(double? lower, double? upper, double u, double mean, double sd, double guardBand)
    {
        var errors = new List<InputError>();
        void Require(bool right, string what, double? found, string expected)
        {
            if (!right) errors.Add(new("risk", 0, what, found is { } f ? Text.Of(f) : "nothing", expected));
        }

        Require(lower is not null || upper is not null, "limits", null, "a lower limit, an upper limit, or both");
        Require(lower is null || double.IsFinite(lower.Value), "lower", lower, "a finite number");
        Require(upper is null || double.IsFinite(upper.Value), "upper", upper, "a finite number");
        Require(!(lower >= upper), "upper", upper, lower is { } l ? $"more than the lower limit, {Text.Of(l)}" : "");
        Require(double.IsFinite(u) && u >= 0, "standard uncertainty", u, "a finite number, 0 or more");
        Require(double.IsFinite(mean), "process mean", mean, "a finite number");
        Require(double.IsFinite(sd) && sd > 0, "process standard deviation", sd, "a finite number above 0");
        Require(double.IsFinite(guardBand), "guard band", guardBand, "a finite number");
        if (errors.Count > 0) throw new InputException(errors);
    }
}
