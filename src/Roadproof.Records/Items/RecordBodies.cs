using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Curves;
using Roadproof.Records.Messages;
using Roadproof.Records.Rework;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.Items;

// Each body holds what the sender said and what was decided on it. What was decided is complete: derived tables are
// filled from it alone, so that an old record means the same under any later definition.

/// <summary>Body of a step's begin or end, and of a spoiled mark.</summary>
public sealed record StepBody(StationMessage Said, StepDecision Decided);

/// <summary>Body of a refused request.</summary>
/// <param name="Station">The station that asked.</param>
/// <param name="Unit">Shell code of the unit, or the code as scanned where no unit has it.</param>
public sealed record RefusedBody(StationMessage Said, string Station, string Unit, Refusal Decided);

/// <summary>Body of a verdict given after its step's record.</summary>
public sealed record JudgedBody(JudgedDecision Decided);

/// <summary>Body of a capture that has arrived; its record's item is its hash.</summary>
public sealed record CaptureKeptBody(long Bytes);

/// <summary>Body of what a person does to a unit.</summary>
public sealed record UnitActBody(UnitAct Said, UnitActDecision Decided);

/// <summary>What was decided on a step.</summary>
public sealed record StepDecision
{
    public required string Unit { get; init; }
    public required string Product { get; init; }
    public required string Revision { get; init; }

    /// <summary>The unit was not known before.</summary>
    public bool Creates { get; init; }

    /// <summary>The order that the unit takes with this step, and keeps; null where it has one already or none runs.</summary>
    public string? Order { get; init; }
    public required string Step { get; init; }
    public required int Number { get; init; }
    public required string Stage { get; init; }
    public required int Attempt { get; init; }

    /// <summary>pass, fail, hold, waiting; null for a begin.</summary>
    public string? Verdict { get; init; }

    /// <summary>What the verdict becomes when the captures named are there, where it waits for nothing else.</summary>
    public string? WhenCaptured { get; init; }
    public string Word { get; init; } = "";

    /// <summary>The step counts as done.</summary>
    public bool Stands { get; init; }

    /// <summary>A safety function, or another that is never tried again without repair, failed or could not be decided.</summary>
    public bool SafetyFailed { get; init; }
    public IReadOnlyList<UsedPart> Parts { get; init; } = [];
    public IReadOnlyList<JudgedReading> Readings { get; init; } = [];
    public IReadOnlyList<JudgedScrew> Screws { get; init; } = [];
    public IReadOnlyList<NamedCapture> Captures { get; init; } = [];
    public LoadTestDecision? LoadTest { get; init; }

    /// <summary>The checks that were judged from curves; empty while one is still to come.</summary>
    public IReadOnlyList<CurveDecision> Curves { get; init; } = [];
    public IReadOnlyList<DecidedHold> Holds { get; init; } = [];
    public IReadOnlyList<string> Warnings { get; init; } = [];

    /// <summary>The mark went wrong: its serial number is void, the step is still to be done.</summary>
    public bool MarkSpoiled { get; init; }

    /// <summary>The serial number issued, marked or spoiled.</summary>
    public string? Serial { get; init; }
    public string? Customer { get; init; }
    public string? Box { get; init; }
    public NextStep? Next { get; init; }

    /// <summary>The load test stands as passed.</summary>
    public bool Good { get; init; }
    public bool Shipped { get; init; }
}

/// <summary>The first step of the route that does not stand.</summary>
public sealed record NextStep(string Step, int Number);

/// <summary>A part put in, and how many pieces of its lot that took.</summary>
/// <param name="BuiltUnit">The unit that went in as this part, where the plant builds the part itself.</param>
public sealed record UsedPart(string Part, string? Lot, string? Serial, int Quantity, string? BuiltUnit = null);

/// <summary>A reading as judged; <see cref="Requirement"/> is there where it has edges.</summary>
public sealed record JudgedReading(string Id, string Name, double? Value, string Unit, string? Text, Verdict? Verdict, RequirementReading? Requirement, bool Safety);

/// <summary>A screw as judged by its torque and angle windows, or by its curve.</summary>
/// <param name="AngleDeg">Null where the curve cannot tell it.</param>
public sealed record JudgedScrew(string Group, int Number, double TorqueNm, double? AngleDeg, Verdict Verdict);

/// <summary>A capture that a step names, and whether it was there when the step ended.</summary>
public sealed record NamedCapture(string Sha256, string Name, bool Kept);

/// <summary>A reason to stop the unit, and what caused it: <c>step:ID</c>, <c>report</c>, <c>person</c>, <c>lot:LOT</c>.</summary>
public sealed record DecidedHold(string Reason, string Cause);

/// <summary>What the load test's judging came to.</summary>
/// <param name="State">waiting, judged, problem: it could not be judged, or does not count although it was.</param>
/// <param name="Rig">What the rig could show for itself when it judged; null where no reference units are asked for.</param>
public sealed record LoadTestDecision(string State, LoadTestVerdict? Verdict, string Problem, RigStanding? Rig = null);

/// <summary>A step judged when its captures had come, or a load test judged anew beside its first verdict.</summary>
/// <param name="Completes">The step was waiting for this verdict; a later one stands beside the first and moves nothing.</param>
/// <param name="Overtaken">The attempt was undone or repeated before its verdict came: the unit's way stays as it is.</param>
public sealed record JudgedDecision(
    string Unit, string Step, int Attempt, string Rig, long StepSequence, bool Completes, string Verdict, string Word, bool Stands, bool SafetyFailed,
    LoadTestDecision? LoadTest, IReadOnlyList<DecidedHold> Holds, NextStep? Next, bool Good, bool Overtaken = false)
{
    /// <summary>The checks that were judged from curves which came after the step.</summary>
    public IReadOnlyList<CurveDecision> Curves { get; init; } = [];

    /// <summary>What those curves read.</summary>
    public IReadOnlyList<JudgedReading> Readings { get; init; } = [];
    public IReadOnlyList<JudgedScrew> Screws { get; init; } = [];
}

/// <summary>What a person asks for a unit: hold, release, scrap.</summary>
/// <param name="BackTo">On release: the step to which the unit goes back after repair; null lets it go on.</param>
/// <param name="Cause">On release and scrap: what was found to be wrong, as the id of a cause in the diagnosis or in words; null where nobody looked.</param>
public sealed record UnitAct(string Act, string Unit, string Key, string Reason, DateTimeOffset OccurredAt, string? Person = null, string? BackTo = null, string? Cause = null);

/// <summary>What a person's act on a unit came to.</summary>
/// <param name="Accepted">Steps on hold that now count as done, as a person decided.</param>
/// <param name="Undone">Steps that have to be done again.</param>
/// <param name="Causes">The causes whose holds are lifted; a lot's hold stays until the lot is released or its part comes out.</param>
/// <param name="VoidSerial">A serial number that was issued and will never be on a unit.</param>
/// <param name="Repair">The unit goes back to work that lay behind it; a product says how often that may be.</param>
/// <param name="Found">What was found to be wrong.</param>
/// <param name="Retest">Its rig may have judged it wrong: the load test is run again, nothing else, and what that rig said counts no more.</param>
public sealed record UnitActDecision(
    string Unit, IReadOnlyList<StepAttempt> Accepted, IReadOnlyList<string> Undone, IReadOnlyList<string> Causes, NextStep? Next, bool Good, string? VoidSerial = null, bool Repair = false,
    ReworkFinding? Found = null, bool Retest = false);

/// <summary>One attempt at a step.</summary>
public sealed record StepAttempt(string Step, int Attempt);
