using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Rework;

/// <summary>A unit as the repairer sees it who has it in hand.</summary>
/// <param name="Reasons">Why it is stopped; empty where it is not.</param>
/// <param name="StoppedAt">The step that stopped it; null where a person, a report or a lot did.</param>
/// <param name="WaitsFor">What is to be done with it, in a few words.</param>
public sealed record ReworkView(
    string Unit, string? Serial, string Product, string State, IReadOnlyList<string> Reasons, ReworkStop? StoppedAt, DateTimeOffset? Since, string WaitsFor,
    IReadOnlyList<RequirementReading> Requirements, IReadOnlyList<ExpectationReading> Expectations, double? SigmaLimit, IReadOnlyList<UnitScrew> Screws, IReadOnlyList<string> Texts,
    IReadOnlyList<ReworkCause> Causes, IReadOnlyList<ReworkMeasurement> Next, IReadOnlyList<ReworkPair> CannotTell, string Advice,
    IReadOnlyList<ReworkTaken> Taken, IReadOnlyList<ReworkPart> Parts, IReadOnlyList<ReworkSwap> Swapped, IReadOnlyList<ReworkWay> Ways, int Repairs, int RepairsAtMost)
{
    /// <summary>Readings of its route, and of the parts in it that are built here, with their units.</summary>
    public IReadOnlyList<ReworkReading> Readings { get; init; } = [];

    /// <summary>Who works on it has to say who it is: a step of its route or a zone asks for a qualification.</summary>
    public bool AsksWho { get; init; }

    /// <summary>What of the load test stopped it, the worst first; empty where another step, a person or a lot did.</summary>
    public IReadOnlyList<StopLine> Stops { get; init; } = [];

    /// <summary>Whether it may be tested again as it is, and what a pass would mean; null where no test stopped it.</summary>
    public RetestView? Retest { get; init; }

    public bool MayRepair => State == "held" && Repairs < RepairsAtMost;

    /// <summary>The way back that what was swapped asks for; null where nothing was.</summary>
    public ReworkWay? Back => Swapped.Where(s => !s.Settled).Select(s => Ways.FirstOrDefault(w => w.Step == s.Step)).OfType<ReworkWay>().MinBy(w => w.Number);
}

/// <summary>The attempt that stopped the unit.</summary>
public sealed record ReworkStop(string Step, int Number, string Name, string Station, int Attempt, DateTimeOffset At, string Verdict);

/// <summary>What may be wrong.</summary>
/// <param name="Kind">fault (of the load test's diagnosis), lot, station, screw.</param>
/// <param name="Probability">Of a fault, with what was measured beside the load test.</param>
/// <param name="Likely">Worth a look before the others.</param>
/// <param name="Looks">Parts, lots and station records to look at, the first first.</param>
public sealed record ReworkCause(string Kind, string Id, string Name, double? Probability, bool Likely, string Word, IReadOnlyList<ReworkLook> Looks);

/// <summary>A part with its lot and the record of the station that put it in.</summary>
/// <param name="Record">The most telling figure of that step.</param>
/// <param name="BuiltUnit">The unit that the plant built and put in as this part.</param>
/// <param name="Via">The built unit that this part came in with.</param>
/// <param name="Lots">How its lot fares at the step that stopped this unit; null where it has none.</param>
public sealed record ReworkLook(string Part, string Name, string? Serial, string? Lot, string LotState, string Step, string StepName, string? Station, string Record, FailShare? Lots, string? BuiltUnit = null, string? Via = null);

/// <summary>A measurement that would tell causes apart.</summary>
/// <param name="Part">The part that has to come out for it, as it is of that part alone; null for the unit itself.</param>
/// <param name="AtBench">It can be taken without sending the unit back; else it is taken when the unit is sent back to its step.</param>
/// <param name="CostS">With everything that has to be passed again for it, s.</param>
public sealed record ReworkMeasurement(string Id, string Name, string Unit, string Step, string StepName, string? Part, bool AtBench, double CostS, IReadOnlyList<ReworkPair> TellsApart, IReadOnlyList<CausePrediction> Expected);

/// <summary>Two causes by their names.</summary>
public sealed record ReworkPair(string One, string Other);

/// <summary>A measurement that a repairer took.</summary>
public sealed record ReworkTaken(string Id, string Name, string Word, DateTimeOffset At, string? Person);

/// <summary>A part in the unit that can be changed, and what that asks for.</summary>
public sealed record ReworkPart(string Part, string Name, string? Serial, string? Lot, string LotState, string Step, bool Serialised);

/// <summary>A part that a repair took out.</summary>
/// <param name="NewSerial">Of the part that went in instead, with <paramref name="NewLot"/>; both null where the station puts one in.</param>
/// <param name="Settled">The unit has gone back since.</param>
public sealed record ReworkSwap(string Part, string Name, string? Lot, string? Serial, string Place, string Step, string Reason, DateTimeOffset At, string? Person, string? NewLot, string? NewSerial, bool Settled);

/// <summary>A way back: the step that the unit would go to, and everything that it has to pass again.</summary>
/// <param name="TimeS">Work content of all of them, s.</param>
/// <param name="Repair">It counts as a repair.</param>
public sealed record ReworkWay(string Step, int Number, string Name, IReadOnlyList<string> Again, double TimeS, bool Repair);

/// <summary>A reading that a repairer may take.</summary>
public sealed record ReworkReading(string Id, string Name, string Unit, bool Text);
