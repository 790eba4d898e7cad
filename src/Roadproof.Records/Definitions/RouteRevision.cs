using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.LoadTest.Rigs;

namespace Roadproof.Records.Definitions;

/// <summary>An approved, immutable version of everything a line works by: plant, line, product, route, limits, load cycle, parts.
/// A unit keeps the revision that it started on.</summary>
public sealed record RouteRevision
{
    /// <summary>Product id and number, such as <c>af-85/3</c>.</summary>
    public required string Id { get; init; }
    public required int Number { get; init; }
    public required PlantDefinition Plant { get; init; }
    public required LineDefinition Line { get; init; }
    public required ProductDefinition Product { get; init; }
    public required IReadOnlyList<RouteStep> Steps { get; init; }
    public required IReadOnlyList<PartDefinition> Parts { get; init; }

    /// <summary>Of a route as one variant goes it: the route as it was approved, by which variants are compared.</summary>
    internal RouteRevision? Approved { get; init; }
    public RouteStep? StepOf(string step) => Steps.FirstOrDefault(s => s.Id == step);
    public StationDefinition? StationOf(string station) => Line.Stations.FirstOrDefault(s => s.Id == station);

    /// <summary>The load test of a revision that has such a step.</summary>
    public LoadTestPlan LoadTest => Product.LoadTest ?? throw new InvalidOperationException($"Bug in Roadproof: the load test of {Id} is asked for, and {Product.Name} has none.");
}

/// <summary>What all lines of a plant share.</summary>
public sealed record PlantDefinition
{
    public required string Name { get; init; }
    public required IReadOnlyList<string> Customers { get; init; }

    /// <summary>Captures of runs that passed are retired after so many newer runs that passed.</summary>
    public required int KeepPassedCaptures { get; init; }

    /// <summary>The same for runs that failed or were held: a plant keeps them for as long as it answers for its units.</summary>
    public required int KeepStoppedCaptures { get; init; }
}

/// <summary>A line, or a cell: the stations that build one product.</summary>
public sealed record LineDefinition
{
    public required string Id { get; init; }
    public required string Name { get; init; }

    /// <summary>Id of the product that it builds.</summary>
    public required string Product { get; init; }

    /// <summary>Opens every serial number: plant and product, two to six letters or digits without I, O and Q. Empty where nothing is marked.</summary>
    public string SerialPrefix { get; init; } = "";
    public required double TaktS { get; init; }
    public required int DueToday { get; init; }
    public required IReadOnlyList<StationDefinition> Stations { get; init; }
}

/// <summary>A place where one step is done; several stations may do the same step (rigs in parallel).</summary>
public sealed record StationDefinition
{
    public required string Id { get; init; }
    public required string Name { get; init; }
    public required string Step { get; init; }

    /// <summary>Zone in which the station stands, such as <c>esd</c>: whoever works there needs the qualification of the same id. Null for none.</summary>
    public string? Zone { get; init; }

    /// <summary>Tools and gauges of the station; without a calibration in date for each of them its requests are refused.</summary>
    public IReadOnlyList<string> Instruments { get; init; } = [];
}

/// <summary>What is built, and everything its load test is judged by, where it has one.</summary>
public sealed record ProductDefinition
{
    public required string Id { get; init; }
    public required string Name { get; init; }
    public LoadTestPlan? LoadTest { get; init; }

    /// <summary>Reference units that decide whether a rig may judge; null where none are asked for.</summary>
    public RigReferences? References { get; init; }

    /// <summary>What its life on the road is computed from; null where nobody gave the figures.</summary>
    public LifePlan? Life { get; init; }

    /// <summary>How often a unit may be repaired; after that it is scrapped.</summary>
    public int RepairsAtMost { get; init; } = 2;

    /// <summary>What is built of it for several markets or customers; empty where every unit is alike.</summary>
    public IReadOnlyList<ProductVariant> Variants { get; init; } = [];
}

/// <summary>A part as bought or made.</summary>
public sealed record PartDefinition
{
    public required string Id { get; init; }
    public required string Name { get; init; }

    /// <summary>The part has its own number beside its lot.</summary>
    public bool Serialised { get; init; }

    /// <summary>A unit of some product starts as this part (the shell).</summary>
    public bool Shell { get; init; }

    /// <summary>Id of the product that the plant itself builds and puts in as this part; null for a part that is bought.</summary>
    public string? Product { get; init; }

    /// <summary>What tells variants apart, such as "ratio 36.18".</summary>
    public string Variant { get; init; } = "";

    /// <summary>How many hours a lot may be used after it was opened; null where only its date counts.</summary>
    public double? OpenH { get; init; }

    /// <summary>A lot is refused, not only warned of, while another that ends earlier lies open at the station.</summary>
    public bool FirstExpiredFirst { get; init; }

    /// <summary>The only zone in which the part may be handled; null for anywhere.</summary>
    public string? Zone { get; init; }

    /// <summary>What a bad lot of the part would show in at the load test, the strongest first; its lots are watched for it.</summary>
    public IReadOnlyList<ReadingFamily> Moves { get; init; } = [];
}

/// <summary>One step of the route, in the order of the list.</summary>
public sealed record RouteStep
{
    public required string Id { get; init; }

    /// <summary>The number on its balloon: 10, 20, 30 …</summary>
    public required int Number { get; init; }
    public required string Name { get; init; }

    /// <summary>assembly, check, load-test, label, mark or pack.</summary>
    public required StepKind Kind { get; init; }
    public required string Instruction { get; init; }

    /// <summary>The usual caution, where the work can hurt someone; empty otherwise.</summary>
    public string Caution { get; init; } = "";

    /// <summary>Work content by hand or machine, s; for simulation and planning.</summary>
    public required double WorkS { get; init; }

    /// <summary>What a person must be qualified for to do it; null where anybody may.</summary>
    public string? Qualification { get; init; }

    /// <summary>It turns the gears well: from its end on a unit stands, and its grease settles. A load test does so anyway.</summary>
    public bool TurnsGears { get; init; }

    /// <summary>How often a test that failed may be tried again without repair.</summary>
    public int RetestsAtMost { get; init; } = 1;

    /// <summary>How the tries of a test combine once one has failed: two passes of two, or the mean of both.</summary>
    public RetestScheme RetestScheme { get; init; } = RetestScheme.TwoOfTwo;

    /// <summary>Least time from the end of a try to the begin of the next one without repair, s; null where it may follow at once.</summary>
    public double? CoolDownS { get; init; }

    /// <summary>A run of a load test that follows one without repair counts only where its winding began no more than so much warmer than the shell, K; null where nobody asks.</summary>
    public double? CoolDownK { get; init; }

    /// <summary>The rule for tries of the step.</summary>
    public RetestRule Retests => new(RetestScheme, RetestsAtMost);
    public IReadOnlyList<StepPart> Parts { get; init; } = [];
    public IReadOnlyList<StepReading> Readings { get; init; } = [];
    public IReadOnlyList<ScrewGroup> Screws { get; init; } = [];

    /// <summary>Readings of the step come from one capture of slow turning; null where the station reads each.</summary>
    public FunctionalPlan? Functional { get; init; }

    /// <summary>The station sends a curve; the line reads and judges it.</summary>
    public bool IsFromCurve(StepReading reading) => reading.HasOwnCurve || Functional?.Readings.Contains(reading.Id) == true;
}

public enum StepKind
{
    Assembly,
    Check,
    LoadTest,
    Label,
    Mark,
    Pack,
}

/// <summary>A part that a step puts in.</summary>
public sealed record StepPart
{
    public required string Part { get; init; }
    public required string Say { get; init; }
    public string Hint { get; init; } = "";

    /// <summary>A unit holds one lot of the part, however often the step is tried; only a repair may change it.</summary>
    public bool OneLot { get; init; }

    /// <summary>A variant may take another part in its place.</summary>
    public bool OfVariant { get; init; }
}

/// <summary>A reading that a step takes; with limits it is a requirement, as text it is only kept.</summary>
public sealed record StepReading
{
    public required string Id { get; init; }
    public required string Name { get; init; }
    public string Unit { get; init; } = "";
    public double? Lower { get; init; }
    public double? Upper { get; init; }
    public double StandardUncertainty { get; init; }
    public double GuardFactor { get; init; } = 1.64;
    public bool Text { get; init; }

    /// <summary>A text reading must equal this, where it is given (a firmware hash, a region).</summary>
    public string? Equal { get; init; }

    /// <summary>Which text of the unit's variant it must equal, instead of one that is the same for all.</summary>
    public VariantText? OfVariant { get; init; }
    public bool Safety { get; init; }

    /// <summary>Never tried again without repair although it is no safety function.</summary>
    public bool NoRetest { get; init; }
    public required string Origin { get; init; }

    /// <summary>Standard deviation over sound units, for the simulated plant and for the power of the check.</summary>
    public double UsualSpread { get; init; }

    /// <summary>Mean over sound units.</summary>
    public double UsualValue { get; init; }

    /// <summary>What it measures of the unit, where the model knows how a fault moves it: a repairer is told to take it where it decides between causes.</summary>
    public MeasuredQuantity? Quantity { get; init; }

    /// <summary>The reading comes from the curve of a press-in; null where the station reads it.</summary>
    public PressPlan? Press { get; init; }

    /// <summary>The reading comes from a hold of pressure; null where the station reads it.</summary>
    public LeakPlan? Leak { get; init; }

    /// <summary>The reading has a curve to itself.</summary>
    public bool HasOwnCurve => Press is not null || Leak is not null;

    /// <summary>A try in which it was not met is the last one without repair.</summary>
    public bool NeverAgain => Safety || NoRetest;

    /// <summary>Guard band in standard uncertainties; a safety function keeps the least one whatever is written.</summary>
    public double Guard => Safety ? Math.Max(GuardFactor, Requirement.LeastSafetyGuardFactor) : GuardFactor;
}

/// <summary>Screws that are tightened together, in a pattern.</summary>
public sealed record ScrewGroup
{
    public required string Id { get; init; }
    public required string Name { get; init; }
    public required int Count { get; init; }
    public required double TorqueLowerNm { get; init; }
    public required double TorqueUpperNm { get; init; }
    public required double AngleLowerDeg { get; init; }
    public required double AngleUpperDeg { get; init; }

    /// <summary>Hazard class A, B or C of the joint (VDI/VDE 2862, from secondary summaries).</summary>
    public required string Class { get; init; }
    public required double StandardUncertaintyNm { get; init; }
    public required string Origin { get; init; }

    /// <summary>The screws are judged from their torque-angle curves; null where the driver's end values are.</summary>
    public TighteningPlan? Curve { get; init; }

    /// <summary>Where the screws stand, for their picture; null where nobody drew it.</summary>
    public ScrewPlaces? Places { get; init; }

    /// <summary>The part of which a piece goes in for each screw: <c>cover-screw</c> for group <c>cover</c>.</summary>
    public string PartId() => $"{Id}{ScrewPart}";

    /// <summary>How the id of such a part ends.</summary>
    public const string ScrewPart = "-screw";
}
