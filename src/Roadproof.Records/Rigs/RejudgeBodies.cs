using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Records.Lots;

namespace Roadproof.Records.Rigs;

/// <summary>A person approves what judging the held units of a rig again comes to.</summary>
public sealed record RejudgeAct(string Rig, string Key, string Reason, DateTimeOffset OccurredAt, string? Person = null);

/// <summary>What judging one run again comes to.</summary>
/// <param name="RunSequence">The record that ended the run.</param>
/// <param name="WrongSequence">The reference run that found the rig wrong.</param>
/// <param name="RanAt">When the run ended.</param>
/// <param name="Left">Where the unit went, where it has left the plant: it cannot be stopped, only told.</param>
public sealed record RejudgedUnit(string Unit, int Attempt, long RunSequence, long WrongSequence, DateTimeOffset RanAt, Rejudgement Rejudged, ShippedUnit? Left = null);

/// <summary>Body of the record of a unit judged again.</summary>
public sealed record RejudgedBody(RejudgeAct Said, RejudgedDecision Decided);

/// <summary>What was decided on a unit judged again.</summary>
/// <param name="Released">It passes whatever the drift was, and its hold for the rig is lifted.</param>
public sealed record RejudgedDecision(string Unit, string Rig, int Attempt, long RunSequence, long WrongSequence, Rejudgement Rejudged, bool Released);

/// <summary>What became of a rig's held units.</summary>
/// <param name="Released">They pass whatever the drift was.</param>
/// <param name="StayHeld">They fail, or cannot be told: each with the reason.</param>
public sealed record RejudgeAnswer(string Rig, IReadOnlyList<string> Released, IReadOnlyList<string> StayHeld);
