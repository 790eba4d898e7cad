using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What a load test says of one unit, with everything needed to ask "why" later.</summary>
/// <param name="Distance">Joint distance of all expectation readings from sound units (squared Mahalanobis distance).</param>
/// <param name="DistanceLimit">Beyond it the unit is unusual although no single reading may be.</param>
/// <param name="SigmaLimit">Beyond it a single reading is unusual; set together with the distance for one false-alarm rate.</param>
/// <param name="Windows">The steady windows that were found in the signal.</param>
/// <param name="Warnings">What makes the answer less sure, as sentences.</param>
public sealed record LoadTestVerdict(
    RunVerdict Verdict,
    IReadOnlyList<RequirementReading> Requirements,
    IReadOnlyList<ExpectationReading> Expectations,
    double Distance,
    double DistanceLimit,
    double SigmaLimit,
    IReadOnlyList<DiagnosisLine> Diagnosis,
    IReadOnlyList<SteadyPoint> Windows,
    string Method,
    IReadOnlyList<string> Warnings)
{
    /// <summary>The known fault that the readings have moved nearest to, by evidence; null where they moved along none. Beyond its own limit the unit is unusual.</summary>
    public FaultLikeness? NearestFault { get; init; }

    /// <summary>How much of the joint distance another run draws anew, along the way in which this unit lies out, in standard deviations of a sound unit; null in verdicts from before it was kept, and of a run that passed.</summary>
    public StatisticSpread? DistanceSpread { get; init; }

    /// <summary>Names of safety functions that the run did not show: no person lets a unit go on without them.</summary>
    public IReadOnlyList<string> NotShown { get; init; } = [];

    /// <summary>Names of readings that the plan asks for and the run did not give: a unit cannot pass without them.</summary>
    public IReadOnlyList<string> NotRead { get; init; } = [];

    /// <summary>Sentences on sensors of the unit that tell nothing of what the rig does to it: a unit cannot pass by them.</summary>
    public IReadOnlyList<string> Silent { get; init; } = [];

    /// <summary>How warm the unit came to the rig; null where the rig does not read the shell.</summary>
    public RunStart? Start { get; init; }

    /// <summary>This run together with those before it, where its step judges their mean; it decides in place of <see cref="Verdict"/>.</summary>
    public RunsMean? Mean { get; init; }

    /// <summary>How long the unit had stood when the run began, h; null where nobody knew.</summary>
    public double? IdleH { get; init; }

    /// <summary>The kind of run that its limits are for; null in verdicts from before it was kept.</summary>
    public RunKind? Kind { get; init; }

    /// <summary>What the rig's own gauges read while nothing turned; empty where the run does not end at rest.</summary>
    public IReadOnlyList<ZeroAtRest> ZerosAtRest { get; init; } = [];
}

/// <summary>Temperatures when a run began: a winding warmer than its shell has not cooled down from a run before.</summary>
public sealed record RunStart(double WindingC, double ShellC);

/// <summary>A gauge's reading at rest, which should be nothing.</summary>
public sealed record ZeroAtRest(string Channel, string Name, double Value, string Unit);

/// <summary>How far a unit's readings have moved together along a known fault's own signature.</summary>
/// <param name="Sigma">In standard deviations of a sound unit.</param>
/// <param name="Limit">Sound units stay below it; each fault has its own, set together with the other expectation limits for one false-alarm rate.</param>
public sealed record FaultLikeness(string Fault, string Name, double Sigma, double Limit)
{
    /// <summary>How much of the move another run draws anew, in standard deviations of a sound unit; null in verdicts from before it was kept, and of a run that passed.</summary>
    public StatisticSpread? Spread { get; init; }
}

/// <summary>A steady window that belongs to a load point, with its means.</summary>
public sealed record SteadyPoint(string Point, double FromS, double ToS, IReadOnlyDictionary<string, double> Means);

/// <summary>One possible cause, ranked by evidence.</summary>
/// <param name="Fault">Id of the hypothesis, such as <c>motor-drag</c>; two at once stand with <see cref="Both"/> between them; <c>sound</c> and <c>unknown</c> compete as well.</param>
/// <param name="Magnitude">Most likely size, in <paramref name="Unit"/>; of two faults that of the first.</param>
/// <param name="InseparableFrom">Hypotheses whose signature is too alike for these readings to tell.</param>
/// <param name="LookFirst">The part or station record to look at before the unit is opened.</param>
/// <param name="NextMeasurement">The cheapest measurement that would tell it from those it cannot be told from; empty if none is needed.</param>
public sealed record DiagnosisLine(
    string Fault, string Name, double Probability, double Magnitude, Interval Interval, string Unit,
    IReadOnlyList<string> InseparableFrom, string LookFirst, string NextMeasurement)
{
    /// <summary>Stands between the ids of two faults at once.</summary>
    public const string Both = "+";

    /// <summary>The second of two faults at once; null for one.</summary>
    public SecondFault? With { get; init; }

    /// <summary>Evidence: decimal logarithm of how many times better than "sound" it explains the readings, before anything is said of how often it happens; null in verdicts from before it was kept.</summary>
    public double? AgainstSound { get; init; }

    /// <summary>The same against "unknown".</summary>
    public double? AgainstUnknown { get; init; }
}

/// <summary>The second of two faults at once.</summary>
public sealed record SecondFault(string Fault, string Name, double Magnitude, Interval Interval, string Unit);
