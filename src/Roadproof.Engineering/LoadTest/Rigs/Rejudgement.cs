using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.LoadTest.Rigs;

/// <summary>What judging a run again comes to, when its rig had drifted by an unknown share of what its reference shows.</summary>
public enum RejudgedAs
{
    /// <summary>It passes whatever the drift was when it ran.</summary>
    Passes,

    /// <summary>It fails a requirement whatever the drift was.</summary>
    Fails,

    /// <summary>It depends on the drift, or on something that is never corrected: the unit is tested again.</summary>
    CannotTell,
}

/// <summary>A run judged again, beside its first verdict.</summary>
/// <param name="Reason">What decided, as a sentence.</param>
/// <param name="Readings">Every requirement, those that decided first.</param>
/// <param name="Distance">Joint distance from sound units as it was read.</param>
/// <param name="LargestDistance">The largest at any drift that may have been; null, as the two beside it, where nothing could be computed.</param>
public sealed record Rejudgement(RejudgedAs Outcome, string Reason, IReadOnlyList<RejudgedReading> Readings, double? Distance, double? LargestDistance, double? DistanceLimit, string Method)
{
    /// <summary>Where nothing could be computed at all.</summary>
    public static Rejudgement Untold(string reason) => new(RejudgedAs.CannotTell, reason, [], null, null, null, Rejudging.Method);
}

/// <summary>A requirement judged again.</summary>
/// <param name="Value">As it was read.</param>
/// <param name="Lowest">The lowest that it may truly have been, by what the rig drifted.</param>
/// <param name="Highest">The highest.</param>
/// <param name="StandardUncertainty">With that of the drift.</param>
/// <param name="Corrected">False for what is never corrected: a safety function, a clutch that slipped, insulation.</param>
/// <param name="Verdict">Pass or fail whatever the drift was; undecided where it depends on it.</param>
public sealed record RejudgedReading(string Id, string Name, string Unit, double Value, double Lowest, double Highest, double StandardUncertainty, double? Lower, double? Upper, bool Corrected, Verdict Verdict);
