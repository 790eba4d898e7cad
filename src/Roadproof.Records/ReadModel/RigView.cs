using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Lots;

namespace Roadproof.Records.ReadModel;

/// <summary>The rigs of a plant whose products ask for reference units.</summary>
/// <param name="Ageing">For each product with two sound references or more: whether rigs or references have moved.</param>
public sealed record RigsView(IReadOnlyList<RigView> Rigs, IReadOnlyList<ReferenceAgeingView> Ageing);

/// <summary>One rig: whether it may judge, what it showed last, where it drifts, what it has stopped.</summary>
/// <param name="Reason">Why it may not judge; empty where it may.</param>
/// <param name="Remedy">What to do now.</param>
/// <param name="LastReferenceAt">When it last read a sound reference right.</param>
/// <param name="DueAfterRuns">Runs of units until the next reference.</param>
/// <param name="DueAt">Time of the next reference at the latest.</param>
/// <param name="Limit">Beyond it one deviation is no chance, in standard deviations.</param>
/// <param name="Runs">Reference runs since the rig was put right, oldest first.</param>
/// <param name="Farthest">The gauge that the newest run saw farthest away.</param>
/// <param name="Characteristics">Over the runs of its sound references, farthest first.</param>
/// <param name="Zeros">What the newest run read at rest.</param>
/// <param name="Held">Units on hold because of it.</param>
/// <param name="Left">Units that rest on the same doubt and have left.</param>
/// <param name="MayKeep">It reads right again and nobody has put it right: what it judged may stand.</param>
public sealed record RigView(
    string Rig, string Name, string Line, string Product, bool MayJudge, string Reason, string Remedy, DateTimeOffset? LastReferenceAt, int RunsSince, int DueAfterRuns, DateTimeOffset? DueAt, double Limit,
    IReadOnlyList<RigRun> Runs, GaugeFinding? Farthest, IReadOnlyList<RigCharacteristic> Characteristics, IReadOnlyList<ZeroReading> Zeros, IReadOnlyList<string> Held, IReadOnlyList<ShippedUnit> Left, bool MayKeep);

/// <summary>A reference unit's run on a rig.</summary>
/// <param name="Outcome">good, out, stopped, passed, warm-up, problem.</param>
public sealed record RigRun(long Sequence, string Reference, string Name, DateTimeOffset At, string Outcome, string Reason);

/// <summary>One characteristic of a rig's reference over its runs.</summary>
/// <param name="Points">One for each run that counts, oldest first.</param>
/// <param name="Forecast">Null while it cannot be told.</param>
public sealed record RigCharacteristic(string Id, string Name, string Unit, IReadOnlyList<RigPoint> Points, DriftForecast? Forecast)
{
    public RigPoint Last => Points[^1];
}

/// <param name="Sigma">Deviation from what the rig was known to read, in its standard deviations.</param>
/// <param name="Ewma">Moving average of these; beyond <paramref name="EwmaLimit"/> it creeps.</param>
public sealed record RigPoint(DateTimeOffset At, double Value, double Level, double Sigma, double Ewma, double EwmaLimit);

/// <summary>How two rigs read the same references in one characteristic.</summary>
public sealed record RigPair(string First, string Second, string Id, string Name, string Unit, double Difference, Interval Interval, int References, bool Differs, RigWeight Weight);

/// <summary>How two rigs read the ordinary units that each was given since both were put right, in one characteristic.</summary>
public sealed record LikeUnitsPair(string Id, string Name, string Unit, LikeUnitsDifference Of, RigWeight Weight);

/// <summary>Two rigs whose ordinary units tell nothing yet: too few, or of lots that went to one of them only.</summary>
public sealed record UntoldPair(string First, string Second, int UnitsOfFirst, int UnitsOfSecond);

/// <summary>What came of units that a rig did not pass at their first run.</summary>
/// <param name="FirstRuns">Units that ran there first.</param>
/// <param name="NotPassed">Of them, failed or on hold.</param>
/// <param name="PassedOnRetest">Of these, passed when tried again without a repair, on whichever rig.</param>
/// <param name="Interval">Of the share of all units that passed only on retest; null without runs.</param>
public sealed record RigRetests(string Rig, int FirstRuns, int NotPassed, int PassedOnRetest, Interval? Interval);

/// <summary>How far apart the rigs of one product read: by their references, and by the ordinary units that each was given.</summary>
/// <param name="RigSd">Between rigs, by characteristic; null where they share fewer than two references.</param>
public sealed record RigComparisonView(
    string Product, IReadOnlyList<RigPair> Pairs, IReadOnlyDictionary<string, double?> RigSd, IReadOnlyList<LikeUnitsPair> LikeUnits, IReadOnlyList<UntoldPair> Untold, IReadOnlyList<RigRetests> Retests);

/// <summary>Whether a product's rigs or its references have moved.</summary>
/// <param name="Name">The characteristic that moved farthest.</param>
public sealed record ReferenceAgeingView(string Product, string Name, ReferenceAgeing Found);
