namespace Roadproof.Engineering.Judging;

/// <summary>The verdict on one reading.</summary>
public enum Verdict
{
    /// <summary>A requirement is met with the guard band kept.</summary>
    Pass,

    /// <summary>A requirement is not met: the reading lies beyond the edge by more than the guard band.</summary>
    Fail,

    /// <summary>Within the guard band on either side of the edge: this measurement cannot tell.</summary>
    Undecided,

    /// <summary>As sound units are.</summary>
    Usual,

    /// <summary>Outside of what sound units look like.</summary>
    Unusual,
}

/// <summary>The verdict on a run or step: hold where something is undecided or unusual and nothing failed.</summary>
public enum RunVerdict
{
    Pass,
    Fail,
    Hold,
}

/// <summary>One reading against its requirement limit.</summary>
/// <param name="Value">In the unit of the limit, at reference conditions.</param>
/// <param name="RawValue">As read, before it was carried to reference conditions.</param>
/// <param name="GuardBand">Width of the strip kept free on the inner side of each edge.</param>
/// <param name="ConformanceProbability">Probability that the true value lies within the edges, given the reading and a flat prior.</param>
public sealed record RequirementReading(
    string Id, string Name, string Unit, double Value, double RawValue, double? Lower, double? Upper,
    double StandardUncertainty, double GuardBand, double ConformanceProbability, bool Safety, Verdict Verdict)
{
    /// <summary>Where the standard uncertainty comes from; null in old records, and where it is one number from a definition.</summary>
    public UncertaintyBudget? Budget { get; init; }

    /// <summary>Never tried again without repair: a safety function, and what its limit says so of.</summary>
    public bool NeverAgain { get; init; } = Safety;

    /// <summary>The part of the standard uncertainty that another run of the same unit draws anew; null where nobody has split it up.</summary>
    public double? UncertaintyOfRun { get; init; }

    /// <summary>The part that stays with the rig and is drawn anew on another one; null where nobody has split it up.</summary>
    public double? UncertaintyOfRig { get; init; }

    /// <summary>How far beyond the nearest edge the reading lies, in standard uncertainties; negative inside, infinite where it has none.</summary>
    public double BeyondU() => Beyond == 0 ? 0 : Beyond / StandardUncertainty;

    /// <summary>Share of the uncertainty's variance that another run draws anew; null where nobody knows.</summary>
    public double? RedrawnShare(bool onAnotherRig) => UncertaintyOfRun is not { } run || StandardUncertainty == 0 ? null
        : Math.Clamp((run * run + (onAnotherRig && UncertaintyOfRig is { } rig ? rig * rig : 0)) / (StandardUncertainty * StandardUncertainty), 0, 1);

    // Not kept with the record: it follows from what is.
    double Beyond => Math.Max((Lower ?? double.NegativeInfinity) - Value, Value - (Upper ?? double.PositiveInfinity));
}

/// <summary>One reading against what sound units look like.</summary>
/// <param name="StandardDeviation">Over sound units: part tolerances, rig terms and reading noise together.</param>
/// <param name="ReadingUncertainty">Standard uncertainty of this reading: rig, noise and the model that carries it.</param>
/// <param name="RigShare">Share of the variance over sound units that stays with a rig: what more units on that rig cannot average out.</param>
/// <param name="Sigma">(value − expected) / standard deviation.</param>
public sealed record ExpectationReading(
    string Id, string Name, string Unit, double Value, double RawValue, double Expected, double StandardDeviation,
    double ReadingUncertainty, double RigShare, double Sigma, Verdict Verdict)
{
    /// <summary>Where the reading's uncertainty comes from; null in old records.</summary>
    public UncertaintyBudget? Budget { get; init; }
}
