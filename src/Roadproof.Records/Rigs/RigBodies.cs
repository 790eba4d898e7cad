using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Records.Lots;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Rigs;

/// <summary>What a run of a reference unit came to; worked out before the message is taken, like any other run.</summary>
/// <param name="Verdict">Null where the run could not be judged; <paramref name="Problem"/> says why.</param>
/// <param name="Judge">Of a sound reference: what holds its run against what the rig read before; null for a known-bad one.</param>
public sealed record ReferenceOutcome(LoadTestVerdict? Verdict, string Problem, ReferenceJudge? Judge);

/// <summary>Body of a reference unit's run; its record's item is the reference's code.</summary>
public sealed record ReferenceRunBody(StationMessage Said, ReferenceRunDecision Decided);

/// <summary>What was decided on a reference unit's run.</summary>
/// <param name="Reference">Id of the reference in the definitions.</param>
/// <param name="Kind">sound, known-bad.</param>
/// <param name="Outcome">good or out of a sound one; stopped or passed of a known-bad one; warm-up where the rig was still cold; problem where it could not be judged.</param>
/// <param name="Reason">Why the rig may not judge, or why the run does not count; empty where all is well.</param>
/// <param name="Readings">What the run said of a sound reference.</param>
/// <param name="Run">The run as the load test judged it.</param>
/// <param name="Held">Units that were stopped because of it.</param>
/// <param name="Shipped">Units that rest on the same doubt and had left already.</param>
public sealed record ReferenceRunDecision(
    string Rig, string Reference, string Kind, string Outcome, string Reason, ReferenceVerdict? Readings, LoadTestVerdict? Run, IReadOnlyList<SuspectUnit> Held, IReadOnlyList<SuspectUnit> Shipped)
{
    public bool StopsRig => Outcome is "out" or "passed";
}

/// <summary>A unit whose verdict rests on a run that the rig may have judged wrong.</summary>
/// <param name="RunSequence">The record that ended the run.</param>
/// <param name="Left">Where it went, where it has left the plant.</param>
public sealed record SuspectUnit(string Unit, int Attempt, long RunSequence, ShippedUnit? Left = null);

/// <summary>What a rig can show for itself at a time.</summary>
/// <param name="Reason">Why it may not judge, as a sentence; empty where it may.</param>
/// <param name="Remedy">What to do now.</param>
/// <param name="Reference">The sound reference that it ran last.</param>
/// <param name="ReferenceAt">When it last read a sound reference right; null where it never has since it was put right.</param>
/// <param name="ReferenceSequence">The record of that run.</param>
/// <param name="RunsSince">Runs of units since.</param>
/// <param name="FarthestSigma">Farthest single deviation of that run, in its standard deviations.</param>
/// <param name="FarthestEwma">Farthest moving average, as a share of its limit.</param>
public sealed record RigStanding(bool MayJudge, string Reason, string Remedy, string? Reference, DateTimeOffset? ReferenceAt, long? ReferenceSequence, int RunsSince, double? FarthestSigma, double? FarthestEwma);
