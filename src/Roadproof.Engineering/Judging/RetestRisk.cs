using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Judging;

/// <summary>What must happen for a unit to pass.</summary>
public enum RetestScheme
{
    /// <summary>One test decides.</summary>
    Single,

    /// <summary>After a fail a second test decides: a plain second chance.</summary>
    Free,

    /// <summary>After a fail two further tests must both pass.</summary>
    TwoOfTwo,

    /// <summary>After a fail the mean of both readings decides.</summary>
    Mean,
}

/// <summary>How often a unit passes that truly lies a distance beyond its limit, or as far within it.</summary>
/// <param name="PassIfBad">Probability of a pass when the unit lies beyond the limit.</param>
/// <param name="PassIfGood">Probability of a pass when it lies as far within.</param>
public sealed record RetestRisk(double PassIfBad, double PassIfGood)
{
    /// <param name="distanceU">Distance of the true value from the limit, in standard uncertainties of one reading; 0 or more.</param>
    /// <param name="redrawnShare">Share of the uncertainty's variance that is drawn anew in a retest (noise, clamping); the rest, the rig's own error, comes
    /// again. 0 to 1.</param>
    /// <remarks>
    /// Readings below the limit pass, without a guard band. The common error is integrated over eight standard deviations; error below 1e-9.
    /// A retest that redraws little launders little and proves little.
    /// </remarks>
    /// <exception cref="InputException">A distance or share that cannot be.</exception>
    public static RetestRisk Of(double distanceU, RetestScheme scheme, double redrawnShare = 1)
    {
        var errors = new List<InputError>();
        if (distanceU is not (>= 0 and < double.PositiveInfinity)) errors.Add(new("retest", 0, "distance", Text.Of(distanceU), "a distance from the limit of 0 or more, in standard uncertainties"));
        if (redrawnShare is not (>= 0 and <= 1)) errors.Add(new("retest", 0, "redrawn share", Text.Of(redrawnShare), "a share between 0 and 1"));
        if (errors.Count > 0) throw new InputException(errors);
        return new(Pass(distanceU, scheme, redrawnShare), Pass(-distanceU, scheme, redrawnShare));
    }

    /// <param name="beyondU">How far the true value lies beyond the limit; negative within.</param>
    static double Pass(double beyondU, RetestScheme scheme, double redrawnShare)
    {
        var (anew, again) = (Math.Sqrt(redrawnShare), Math.Sqrt(1 - redrawnShare));
        if (again == 0) return PassGiven(beyondU, scheme, anew);

        // Where nothing is drawn anew the test steps from pass to fail at one value of the common error: an edge of the panels.
        var step = Math.Clamp(-beyondU / again, -8, 8);
        var edges = Enumerable.Range(-8, 17).Select(e => (double)e).Append(step).Order().ToArray();
        return Quadrature.Over(edges, common => Normal.Density(common) * PassGiven(beyondU + again * common, scheme, anew));
    }

    static double PassGiven(double beyondU, RetestScheme scheme, double anew)
    {
        if (anew == 0) return beyondU <= 0 ? 1 : 0;
        var mean = beyondU / anew;
        var once = Normal.Below(-mean);
        return scheme switch
        {
            RetestScheme.Single => once,
            RetestScheme.Free => once + (1 - once) * once,
            RetestScheme.TwoOfTwo => once + (1 - once) * once * once,
            RetestScheme.Mean => once + FailsThenMeanPasses(mean),
            _ => throw new ArgumentOutOfRangeException(nameof(scheme), scheme, "Bug in Roadproof: this retest scheme has no rule."),
        };
    }

    /// <summary>First reading above the limit, second so far below that their mean is not.</summary>
    static double FailsThenMeanPasses(double mean)
    {
        // In the first reading's own error x: it fails for x > −mean; the second passes both for error below −2·mean − x.
        var (from, to) = (Math.Max(-mean, -9), Math.Max(-mean, -9) + 18);
        return Quadrature.Over([from, from + 1, from + 2, from + 4, from + 8, to], x => Normal.Density(x) * Normal.Below(-2 * mean - x));
    }
}
