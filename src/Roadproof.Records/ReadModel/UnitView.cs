using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Judging;
using Roadproof.Records.Curves;
using Roadproof.Records.Rework;

namespace Roadproof.Records.ReadModel;

/// <summary>Everything about one unit.</summary>
/// <param name="Unit">Its shell code, the name it had first.</param>
/// <param name="Serial">Null before marking.</param>
/// <param name="State">building, held, passed, shipped, scrapped.</param>
/// <param name="Sentence">What happened, first: "Passed everything, shipped to …"; "Held: no-load power is unusual".</param>
public sealed record UnitView(
    string Unit, string? Serial, string Product, string Revision, string State, string Sentence, string Where,
    DateTimeOffset StartedAt, DateTimeOffset? EndedAt, string? Customer, string? Box,
    IReadOnlyList<UnitStep> Steps, IReadOnlyList<UnitPart> Parts, IReadOnlyList<UnitReading> Readings,
    IReadOnlyList<UnitLoadTest> LoadTests, IReadOnlyList<UnitHold> Holds, IReadOnlyList<UnitEvent> Events, RecordCheck Check)
{
    /// <summary>Every screw that was tightened, step by step.</summary>
    public IReadOnlyList<UnitScrew> Screws { get; init; } = [];

    /// <summary>What was in it and has come out again, in the order in which it went in.</summary>
    public IReadOnlyList<UnitPartWas> Was { get; init; } = [];

    /// <summary>Every check that was judged from a curve, step by step.</summary>
    public IReadOnlyList<UnitCurve> Curves { get; init; } = [];

    /// <summary>What of the load test stopped it, the worst first; empty where it is not held, or another step, a person or a lot stopped it.</summary>
    public IReadOnlyList<StopLine> Stops { get; init; } = [];

    /// <summary>Whether it may be tested again as it is, and what a pass would mean; null where no test stopped it.</summary>
    public RetestView? Retest { get; init; }

    /// <summary>The order that it is built for; null where it is built for none.</summary>
    public OrderLine? Order { get; init; }
}

/// <summary>One step of the unit's route, done or ahead.</summary>
/// <param name="State">pass, fail, undecided, hold, running, waiting (ahead).</param>
/// <param name="Word">The most telling figure of the step, such as "118 °C" or "8 of 8".</param>
public sealed record UnitStep(
    string Step, int Number, string Name, string? Station, string State, DateTimeOffset? BeganAt, DateTimeOffset? EndedAt, int Attempt, string Word, string? Person);

/// <summary>A part in the unit, the lot it came from and how many units share that lot.</summary>
/// <param name="BuiltUnit">The unit that the plant built and put in as this part; null for a part that was bought.</param>
/// <param name="Via">The built unit that this part came in with; null for a part that was put in here.</param>
public sealed record UnitPart(
    string Part, string Name, string Step, int StepNumber, string? Lot, string? Serial, string LotState, int UnitsWithLot, DateTimeOffset At, string? BuiltUnit = null, string? Via = null);

/// <summary>A part that was in the unit from one time to another.</summary>
/// <param name="Place">Where a part that a repair took out is now: scrap, stock or hold; null where another took its place at its station.</param>
/// <param name="Why">Why the repair took it out.</param>
public sealed record UnitPartWas(string Part, string Name, string? Lot, string? Serial, string Step, DateTimeOffset At, DateTimeOffset OutAt, string? Place, string? Why);

/// <summary>A reading of a step (not of the load test) against its requirement limit.</summary>
/// <param name="Reading">Null where the reading is a text without limits.</param>
public sealed record UnitReading(string Step, string Station, DateTimeOffset At, int Attempt, RequirementReading? Reading, string Id, string? Text);

/// <summary>One screw's torque-angle result, judged by both windows of its group.</summary>
/// <param name="AngleDeg">Null where its curve cannot tell.</param>
/// <param name="Verdict">pass, fail, undecided.</param>
public sealed record UnitScrew(string Step, int Attempt, string Group, string Name, int Number, double TorqueNm, double? AngleDeg, string Verdict);

/// <summary>One check's curve with its verdict (null where it could not be judged, with the reason).</summary>
/// <param name="Name">Of the screw group or the reading.</param>
/// <param name="State">Of its file: kept, retired, missing.</param>
public sealed record UnitCurve(string Step, int Attempt, string Check, string Name, string Sha256, JudgedCurve? Verdict, string Problem, string State);

/// <summary>One run of the load test with its verdict (null while it waits for captures or could not be judged, with the reason).</summary>
public sealed record UnitLoadTest(
    string Rig, int Attempt, DateTimeOffset At, LoadTestVerdict? Verdict, string Problem, IReadOnlyList<UnitCapture> Captures, string MethodVersion);

/// <summary>A capture file: kept, retired under a rule, or missing.</summary>
public sealed record UnitCapture(string Sha256, string Name, string State, long Bytes);

/// <summary>A hold on the unit, or on a lot in it.</summary>
public sealed record UnitHold(string Reason, string Cause, DateTimeOffset At, DateTimeOffset? ReleasedAt, string? ReleaseReason, string? By);

/// <summary>One record of the unit in plain words.</summary>
public sealed record UnitEvent(long Sequence, DateTimeOffset At, string Kind, string Station, string Text, string Person);

/// <summary>Whether the unit's chain of records is whole.</summary>
public sealed record RecordCheck(int Records, bool Whole, string Word);
