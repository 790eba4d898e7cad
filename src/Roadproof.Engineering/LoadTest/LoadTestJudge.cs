using System.Collections.Concurrent;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Statistics;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Judges load-test runs of one product by one plan; prepare it once, then judge any number of runs, from any number of threads.</summary>
/// <remarks>
/// Requirement limits are judged with their guard band (JCGM 106). Expectations are judged together: what sound units read comes from the drive model, part
/// tolerances, the rig's gauges and
/// noise, and the limits hold one false-alarm rate over all of them. Nothing here is fitted to faults. Methods: <c>docs/methods/judging.md</c>,
/// <c>expectation-limits.md</c>, <c>diagnosis.md</c>.
/// </remarks>
public sealed class LoadTestJudge
{
    public const string Method = "load-test/4: readings carried to 20 °C by the unit's own model; requirements guard-banded (JCGM 106:2012); expectations single, joint and along known faults, second order in the parts";

    readonly LoadTestPlan plan;
    readonly ExpectationSpread spread;
    readonly IReadOnlyList<Characteristic> expectations;
    readonly int zeroRow;
    readonly ConcurrentDictionary<RunKind, ExpectationSpread> spreads = new();
    readonly ConcurrentDictionary<RunKind, Lazy<CoverageCheck[]>> drawn = new();
    readonly ConcurrentDictionary<(RunKind Kind, string Rows), Prepared> prepared = new();
    readonly ConcurrentDictionary<string, ReferenceJudge> references = new(StringComparer.Ordinal);
    readonly Lazy<StopRates> stopRates;
    readonly Lazy<IReadOnlyList<FaultSensitivity>> sensitivity;
    readonly Lazy<IReadOnlyList<UnseenFault>> unseen;

    /// <summary>Limits and diagnosis for runs that have the same characteristics and sample rates.</summary>
    sealed record Prepared(JointLimits Limits, Diagnosis Diagnosis);

    /// <param name="plan">Of an approved route revision: every requirement names a characteristic that a load test computes.</param>
    public LoadTestJudge(LoadTestPlan plan)
    {
        this.plan = plan;
        expectations = Characteristics.Expectations(plan);
        spread = SpreadAt(SampleRates.Usual);
        zeroRow = Array.IndexOf(spread.Ids, Characteristics.TorqueSensorZero);
        var whole = PreparedFor(SampleRates.Usual, [.. Enumerable.Range(0, spread.Model.JointCount)], hasZero: zeroRow >= 0);
        Limits = [.. expectations.Select((c, i) => Limit(c, i, whole.Limits.SigmaLimit))];
        (SigmaLimit, DistanceLimit, EvidenceLimit) = (whole.Limits.SigmaLimit, whole.Limits.DistanceLimit, whole.Limits.EvidenceLimit);
        stopRates = new(() => new(plan, spread, whole.Limits));
        sensitivity = new(() =>
        {
            var (information, best) = (new PointInformation(plan, spread), new BestRates(stopRates.Value, spread.Model.Faults, plan.FalseAlarm));
            return [.. spread.Model.Faults.Select(h => FaultSensitivity.Of(h, stopRates.Value, best, whole.Limits.LimitAlong(h), information, plan))];
        });
        unseen = new(() => UnseenFaults.Of(plan, spread, stopRates.Value));
    }

    /// <summary>What sound units read, by characteristic, for runs that have all of them and usual sample rates.</summary>
    public IReadOnlyList<ExpectationLimit> Limits { get; }

    /// <summary>Whether the rig measures well enough for each requirement.</summary>
    public IReadOnlyList<GaugeFitness> Gauges => GaugeFitness.Of(plan, spread);

    /// <summary>Where the scatter of each comes from, as <see cref="Limits"/>.</summary>
    public IReadOnlyList<ScatterShares> Shares => [.. Limits.Select((_, i) => ScatterShares.Of(spread, i))];

    /// <summary>Beyond it a single reading is unusual, in its standard deviations.</summary>
    public double SigmaLimit { get; }

    /// <summary>Beyond it the readings together are unusual.</summary>
    public double DistanceLimit { get; }

    /// <summary>Beyond it a move along a known fault is unusual: logarithm of how many times likelier it is with the fault than in a sound unit. What it comes to along each stands in <see cref="FaultSensitivity.LimitSigma"/>.</summary>
    public double EvidenceLimit { get; }

    /// <summary>Reads, carries and judges a capture.</summary>
    /// <exception cref="Quantities.InputException">The capture cannot be judged: a channel is missing, cut short, stuck or too slow.</exception>
    /// <param name="idleH">How long the unit had stood by the records, h; what the capture itself says of it goes first. Null where neither says: the readings are less sure then.</param>
    public LoadTestVerdict Judge(Capture capture, double? idleH = null) => Judge(LoadTestReadings.From(capture, plan), idleH);

    public LoadTestVerdict Judge(LoadTestReadings readings, double? idleH = null) =>
        Judge(MeasuredRunOf.Readings(readings, plan, idleH), [.. readings.Points.Select(Window)], readings.Warnings, readings.Silent) with { Start = StartOf(readings), ZerosAtRest = readings.ZerosAtRest, IdleH = readings.Header.IdleS / 3600 ?? idleH };

    // Without a shell sensor nothing says whether the unit has cooled down.
    static RunStart? StartOf(LoadTestReadings readings) =>
        readings.Points is [{ ShellC.Value: var shellC }, ..] && double.IsFinite(shellC) && double.IsFinite(readings.Functions.Winding.StartC) ? new(readings.Functions.Winding.StartC, shellC) : null;

    internal LoadTestVerdict Judge(MeasuredRun run, IReadOnlyList<SteadyPoint> windows, IReadOnlyList<string> warningsOfReading, IReadOnlyList<string>? silent = null)
    {
        var warnings = new List<string>(warningsOfReading);
        var carried = CarriedReadings.Of(run, plan).Readings;
        var requirements = Requirements(run, carried, warnings);

        var rows = Enumerable.Range(0, spread.Model.JointCount).Where(i => carried.TryGetValue(spread.Ids[i], out var r) && double.IsFinite(r.Value)).ToArray();
        var notRead = NotRead(rows, run, warnings);
        if (run.IdleH is null) warnings.Add(SettledGrease.Unknown);
        var residual = rows.Select(i => carried[spread.Ids[i]].Value - spread.Mean[i]).ToArray();
        var hasZero = carried.TryGetValue(Characteristics.TorqueSensorZero, out var zero) && double.IsFinite(zero.Value) && zeroRow >= 0;
        var (limits, diagnosis) = PreparedFor(run.Kind, rows, hasZero);
        var (distance, nearest, along, isUnusual) = Jointly(limits, residual);
        var judged = rows.Select((row, i) => Expectation(row, run, carried[spread.Ids[row]], residual[i], limits.SigmaLimit)).ToArray();
        var isComplete = requirements.Count == plan.Requirements.Count && notRead.Length == 0 && silent is not { Count: > 0 };
        var verdict = requirements.Any(r => r.Verdict == Verdict.Fail) ? RunVerdict.Fail
            : isUnusual || !isComplete || requirements.Any(r => r.Verdict == Verdict.Undecided) ? RunVerdict.Hold
            : RunVerdict.Pass;
        return new(verdict, requirements, judged, distance, limits.DistanceLimit, limits.SigmaLimit,
            verdict == RunVerdict.Pass ? [] : diagnosis.Of(hasZero ? [.. residual, zero.Value - spread.Mean[zeroRow]] : residual), windows, Method, warnings)
        {
            NotShown = [.. plan.Requirements.Where(l => l.Safety && requirements.All(r => r.Id != l.Id)).Select(l => l.Name)],
            NearestFault = nearest is null || along <= 0 ? null : new(nearest.Fault.Id, nearest.Fault.Name, along, nearest.SigmaAt(limits.EvidenceLimit)) { Spread = isUnusual ? SpreadAlong(limits, rows, run.Kind, nearest) : null },
            DistanceSpread = isUnusual ? SpreadOfDistance(limits, rows, run.Kind, residual) : null,
            NotRead = notRead,
            Silent = silent ?? [],
            Kind = run.Kind,
        };
    }

    /// <summary>Judges a run again whose rig was found to have drifted since it last was right; its first verdict stays.</summary>
    /// <param name="first">What this load test said of the run.</param>
    public Rejudgement Rejudge(LoadTestVerdict first, ShownDrift drift)
    {
        int[] rows = [.. Enumerable.Range(0, spread.Model.JointCount).Where(i => first.Expectations.Any(e => e.Id == spread.Ids[i]))];
        var hasZero = zeroRow >= 0 && first.Requirements.Any(r => r.Id == Characteristics.TorqueSensorZero);
        return Rejudging.Of(first, drift, plan, values =>
        {
            var (distance, _, _, isUnusual) = Jointly(PreparedFor(first.Kind ?? SampleRates.Usual, rows, hasZero).Limits, [.. rows.Select(i => values[spread.Ids[i]] - spread.Mean[i])]);
            return (distance, isUnusual);
        });
    }

    /// <summary>How readings of sound units lie together, one by one and along known faults.</summary>
    static (double Distance, FaultDirection? Nearest, double Along, bool IsUnusual) Jointly(JointLimits limits, double[] residual)
    {
        var white = limits.Whitening.Whiten(residual);
        var distance = Whitening.Dot(white, white);
        var (nearest, along, evidence) = limits.Faults.Nearest(white);
        return (distance, nearest, along, distance > limits.DistanceLimit || evidence > limits.EvidenceLimit || limits.FarthestSigma(residual) > limits.SigmaLimit);
    }

    /// <summary>How a statistic along one direction scatters over sound units, and what of it a reading brings along: errors are independent, so that their squares add up (JCGM 100:2008, 5.1.2).</summary>
    StatisticSpread SpreadAlong(JointLimits limits, int[] rows, RunKind kind, FaultDirection direction) =>
        SpreadOf(limits, rows, kind, columns => columns.Sum(white => Math.Pow(direction.Along(white), 2)));

    /// <summary>The same of the joint distance d of a unit: along its own way n out, and what moves it across that way: nᵀ·C·n + tr(C²)/2d², from the variance of a quadratic form of normal errors (textbook).</summary>
    StatisticSpread SpreadOfDistance(JointLimits limits, int[] rows, RunKind kind, double[] residual)
    {
        var unit = limits.Whitening.Whiten(residual);
        var square = Whitening.Dot(unit, unit);
        return SpreadOf(limits, rows, kind, columns => columns.Sum(white => Math.Pow(Whitening.Dot(unit, white), 2)) / square + columns.Sum(a => columns.Sum(b => Math.Pow(Whitening.Dot(a, b), 2))) / (2 * square)) with { SoundSd = 1 };
    }

    StatisticSpread SpreadOf(JointLimits limits, int[] rows, RunKind kind, Func<List<double[]>, double> variance)
    {
        var of = SpreadAt(kind);
        double Variance(IEnumerable<double[]> columns) => variance([.. columns.Select(c => limits.Whitening.Whiten([.. rows.Select(i => c[i])]))]);
        IEnumerable<double[]> Shared(params SharedBy[] by) => of.Errors.Where(e => by.Contains(e.Error.SharedBy)).Select(e => e.Column);
        return new(Math.Sqrt(Variance(of.PartColumns().Concat(Shared(SharedBy.Nobody, SharedBy.Rig, SharedBy.Unit)))), Math.Sqrt(Variance(of.Errors.Select(e => e.Column))),
            Math.Sqrt(Variance(Shared(SharedBy.Nobody))), Math.Sqrt(Variance(Shared(SharedBy.Rig))));
    }

    /// <summary>Judges the runs of a sound reference unit by what the rig's gauges move; made once for each.</summary>
    public ReferenceJudge JudgeOf(ReferenceUnit reference) => references.GetOrAdd(reference.Id, _ => new(plan, reference));

    /// <summary>How surely a unit with a fault is not passed by this load test, over part scatter, rigs and noise.</summary>
    public StopRate PredictedStopRate(Deviation fault) => stopRates.Value.Of(fault);

    /// <summary>For each fault the smallest size that is found in nine of ten units, and which load point sees it; worked out once, which takes some seconds.</summary>
    public IReadOnlyList<FaultSensitivity> Sensitivity() => sensitivity.Value;

    /// <summary>Ids of the faults that load tests of a unit are asked about.</summary>
    public static IReadOnlyList<string> FaultsOf(DriveUnit unit) => [.. FaultHypotheses.Of(unit).Select(h => h.Id)];

    /// <summary>Faults that it is not made to see, with what of them shows all the same; worked out once.</summary>
    public IReadOnlyList<UnseenFault> Unseen() => unseen.Value;

    /// <summary>The limits with what they stop and pass, and the scatter behind them by three computations; takes some seconds.</summary>
    /// <param name="largestConsumerRisk">Share of all units that may be bad and pass, for the guard bands; 0 to 1.</param>
    public LimitReport Report(double largestConsumerRisk) => LimitReport.Of(plan, spread, Whole, stopRates.Value, Limits, largestConsumerRisk);

    /// <summary>What false-alarm rates cost; takes some seconds.</summary>
    /// <param name="shares">Share of units that have a fault, by its id; those left out as common practice has them.</param>
    /// <exception cref="ArgumentException">A share of a fault that is not among them, or shares of more than all units.</exception>
    public AlarmCost Cost(double stoppedSound, double passedFault, IReadOnlyDictionary<string, double> shares)
    {
        if (shares.Keys.FirstOrDefault(id => spread.Model.Faults.All(h => h.Id != id)) is { } other) throw new ArgumentException($"'{other}' is no fault of this load test.", nameof(shares));
        var all = spread.Model.Faults.ToDictionary(h => h.Id, h => shares.GetValueOrDefault(h.Id, h.Prior), StringComparer.Ordinal);
        if (all.Values.Sum() >= 1 || all.Values.Any(s => s < 0)) throw new ArgumentException("Shares of faults are 0 or more and less than 1 together.", nameof(shares));
        return AlarmCost.Of(spread, Whole, stopRates.Value, stoppedSound, passedFault, all);
    }

    /// <summary>What the plant's own units read, beside the model.</summary>
    /// <param name="rigs">Every rig of the line.</param>
    /// <param name="lots">How many lots of each part that may move a reading are in these units.</param>
    /// <param name="until">Until when they were built, for the origin of limits that rest on them.</param>
    public ProvenUnits Proven(IReadOnlyList<ProvenUnit> units, IReadOnlyList<string> rigs, IReadOnlyDictionary<string, int> lots, string until) => ProvenUnits.Of(spread, plan, Limits, units, rigs, lots, until);

    JointLimits Whole => PreparedFor(SampleRates.Usual, [.. Enumerable.Range(0, spread.Model.JointCount)], hasZero: zeroRow >= 0).Limits;

    /// <summary>Tries the diagnosis on drawn units that have each fault in turn, at twice the size that nine of ten units are stopped for.</summary>
    public IReadOnlyList<DiagnosisTrialRow> TryDiagnosis(int units, ulong seed)
    {
        var (trial, found) = (Trial(), Sensitivity().ToDictionary(s => s.Fault, StringComparer.Ordinal));
        return [.. spread.Model.Faults.AsParallel().AsOrdered().Select(h => trial.Of(h, found[h.Id].SmallestFound, units, seed))];
    }

    /// <summary>The same with two faults at once, for every pair that the readings can tell apart.</summary>
    public IReadOnlyList<PairTrialRow> TryDiagnosisOfTwo(int units, ulong seed)
    {
        var (trial, found) = (Trial(), Sensitivity().ToDictionary(s => s.Fault, StringComparer.Ordinal));
        var faults = spread.Model.Faults;
        return [.. (from i in Enumerable.Range(0, faults.Count) from j in Enumerable.Range(i + 1, faults.Count - i - 1) where trial.TellsApart(faults[i], faults[j]) select (One: faults[i], Other: faults[j]))
            .AsParallel().AsOrdered().Select(pair => trial.Of((pair.One, found[pair.One.Id].SmallestFound), (pair.Other, found[pair.Other.Id].SmallestFound), units, seed))];
    }

    DiagnosisTrial Trial()
    {
        int[] joint = [.. Enumerable.Range(0, spread.Model.JointCount)];
        return new(plan, spread, zeroRow >= 0 ? [.. joint, zeroRow] : joint);
    }

    List<RequirementReading> Requirements(MeasuredRun run, IReadOnlyDictionary<string, CarriedReading> carried, List<string> warnings)
    {
        var judged = new List<RequirementReading>();
        foreach (var limit in plan.Requirements)
        {
            if (!carried.TryGetValue(limit.Id, out var reading) || !double.IsFinite(reading.Value))
            {
                warnings.Add($"{limit.Name} was not measured: a unit cannot pass without it.");
                continue;
            }

            var budget = Budget(limit, run, reading.Value);
            var requirement = Requirement.Judge(limit with { StandardUncertainty = 0 }, reading.Value, reading.Raw, budget.StandardUncertainty) with { Budget = budget, UncertaintyOfRun = budget.OfRun, UncertaintyOfRig = budget.OfRig };
            if (run.Direct.GetValueOrDefault(limit.Id) is { AtLeast: true } && (requirement.Verdict != Verdict.Fail || reading.Value < limit.Lower))
                warnings.Add(Invariant($"{limit.Name} was not seen to the end, only that it is at least {reading.Value:0.0##} {limit.Unit}: a unit cannot pass by that."));
            else
                judged.Add(requirement);
        }

        return judged;
    }

    UncertaintyBudget Budget(RequirementLimit limit, MeasuredRun run, double value) => Array.IndexOf(spread.Ids, limit.Id) is >= 0 and var row
        ? ReadingBudgets.Of(row, SpreadAt(run.Kind), run, DrawnAt(run.Kind)[row], limit.Unit, limit.StandardUncertainty)
        : ReadingBudgets.OfDirect(limit.Id, value, plan, run, limit.Unit, limit.StandardUncertainty);

    ExpectationReading Expectation(int row, MeasuredRun run, CarriedReading reading, double residual, double sigmaLimit)
    {
        var (c, spread) = (expectations[row], SpreadAt(run.Kind));
        var sd = spread.StandardDeviation(row);
        var sigma = residual / sd;
        var budget = ReadingBudgets.Of(row, spread, run, DrawnAt(run.Kind)[row], c.Unit);
        return new(c.Id, c.Name, c.Unit, reading.Value, reading.Raw, spread.Mean[row], sd, budget.StandardUncertainty, spread.RigShare(row), sigma,
            Math.Abs(sigma) > sigmaLimit ? Verdict.Unusual : Verdict.Usual) { Budget = budget };
    }

    /// <summary>Names of what the run should have told. A rig that measures no phase voltages tells less of every unit, and is judged by the rest.</summary>
    string[] NotRead(int[] rows, MeasuredRun run, List<string> warnings)
    {
        var missing = expectations.Where((_, i) => !rows.Contains(i)).ToList();
        if (run.Points.All(p => p.Fast is not { HasVoltages: true }) && missing.RemoveAll(c => Characteristics.OfVoltages.Contains(c.Id)) > 0)
            warnings.Add("Without phase voltages resistance, flux and rotor angle are not read, and the rest is judged by limits for those alone: what power and current say of the resistance is less sure than the spread of parts.");
        return [.. missing.Select(c => c.Name)];
    }

    ExpectationSpread SpreadAt(RunKind kind) => spreads.GetOrAdd(kind, _ => new(plan, kind));

    // Takes about half a second, so nobody waits for it before the first run.
    CoverageCheck[] DrawnAt(RunKind kind) => drawn.GetOrAdd(kind, _ => new(() => DrawnReadings.OfReadings(SpreadAt(kind), plan, kind))).Value;

    Prepared PreparedFor(RunKind kind, int[] rows, bool hasZero) => prepared.GetOrAdd(
        (kind, string.Join(',', rows) + (hasZero ? "+zero" : "")),
        _ => new(new JointLimits(SpreadAt(kind), rows, plan.FalseAlarm), new Diagnosis(SpreadAt(kind), hasZero ? [.. rows, zeroRow] : rows)));

    ExpectationLimit Limit(Characteristic c, int row, double sigmaLimit)
    {
        var (mean, sd) = (spread.Mean[row], spread.StandardDeviation(row));
        return new(c.Id, c.Name, c.Unit, mean, sd, spread.ReadingUncertainty(row), spread.RigShare(row), mean - sigmaLimit * sd, mean + sigmaLimit * sd);
    }

    static SteadyPoint Window(PointReading p) => new(p.Point.Id, p.FromS, p.ToS, new Dictionary<string, double>(StringComparer.Ordinal)
    {
        ["busPowerW"] = p.BusPowerW.Value, ["driveTorqueNm"] = p.DriveTorqueNm.Value, ["outputSpeedRadPerS"] = p.OutputSpeedRadPerS.Value,
        ["windingC"] = p.WindingC.Value, ["phaseCurrentPeakA"] = p.Phase?.CurrentPeakA.Value ?? double.NaN,
    }.Where(m => double.IsFinite(m.Value)).ToDictionary(StringComparer.Ordinal));
}
