using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Judging;

/// <summary>Judges a reading against an edge that rider, law or customer sets.</summary>
/// <remarks>
/// The strip of the guard band's width on the inner side of an edge is kept free, so that a pass is a proof; the strip on the outer side is left undecided,
/// so that a fail is one as well. Source: JCGM 106:2012, 8.3.2 (guarded acceptance) and 8.3.3 (guarded rejection). Method: <c>docs/methods/judging.md</c>.
/// </remarks>
public static class Requirement
{
    /// <summary>A safety function keeps at least this guard band whatever the limit says: at most 5 % consumer's risk at the edge.</summary>
    public const double LeastSafetyGuardFactor = 1.64;

    /// <summary>Judges a reading that needed no correction.</summary>
    /// <param name="standardUncertainty">That this reading brings along, in the unit of the limit; the limit's own is added in squares.</param>
    public static RequirementReading Judge(RequirementLimit limit, double value, double standardUncertainty = 0) =>
        Judge(limit, value, value, standardUncertainty);

    /// <summary>Judges a reading at reference conditions and keeps what was read before.</summary>
    /// <param name="value">At reference conditions, in the unit of the limit.</param>
    /// <param name="rawValue">As read.</param>
    /// <param name="standardUncertainty">That <paramref name="value"/> brings along; the limit's own is added in squares (JCGM 100:2008, 5.1.2).</param>
    /// <exception cref="ArgumentOutOfRangeException">A value is not finite or the uncertainty is negative.</exception>
    public static RequirementReading Judge(RequirementLimit limit, double value, double rawValue, double standardUncertainty)
    {
        if (!double.IsFinite(value)) throw new ArgumentOutOfRangeException(nameof(value), value, $"A reading of {limit.Name} is a finite number of {limit.Unit}.");
        if (!(double.IsFinite(standardUncertainty) && standardUncertainty >= 0)) throw new ArgumentOutOfRangeException(nameof(standardUncertainty), standardUncertainty, $"A standard uncertainty of {limit.Name} is a number of {limit.Unit}, 0 or more.");

        var u = double.Hypot(standardUncertainty, limit.StandardUncertainty);
        var guardBand = GuardFactor(limit) * u;
        return new(limit.Id, limit.Name, limit.Unit, value, rawValue, limit.Lower, limit.Upper, u, guardBand,
            Conformance.Probability(value, u, limit.Lower, limit.Upper), limit.Safety, Verdict(limit, value, guardBand))
        {
            NeverAgain = limit.Safety || limit.NoRetest,
        };
    }

    static double GuardFactor(RequirementLimit limit) => limit.Safety ? Math.Max(limit.GuardFactor, LeastSafetyGuardFactor) : limit.GuardFactor;

    static Verdict Verdict(RequirementLimit limit, double value, double guardBand)
    {
        var (lower, upper) = (limit.Lower ?? double.NegativeInfinity, limit.Upper ?? double.PositiveInfinity);
        if (value < lower - guardBand || value > upper + guardBand) return Judging.Verdict.Fail;
        return value >= lower + guardBand && value <= upper - guardBand ? Judging.Verdict.Pass : Judging.Verdict.Undecided;
    }
}

/// <summary>How sure it is that a true value lies within edges, after one reading of it.</summary>
public static class Conformance
{
    /// <summary>Knowing nothing but the reading (flat prior).</summary>
    /// <remarks>Source: JCGM 106:2012, 7.3 and 7.4. A reading without uncertainty is inside or not.</remarks>
    public static double Probability(double value, double standardUncertainty, double? lower, double? upper)
    {
        var (from, to) = (lower ?? double.NegativeInfinity, upper ?? double.PositiveInfinity);
        if (standardUncertainty == 0) return value >= from && value <= to ? 1 : 0;
        return Normal.Between((from - value) / standardUncertainty, (to - value) / standardUncertainty);
    }

    /// <summary>Knowing what the process makes as well (normal prior).</summary>
    /// <remarks>Source: JCGM 106:2012, 7.2.2 and annex A.4: the precision-weighted mean of reading and process.</remarks>
    public static double Probability(double value, double standardUncertainty, double? lower, double? upper, double processMean, double processSd)
    {
        if (processSd == 0) return Probability(processMean, 0, lower, upper);
        if (standardUncertainty == 0) return Probability(value, 0, lower, upper);
        var (read, made) = (1 / (standardUncertainty * standardUncertainty), 1 / (processSd * processSd));
        return Probability((read * value + made * processMean) / (read + made), 1 / Math.Sqrt(read + made), lower, upper);
    }
}
