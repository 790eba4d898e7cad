using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Judging;

/// <summary>How a standard uncertainty was found.</summary>
/// <remarks>Source: JCGM 100:2008, 4.2 and 4.3.</remarks>
public enum Evaluation
{
    /// <summary>From the scatter of observations: this run's own window, or what the gauge's scatter was found to be (4.2.4, pooled).</summary>
    A,

    /// <summary>From anything else that is known: a calibration, a resolution, a model.</summary>
    B,
}

/// <summary>Who shares an error.</summary>
public enum SharedBy
{
    /// <summary>Nobody: drawn anew for every run (noise).</summary>
    Nobody,

    /// <summary>All runs of one unit: its own sensors, how its magnets and grease warm.</summary>
    Unit,

    /// <summary>All runs of a rig until it is calibrated again (gain, zero).</summary>
    Rig,

    /// <summary>All units: how far the model itself is trusted. It widens what counts as usual, but no unit scatters by it.</summary>
    AllUnits,
}

/// <summary>One input that makes a value uncertain.</summary>
/// <param name="Source">Which gauge, window or term the standard uncertainty is taken from.</param>
/// <param name="StandardUncertainty">Of the input, in <paramref name="Unit"/>.</param>
/// <param name="Sensitivity">How far the value moves for one unit of the input, in the value's unit.</param>
public sealed record Contribution(string Name, Evaluation Type, string Source, double StandardUncertainty, string Unit, double Sensitivity, SharedBy SharedBy = SharedBy.Nobody)
{
    /// <summary>How well the standard uncertainty itself is known; null where it is taken as known.</summary>
    public double? DegreesOfFreedom { get; init; }

    /// <summary>Share of the value's variance; with correlated inputs it may be negative.</summary>
    public double Share { get; init; }

    /// <summary>What the input brings, with its sign, in the value's unit.</summary>
    public double Value => Sensitivity * StandardUncertainty;
}

/// <summary>Where the uncertainty of one value comes from, the largest contribution first.</summary>
/// <param name="DegreesOfFreedom">By Welch and Satterthwaite; null where every input is taken as known.</param>
/// <param name="CoverageFactor">Of Student's distribution for 95 %.</param>
/// <param name="ExpandedUncertainty">Coverage factor times standard uncertainty.</param>
/// <remarks>
/// u² = Σ c_i·c_j·u_i·u_j·r_ij (JCGM 100:2008, 5.1.2 and 5.2.2); ν = u⁴ / Σ (c_i·u_i)⁴/ν_i (G.4.1), cut to a whole number for the coverage factor (G.4.1, note 1).
/// Method: <c>docs/methods/budgets.md</c>.
/// </remarks>
public sealed record UncertaintyBudget(IReadOnlyList<Contribution> Contributions, double StandardUncertainty, double? DegreesOfFreedom, double CoverageFactor, double ExpandedUncertainty)
{
    const double Confidence = 0.95;

    /// <summary>Inputs too small to be listed, together, in the value's unit.</summary>
    public double Rest { get; init; }

    /// <summary>The part of the standard uncertainty that another run of the same unit draws anew, in the value's unit.</summary>
    public double OfRun { get; init; }

    /// <summary>The part that stays with the rig.</summary>
    public double OfRig { get; init; }

    /// <summary>What drawing all inputs through the full computation says of this budget; null where it was not asked.</summary>
    public CoverageCheck? Drawn { get; init; }

    /// <summary>A budget of independent inputs.</summary>
    public static UncertaintyBudget Of(IReadOnlyList<Contribution> inputs)
    {
        var variance = inputs.Sum(Square);
        var known = inputs.Where(c => c.DegreesOfFreedom is not null).Sum(c => Square(c) * Square(c) / c.DegreesOfFreedom!.Value);
        return Of(inputs, [.. inputs.Select(Square)], variance, known > 0 ? variance * variance / known : null);
    }

    /// <summary>A budget of correlated inputs.</summary>
    /// <param name="correlation">Between the inputs, shape [inputs, inputs].</param>
    /// <param name="degreesOfFreedom">Of all inputs together, where the same observations gave them; Welch and Satterthwaite's formula does not hold for correlated inputs.</param>
    public static UncertaintyBudget Of(IReadOnlyList<Contribution> inputs, double[,] correlation, double? degreesOfFreedom = null)
    {
        var variances = inputs.Select((a, i) => inputs.Select((b, j) => a.Value * b.Value * correlation[i, j]).Sum()).ToArray();
        return Of(inputs, variances, variances.Sum(), degreesOfFreedom);
    }

    /// <summary>Covariance of two values that follow from the same inputs in the same order.</summary>
    /// <remarks>Source: JCGM 100:2008, H.2.3, equation H.9.</remarks>
    public static double Covariance(IReadOnlyList<Contribution> one, IReadOnlyList<Contribution> other, double[,] correlation) =>
        one.Select((a, i) => other.Select((b, j) => a.Value * b.Value * correlation[i, j]).Sum()).Sum();

    /// <summary>Half the width of the interval that holds the true value with a confidence.</summary>
    public double Expanded(double confidence) => Factor(DegreesOfFreedom, confidence) * StandardUncertainty;

    /// <summary>The same budget with only the inputs that bring at least a share of the variance; the others stand together in <see cref="Rest"/>.</summary>
    public UncertaintyBudget Listing(double leastShare)
    {
        var (listed, small) = (Contributions.Where(c => Math.Abs(c.Share) >= leastShare).ToList(), Contributions.Where(c => Math.Abs(c.Share) < leastShare));
        return this with { Contributions = listed, Rest = Math.Sqrt(Rest * Rest + small.Sum(Square)) };
    }

    static UncertaintyBudget Of(IReadOnlyList<Contribution> inputs, double[] variances, double variance, double? degreesOfFreedom)
    {
        var u = Math.Sqrt(Math.Max(0, variance));
        var factor = Factor(degreesOfFreedom, Confidence);
        var contributions = inputs.Select((c, i) => c with { Share = variance > 0 ? variances[i] / variance : 0 }).OrderByDescending(c => Math.Abs(c.Share)).ToList();
        return new(contributions, u, degreesOfFreedom, factor, factor * u) { OfRun = Part(SharedBy.Nobody), OfRig = Part(SharedBy.Rig) };

        double Part(SharedBy by) => Math.Sqrt(inputs.Where(c => c.SharedBy == by).Sum(Square));
    }

    static double Factor(double? degreesOfFreedom, double confidence)
    {
        var (below, z) = ((1 + confidence) / 2, Normal.Quantile((1 + confidence) / 2));
        return degreesOfFreedom switch
        {
            null => z,

            // The library's search for a quantile does not end where there are very many: from 100 on the expansion about the normal one is right within 1e-6 (Abramowitz and Stegun 26.7.5, from memory; held by the tests).
            >= 100 and var v => z + (z * z * z + z) / (4 * Math.Floor(v)) + (5 * Math.Pow(z, 5) + 16 * z * z * z + 3 * z) / (96 * Math.Floor(v) * Math.Floor(v)),
            { } v => MathNet.Numerics.Distributions.StudentT.InvCDF(0, 1, Math.Max(1, Math.Floor(v)), below),
        };
    }

    static double Square(Contribution c) => c.Value * c.Value;
}
