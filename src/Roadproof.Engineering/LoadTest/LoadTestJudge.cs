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
    public const string Method = "load-test/2: readings carried to 20 °C by the unit's own model; requirements guard-banded (JCGM 106:2012); expectations single, joint and along known faults, second order in the parts";

    readonly LoadTestPlan plan;
    readonly ExpectationSpread spread;
    readonly IReadOnlyList<Characteristic> expectations;
    readonly int zeroRow;
    readonly ConcurrentDictionary<SampleRates, ExpectationSpread> spreads = new();
    readonly ConcurrentDictionary<(SampleRates Rates, string Rows), Prepared> prepared = new();
    readonly ConcurrentDictionary<string, ReferenceJudge> references = new(StringComparer.Ordinal);
    readonly Lazy<StopRates> stopRates;

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
        (SigmaLimit, DistanceLimit, FaultLimit) = (whole.Limits.SigmaLimit, whole.Limits.DistanceLimit, whole.Limits.FaultLimit);
        stopRates = new(() => new(plan, spread, whole.Limits));
    }

    /// <summary>What sound units read, by characteristic, for runs that have all of them and usual sample rates.</summary>
    public IReadOnlyList<ExpectationLimit> Limits { get; }

    /// <summary>Beyond it a single reading is unusual, in its standard deviations.</summary>
    public double SigmaLimit { get; }

    /// <summary>Beyond it the readings together are unusual.</summary>
    public double DistanceLimit { get; }

    /// <summary>Beyond it a move along a known fault is unusual, in standard deviations of a sound unit.</summary>
    public double FaultLimit { get; }

    /// <summary>Reads, carries and judges a capture.</summary>
    /// <exception cref="Quantities.InputException">The capture cannot be judged: a channel is missing, cut short, stuck or too slow.</exception>
    public LoadTestVerdict Judge(Capture capture) => Judge(LoadTestReadings.From(capture, plan));

    public LoadTestVerdict Judge(LoadTestReadings readings) =>
        Judge(MeasuredRunOf.Readings(readings, plan.Cycle), [.. readings.Points.Select(Window)], readings.Warnings) with { ZerosAtRest = readings.ZerosAtRest };

    internal LoadTestVerdict Judge(MeasuredRun run, IReadOnlyList<SteadyPoint> windows, IReadOnlyList<string> warningsOfReading)
    {
        var warnings = new List<string>(warningsOfReading);
        var carried = CarriedReadings.Of(run, plan).Readings;
        var requirements = Requirements(run, carried, warnings);

        var rows = Enumerable.Range(0, spread.Model.JointCount).Where(i => carried.TryGetValue(spread.Ids[i], out var r) && double.IsFinite(r.Value)).ToArray();
        WarnOfMissing(rows, warnings);
        var residual = rows.Select(i => carried[spread.Ids[i]].Value - spread.Mean[i]).ToArray();
        var hasZero = carried.TryGetValue(Characteristics.TorqueSensorZero, out var zero) && double.IsFinite(zero.Value) && zeroRow >= 0;
        var (limits, diagnosis) = PreparedFor(run.Rates, rows, hasZero);
        var white = limits.Whitening.Whiten(residual);
        var distance = Whitening.Dot(white, white);
        var (fault, along) = limits.Faults.Farthest(white);
        var judged = rows.Select((row, i) => Expectation(row, SpreadAt(run.Rates), carried[spread.Ids[row]], residual[i], limits.SigmaLimit)).ToArray();

        var isUnusual = distance > limits.DistanceLimit || along > limits.FaultLimit || judged.Any(e => e.Verdict == Verdict.Unusual);
        var isComplete = requirements.Count == plan.Requirements.Count && rows.Length > 0;
        var verdict = requirements.Any(r => r.Verdict == Verdict.Fail) ? RunVerdict.Fail
            : isUnusual || !isComplete || requirements.Any(r => r.Verdict == Verdict.Undecided) ? RunVerdict.Hold
            : RunVerdict.Pass;
        return new(verdict, requirements, judged, distance, limits.DistanceLimit, limits.SigmaLimit,
            verdict == RunVerdict.Pass ? [] : diagnosis.Of(hasZero ? [.. residual, zero.Value - spread.Mean[zeroRow]] : residual), windows, Method, warnings)
        {
            NearestFault = fault is null ? null : new(fault.Id, fault.Name, along, limits.FaultLimit),
        };
    }

    /// <summary>Judges the runs of a sound reference unit by what the rig's gauges move; made once for each.</summary>
    public ReferenceJudge JudgeOf(ReferenceUnit reference) => references.GetOrAdd(reference.Id, _ => new(plan, reference));

    /// <summary>How surely a unit with a fault is not passed by this load test, over part scatter, rigs and noise.</summary>
    public StopRate PredictedStopRate(Deviation fault) => stopRates.Value.Of(fault);

    /// <summary>For each fault the smallest size that is found in nine of ten units.</summary>
    public IReadOnlyList<FaultSensitivity> Sensitivity() => [.. spread.Model.Faults.Select(h => FaultSensitivity.Of(h, stopRates.Value))];

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

            var requirement = Requirement.Judge(limit, reading.Value, reading.Raw, Uncertainty(limit.Id, run, reading.Value));
            if (run.Direct.GetValueOrDefault(limit.Id) is { AtLeast: true } && (requirement.Verdict != Verdict.Fail || reading.Value < limit.Lower))
                warnings.Add(Invariant($"{limit.Name} was not seen to the end, only that it is at least {reading.Value:0.0##} {limit.Unit}: a unit cannot pass by that."));
            else
                judged.Add(requirement);
        }

        return judged;
    }

    double Uncertainty(string id, MeasuredRun run, double value)
    {
        var row = Array.IndexOf(spread.Ids, id);
        var ofRun = run.Direct.GetValueOrDefault(id)?.StandardUncertainty ?? 0;

        // The budget of a modelled reading holds its noise already; a run that is noisier than its gauges say counts by its own.
        return row >= 0 ? Math.Max(SpreadAt(run.Rates).ReadingUncertainty(row), ofRun) : double.Hypot(ReadingErrors.OfDirect(id, value, plan), ofRun);
    }

    ExpectationReading Expectation(int row, ExpectationSpread spread, CarriedReading reading, double residual, double sigmaLimit)
    {
        var (c, sd) = (expectations[row], spread.StandardDeviation(row));
        var sigma = residual / sd;
        return new(c.Id, c.Name, c.Unit, reading.Value, reading.Raw, spread.Mean[row], sd, spread.ReadingUncertainty(row), spread.RigShare(row), sigma,
            Math.Abs(sigma) > sigmaLimit ? Verdict.Unusual : Verdict.Usual);
    }

    void WarnOfMissing(int[] rows, List<string> warnings)
    {
        var missing = expectations.Where((_, i) => !rows.Contains(i)).Select(c => c.Id).ToArray();
        if (missing.Length == 0) return;
        warnings.Add(Invariant($"{missing.Length} of {expectations.Count} expectations were not read ({string.Join(", ", missing)}); the rest is judged by limits for those alone."));
        if (missing.Contains(Characteristics.Resistance))
            warnings.Add("Without phase voltages resistance and flux cannot be told apart: what power and current say of the resistance is less sure than the spread of parts.");
    }

    ExpectationSpread SpreadAt(SampleRates rates) => spreads.GetOrAdd(rates, _ => new(plan, rates));

    Prepared PreparedFor(SampleRates rates, int[] rows, bool hasZero) => prepared.GetOrAdd(
        (rates, string.Join(',', rows) + (hasZero ? "+zero" : "")),
        _ => new(new JointLimits(SpreadAt(rates), rows, plan.FalseAlarm), new Diagnosis(SpreadAt(rates), hasZero ? [.. rows, zeroRow] : rows)));

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
