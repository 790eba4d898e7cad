namespace Roadproof.Engineering.Judging;

/// <summary>What of a run an expectation limit stopped.</summary>
public enum StopKind
{
    /// <summary>A requirement that is not met, or cannot be decided.</summary>
    Requirement,

    /// <summary>A single reading.</summary>
    Reading,

    /// <summary>The move along a known fault's own signature.</summary>
    Fault,

    /// <summary>All readings together.</summary>
    Together,
}

/// <summary>How much of a statistic another run of the same unit draws anew; all in the statistic's own unit.</summary>
/// <param name="SoundSd">Over sound units: parts, rig and noise.</param>
/// <param name="ReadingU">Standard uncertainty of this unit's own: rig, noise and the model that carries it.</param>
/// <param name="OfRun">The part of it that another run draws anew; null where nobody has split it up.</param>
/// <param name="OfRig">The part that stays with the rig.</param>
public sealed record StatisticSpread(double SoundSd, double ReadingU, double? OfRun, double? OfRig);

/// <summary>The statistic of an expectation limit that stopped a unit, with what another run would draw anew of it.</summary>
/// <param name="Id">Of the reading or the fault; <c>distance</c> for all readings together.</param>
/// <param name="Value">As read, in standard deviations of sound units; of all readings together the root of their squared distance. Beyond the limit.</param>
/// <param name="SoundMean">What sound units read of it on average.</param>
public sealed record StopStatistic(StopKind Kind, string Id, string Name, double Value, double Limit, double SoundMean, StatisticSpread Spread)
{
    /// <summary>How far beyond its limit it was read, in standard uncertainties of the reading.</summary>
    public double BeyondU() => Math.Max(0, Value - Limit) / Spread.ReadingU;

    /// <summary>How far inside the limit sound units lie, in their standard deviations.</summary>
    public double SoundInside() => Math.Max(0, Limit - SoundMean) / Spread.SoundSd;

    /// <summary>Share of the reading's variance that another run draws anew; null where nobody knows.</summary>
    public double? RedrawnShare(bool onAnotherRig) => Share(onAnotherRig, Spread.ReadingU);

    /// <summary>The same of the variance over sound units: their parts come again as well.</summary>
    public double? SoundRedrawnShare(bool onAnotherRig) => Share(onAnotherRig, Spread.SoundSd);

    double? Share(bool onAnotherRig, double of) => Spread.OfRun is not { } run || of == 0 ? null
        : Math.Clamp((run * run + (onAnotherRig && Spread.OfRig is { } rig ? rig * rig : 0)) / (of * of), 0, 1);
}
