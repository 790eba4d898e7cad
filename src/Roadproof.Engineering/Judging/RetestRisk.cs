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
    /// <param name="guardFactor">Guard band in standard uncertainties: a single reading passes as far inside the limit or farther, a mean as far in its own uncertainty. 0 or more.</param>
    /// <param name="retests">How often a test that failed is tried again; 1 or more. What is asked of the mean of both has one.</param>
    /// <remarks>
    /// Counted from the first test on. A reading that neither passes nor fails is taken as one that did not pass. The common error is integrated over eight standard deviations; error below 1e-9.
    /// A retest that redraws little launders little and proves little.
    /// </remarks>
    /// <exception cref="InputException">A distance, share, guard band or number of retests that cannot be.</exception>
    public static RetestRisk Of(double distanceU, RetestScheme scheme, double redrawnShare = 1, double guardFactor = 0, int retests = 1)
    {
        var errors = new List<InputError>();
        if (distanceU is not (>= 0 and < double.PositiveInfinity)) errors.Add(new("retest", 0, "distance", Text.Of(distanceU), "a distance from the limit of 0 or more, in standard uncertainties"));
        if (redrawnShare is not (>= 0 and <= 1)) errors.Add(new("retest", 0, "redrawn share", Text.Of(redrawnShare), "a share between 0 and 1"));
        if (guardFactor is not (>= 0 and < double.PositiveInfinity)) errors.Add(new("retest", 0, "guard factor", Text.Of(guardFactor), "a guard band of 0 or more, in standard uncertainties"));
        if (retests < 1 || (retests > 1 && scheme == RetestScheme.Mean)) errors.Add(new("retest", 0, "retests", Text.Of(retests), scheme == RetestScheme.Mean ? "1 for the mean of both" : "1 retest or more"));
        if (errors.Count > 0) throw new InputException(errors);
        var rule = new Rule(scheme, redrawnShare, guardFactor, retests);
        return new(rule.Pass(distanceU), rule.Pass(-distanceU));
    }

    sealed class Rule(RetestScheme scheme, double redrawnShare, double guardFactor, int retests)
    {
        readonly double anew = Math.Sqrt(redrawnShare), again = Math.Sqrt(1 - redrawnShare);

        /// <summary>Standard uncertainty of the mean of two readings, in that of one.</summary>
        readonly double ofMean = Math.Sqrt(1 - redrawnShare / 2);

        /// <param name="beyondU">How far the true value lies beyond the limit; negative within.</param>
        public double Pass(double beyondU)
        {
            if (again == 0) return PassGiven(beyondU);

            // What is drawn anew blurs the step from pass to fail along the common error: the narrower, the finer the panels about it. The mean's own edge lies a little beside the reading's.
            double[] steps = [-(beyondU + guardFactor) / again, -(beyondU + guardFactor * ofMean) / again];
            var edges = Enumerable.Range(-8, 17).Select(e => (double)e)
                .Concat(from step in steps from widths in (double[])[-8, -4, -2, 0, 2, 4, 8] select Math.Clamp(step + widths * anew / again, -8, 8))
                .Order().ToArray();
            return Quadrature.Over(edges, common => Normal.Density(common) * PassGiven(beyondU + again * common));
        }

        double PassGiven(double beyondU)
        {
            if (anew == 0) return beyondU + guardFactor <= 0 ? 1 : 0;
            var once = Normal.Below(-(beyondU + guardFactor) / anew);
            return scheme switch
            {
                RetestScheme.Single => once,
                RetestScheme.Free => 1 - Math.Pow(1 - once, 1 + retests),
                // Every retest asks for two passes in a row, and a fail in between uses one up.
                RetestScheme.TwoOfTwo => once + (1 - once) * (1 - Math.Pow(1 - once * once, retests)),
                RetestScheme.Mean => once + FailsThenMeanPasses(beyondU),
                _ => throw new InvalidOperationException($"Bug in Roadproof: the retest scheme {scheme} has no rule."),
            };
        }

        /// <summary>First reading not inside the guard band's edge, second so far inside that their mean is inside its own.</summary>
        double FailsThenMeanPasses(double beyondU)
        {
            // In the first reading's own error x: it does not pass from here on; the second passes both for an error below −x and twice the mean's way to its edge.
            var from = Math.Max(-(beyondU + guardFactor) / anew, -9);
            var both = -2 * (beyondU + guardFactor * ofMean) / anew;
            return Quadrature.Over([from, from + 1, from + 2, from + 4, from + 8, from + 18], x => Normal.Density(x) * Normal.Below(both - x));
        }
    }
}
