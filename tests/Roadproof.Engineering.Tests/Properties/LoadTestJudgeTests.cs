using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Statistics;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>The judge against units drawn from the full model (not its derivatives) with errors of the stated size.</summary>
public sealed class LoadTestJudgeTests
{
    static LoadTestPlan Plan => DemoPlan.Plan;

    public static TheoryData<string, Deviation> Faults => new()
    {
        { "motor-drag", new() { AddedMotorDragNm = 0.010 } },
        { "stiff-grease", new() { GearDragFactor = 1.8 } },
        { "grease-missing", new() { GearDragFactor = 0.54, MeshFactor = 0.982 } },
        { "crimp", new() { AddedResistanceOhm = 0.010 } },
        { "magnet-missing", new() { FluxFactor = 13.0 / 14 } },
        { "rotor-offset", new() { RotorOffsetRad = 10 * Math.PI / 180 } },
        { "rotor-offset", new() { RotorOffsetRad = -20 * Math.PI / 180 } },
        { "current-gain", new() { CurrentGainFactor = 1.02 } },
        { "torque-sensor-zero", new() { TorqueSensorZeroNm = 2.5 } },
        { "tooth-damage", new() { ToothBlowMPerS2 = 20 } },
    };

    // "Power without load at 110 rpm" once stood twice among what a unit reads, once for each end of the cycle.
    [Fact]
    public void No_two_expectations_have_the_same_name()
    {
        var names = Characteristics.Expectations(DemoPlan.Plan).Select(c => c.Name).ToList();
        Assert.Equal(names.Distinct(), names);
        Assert.Contains("Power without load at 110 rpm, later", names);
    }

    [Fact]
    public void Stops_one_sound_unit_in_a_hundred_by_its_expectations()
    {
        const int units = 8_000;
        var rate = UnusualRate(Deviation.None, units, seed: 31);
        Assert.Equal(0.01, rate, 4 * Math.Sqrt(0.01 * 0.99 / units) + 0.0005);
    }

    // The prediction knows the fault's mean and scatter around a sound unit; here the fault and the scattering parts go through the model together.
    [Theory]
    [MemberData(nameof(Faults))]
    public void Stops_as_many_faulty_units_as_predicted(string fault, Deviation deviation)
    {
        const int units = 500;
        var predicted = DemoJudge.Judge.PredictedStopRate(deviation).Rate;
        var counted = StoppedRate(deviation, units, seed: 32);
        var tolerance = 4 * Math.Sqrt(Math.Max(predicted * (1 - predicted), 0.001) / units) + 0.02;
        Assert.True(Math.Abs(predicted - counted) <= tolerance, $"{fault}: predicted {predicted:P1}, counted {counted:P1}");
    }

    [Fact]
    public void Single_readings_and_distance_share_the_false_alarms()
    {
        var rate = DemoJudge.Judge.PredictedStopRate(Deviation.None);
        Assert.Equal(rate.BySingleReading, rate.ByDistance, 0.0015);
        Assert.InRange(rate.Rate, 0.0095, 0.016); // requirements that a sound unit leaves undecided come on top
    }

    [Fact]
    public void Passes_a_unit_as_drawn()
    {
        var verdict = Judged(Deviation.None);
        Assert.Equal(RunVerdict.Pass, verdict.Verdict);
        Assert.Empty(verdict.Diagnosis);
        Assert.Equal(26, verdict.Expectations.Count);
        Assert.True(verdict.Distance < 1, $"distance {verdict.Distance}");
    }

    [Theory]
    [MemberData(nameof(Faults))]
    public void Names_the_fault_of_a_unit_that_is_otherwise_as_drawn(string fault, Deviation deviation)
    {
        var verdict = Judged(deviation);
        Assert.NotEqual(RunVerdict.Pass, verdict.Verdict);
        Assert.Equal(fault, verdict.Diagnosis[0].Fault);
        Assert.Equal(1, verdict.Diagnosis.Sum(d => d.Probability), 0.02);
    }

    [Fact]
    public void Says_how_large_a_fault_is()
    {
        var line = Judged(new() { AddedResistanceOhm = 0.010 }).Diagnosis[0];

        // A contact does not warm with the winding, so carrying it to 20 °C as if it were copper takes a twentieth off.
        Assert.Equal(10, line.Magnitude, 0.8);
        Assert.True(line.Interval.Lower < 10 && line.Interval.Upper > 10);
    }

    // A missing magnet once was one of fourteen, and the grease twelve grams, whatever the unit.
    [Fact]
    public void A_fault_is_as_large_as_the_unit_makes_it()
    {
        var unit = Plan.Unit with { MassKg = 3.46, Motor = Plan.Unit.Motor with { PolePairs = 10 }, GearDrag = Plan.Unit.GearDrag with { GreaseMassKg = 0.0205 } };
        var faults = FaultHypotheses.Of(unit).ToDictionary(h => h.Id);
        Assert.Equal(0.95, faults["magnet-missing"].At(1).FluxFactor, 12);
        Assert.Equal("Weigh the unit: the grease is 20.5 g in 3.5 kg, so use a scale that reads a tenth of the grease.", faults["grease-missing"].NextMeasurement);
    }

    [Fact]
    public void Motor_drag_and_gear_drag_cannot_be_told_apart()
    {
        var lines = Judged(new() { AddedMotorDragNm = 0.010 }).Diagnosis;
        Assert.Contains("stiff-grease", lines[0].InseparableFrom);
        Assert.Contains(lines, l => l.Fault == "stiff-grease" && l.Probability > 0.01);
        Assert.NotEmpty(lines[0].NextMeasurement);
    }

    [Fact]
    public void Weak_magnets_and_a_missing_one_cannot_be_told_apart() =>
        Assert.Contains("weak-flux", Judged(new() { FluxFactor = 13.0 / 14 }).Diagnosis[0].InseparableFrom);

    [Fact]
    public void Without_phase_voltages_it_judges_what_is_left_and_says_so()
    {
        var run = FaultlessRun.Of(Plan, Deviation.None);
        var blind = run with { Points = [.. run.Points.Select(p => p with { Fast = p.Fast is { } f ? f with { VdV = double.NaN, VqV = double.NaN } : null })] };
        var verdict = Judge(Complete(blind));
        Assert.Equal(RunVerdict.Pass, verdict.Verdict);
        Assert.Equal(23, verdict.Expectations.Count);
        Assert.Contains(verdict.Warnings, w => w.Contains("resistance", StringComparison.Ordinal) && w.Contains("spread of parts", StringComparison.Ordinal));
        Assert.True(verdict.DistanceLimit < DemoJudge.Judge.DistanceLimit);
    }

    [Fact]
    public void A_unit_cannot_pass_without_a_required_reading()
    {
        var run = Complete(FaultlessRun.Of(Plan, Deviation.None));
        var direct = new Dictionary<string, DirectReading>(run.Direct);
        direct.Remove("brake-response");
        var verdict = Judge(run with { Direct = direct });
        Assert.Equal(RunVerdict.Hold, verdict.Verdict);
        Assert.Contains("Torque gone after the brake is pulled was not measured: a unit cannot pass without it.", verdict.Warnings);
    }

    // A fault that moves nothing that was read once had a size of 0/0, which no file can hold.
    [Theory]
    [InlineData(Characteristics.TorqueSensorZero, "torque-sensor-zero"), InlineData(Characteristics.WheelTooth, "tooth-damage")]
    public void Says_nothing_of_a_fault_whose_reading_is_missing(string reading, string fault)
    {
        var run = Complete(FaultlessRun.Of(Plan, Deviation.None));
        var verdict = Judge(run with { Direct = run.Direct.Where(d => d.Key != reading && d.Key != "brake-response").ToDictionary() });
        Assert.Equal("sound", verdict.Diagnosis[0].Fault);
        Assert.DoesNotContain(verdict.Diagnosis, d => d.Fault == fault);
        Assert.All(verdict.Diagnosis, d => Assert.True(double.IsFinite(d.Magnitude + d.Interval.Lower + d.Interval.Upper), d.Fault));
    }

    [Fact]
    public void Fails_a_unit_beyond_a_requirement_whatever_else_it_reads()
    {
        var run = Complete(FaultlessRun.Of(Plan, Deviation.None));
        var direct = new Dictionary<string, DirectReading>(run.Direct) { ["stop-response"] = new(0.31, 0.002) };
        var verdict = Judge(run with { Direct = direct });
        Assert.Equal(RunVerdict.Fail, verdict.Verdict);
        Assert.Equal(Verdict.Fail, verdict.Requirements.Single(r => r.Id == "stop-response").Verdict);
    }

    // A sweep that ended before assistance did once passed with the last speed that was seen.
    [Theory]
    [InlineData(27.0, RunVerdict.Hold), InlineData(20.0, RunVerdict.Hold), InlineData(28.0, RunVerdict.Fail)]
    public void A_function_that_was_not_seen_to_end_can_fail_a_unit_but_not_pass_it(double atLeastKmPerH, RunVerdict expected)
    {
        var run = Complete(FaultlessRun.Of(Plan, Deviation.None));
        var direct = new Dictionary<string, DirectReading>(run.Direct) { ["cut-off-speed"] = new(atLeastKmPerH, 0.02, AtLeast: true) };
        var verdict = Judge(run with { Direct = direct });
        Assert.Equal(expected, verdict.Verdict);
        Assert.Equal(expected == RunVerdict.Hold, verdict.Warnings.Any(w => w.StartsWith("Cut-off speed was not seen to the end, only that it is at least 2", StringComparison.Ordinal)));
    }

    // Half a row at either end once was counted by the reading and by the judge, and so was the noise of modelled readings.
    [Fact]
    public void Counts_the_noise_of_a_reading_once()
    {
        var run = Complete(FaultlessRun.Of(Plan, Deviation.None));
        var zero = DemoJudge.Spread.ReadingUncertainty(Array.IndexOf(DemoJudge.Spread.Ids, Characteristics.TorqueSensorZero));
        var read = Judge(run with { Direct = new Dictionary<string, DirectReading>(run.Direct) { ["stop-response"] = new(0.16, 0.003), [Characteristics.TorqueSensorZero] = new(0, zero / 4) } }).Requirements;
        Assert.Equal(0.003, read.Single(r => r.Id == "stop-response").StandardUncertainty, 12);
        Assert.Equal(zero, read.Single(r => r.Id == Characteristics.TorqueSensorZero).StandardUncertainty, 12);
    }

    [Fact]
    public void Predicts_with_the_uncertainty_that_it_judges_with()
    {
        var plan = Plan with { Requirements = [.. Plan.Requirements.Select(r => r.Id == Characteristics.TorqueSensorZero ? r with { StandardUncertainty = 0.5 } : r)] };
        var (judge, fault) = (new LoadTestJudge(plan), new Deviation { TorqueSensorZeroNm = 0.8 });
        Assert.Equal(Verdict.Undecided, judge.Judge(Complete(FaultlessRun.Of(plan, fault)), [], []).Requirements.Single(r => r.Id == Characteristics.TorqueSensorZero).Verdict);
        Assert.InRange(judge.PredictedStopRate(fault).Rate, 0.9, 1);
        Assert.InRange(DemoJudge.Judge.PredictedStopRate(fault).Rate, 0, 0.3);
    }

    // 200 Hz once were assumed of a rig that samples at the least rate there may be.
    [Fact]
    public void A_rig_that_samples_less_often_is_trusted_less()
    {
        var run = Complete(FaultlessRun.Of(Plan, Deviation.None));
        double NoLoad(MeasuredRun r) => Judge(r).Expectations.Single(e => e.Id == "no-load-75").ReadingUncertainty;
        var (often, seldom) = (ReadingErrors.All(Plan, SampleRates.Usual), ReadingErrors.All(Plan, SampleRates.Usual with { SlowHz = 100 }));
        double Noise(IEnumerable<ReadingError> errors) => errors.Single(e => e.Name == "bus_current_a noise at no-load-75").Apply(run).Points[0].BusA - run.Points[0].BusA;

        Assert.Equal(Math.Sqrt(2), Noise(seldom) / Noise(often), 9);
        Assert.True(NoLoad(run with { Rates = run.Rates with { SlowHz = 100 } }) > NoLoad(run));
    }

    [Fact]
    public void The_smallest_fault_found_is_found_in_nine_of_ten()
    {
        var crimp = DemoJudge.Judge.Sensitivity().Single(s => s.Fault == "crimp");
        Assert.Equal(0.9, DemoJudge.Judge.PredictedStopRate(new() { AddedResistanceOhm = crimp.SmallestFound!.Value / 1000 }).Rate, 0.01);
        Assert.Equal("resistance-20", crimp.SeenBy);
    }

    // Source: printed spread of the same unit over part tolerances alone, three standard deviations (read; 3000 draws, so good to about 4 %).
    [Theory]
    [InlineData("no-load-75", 1.69), InlineData("current-31.8-75", 0.50)]
    public void Part_tolerances_spread_the_readings_as_printed(string id, double threeSigma)
    {
        var row = Array.IndexOf(DemoJudge.Spread.Ids, id);
        var offsetAside = DemoJudge.Spread.Parts.Where((_, p) => p != 5).Sum(c => c[row] * c[row]); // the printed stack has no angle error
        Assert.Equal(threeSigma, 3 * Math.Sqrt(offsetAside), 0.04 * threeSigma);
    }

    // The slow way: the same faulty unit is run again and again on the same rig, each time with noise of its own; how far the statistic that stopped it scatters is what a retest is said to draw anew.
    [Theory]
    [InlineData("motor-drag", 0.010), InlineData("crimp", 0.010)]
    public void What_a_retest_draws_anew_of_the_statistic_that_stopped_a_unit_is_what_runs_again_scatter(string fault, double size)
    {
        const int runs = 400;
        Deviation deviation = fault == "crimp" ? new() { AddedResistanceOhm = size } : new() { AddedMotorDragNm = size };
        var unit = Complete(FaultlessRun.Of(Plan, deviation, startC: 22, ambientC: 21));
        var first = Judge(unit);
        var anew = ReadingErrors.All(Plan, first.Kind!).Where(e => e.SharedBy == SharedBy.Nobody).ToList();
        var noise = new SeededNoise(5, "retests");
        var again = Enumerable.Range(0, runs).Select(_ => Judge(anew.Aggregate(unit, (run, e) => e.Disturb(run, e.Draw(noise))))).ToList();

        var along = again.Where(v => v.NearestFault!.Fault == first.NearestFault!.Fault).Select(v => v.NearestFault!.Sigma).ToList();
        Assert.True(along.Count > 0.95 * runs);
        // Four standard errors of a standard deviation; a little more, as the spread is that of the nominal unit's readings.
        Assert.Equal(1, Sd(along) / first.NearestFault!.Spread!.OfRun!.Value, 4 / Math.Sqrt(2.0 * runs) + 0.05);
        Assert.Equal(1, Sd([.. again.Select(v => Math.Sqrt(v.Distance))]) / first.DistanceSpread!.OfRun!.Value, 4 / Math.Sqrt(2.0 * runs) + 0.05);

        // Along a direction of unit length sound units and the model's own uncertainty make up 1 together.
        Assert.All((StatisticSpread[])[first.NearestFault.Spread, first.DistanceSpread], s =>
        {
            Assert.InRange(s.SoundSd, 0.5, 1);
            Assert.True(s.ReadingU >= double.Hypot(s.OfRun!.Value, s.OfRig!.Value));
        });
    }

    static double Sd(List<double> values) => MathNet.Numerics.Statistics.Statistics.StandardDeviation(values);

    static LoadTestVerdict Judged(Deviation unit) => Judge(Complete(FaultlessRun.Of(Plan, unit, startC: 22, ambientC: 21)));

    static LoadTestVerdict Judge(MeasuredRun run) => DemoJudge.Judge.Judge(run, [], []);

    // Reactions that depend on software alone: well within their limits.
    static MeasuredRun Complete(MeasuredRun run) => run with
    {
        Direct = new Dictionary<string, DirectReading>(run.Direct)
        {
            ["stop-response"] = new(0.16, 0.002), ["brake-response"] = new(0.11, 0.002), ["cut-off-speed"] = new(25, 0.02),
            ["walk-speed"] = new(5.4, 0.02), ["walk-release"] = new(0.2, 0.002), ["quiescent-current"] = new(38, 0.1),
        },
    };

    static double UnusualRate(Deviation fault, int units, ulong seed) => Rate(fault, units, seed, withRequirements: false);

    static double StoppedRate(Deviation fault, int units, ulong seed) => Rate(fault, units, seed, withRequirements: true);

    static double Rate(Deviation fault, int units, ulong seed, bool withRequirements)
    {
        var (spread, parts, draws) = (DemoJudge.Spread, new PartScatter(Plan.Tolerances), new SeededNoise(seed, "units"));
        var rows = Enumerable.Range(0, spread.Model.JointCount).ToArray();
        var whitening = new Whitening(JointLimits.Covariance(spread, rows));
        var faults = new FaultDirections(spread, rows, whitening);
        var z = new double[PartScatter.Count];
        var stopped = 0;
        for (var n = 0; n < units; n++)
        {
            draws.Fill(z);
            var read = spread.Model.At(parts.On(fault, z));
            foreach (var error in spread.Rig.Concat(spread.Own))
            {
                var by = draws.Normal();
                for (var i = 0; i < read.Length; i++) read[i] += by * error[i];
            }

            var residual = rows.Select(i => read[i] - spread.Mean[i]).ToArray();
            var unusual = whitening.Distance(residual) > DemoJudge.Judge.DistanceLimit
                || faults.Nearest(whitening.Whiten(residual)).Evidence > DemoJudge.Judge.EvidenceLimit
                || rows.Any(i => Math.Abs(residual[i]) > DemoJudge.Judge.SigmaLimit * spread.StandardDeviation(i));
            var missed = withRequirements && Plan.Requirements.Any(r => Array.IndexOf(spread.Ids, r.Id) is >= 0 and var i
                && Requirement.Judge(r, read[i], spread.ReadingUncertainty(i)).Verdict != Verdict.Pass);
            if (unusual || missed) stopped++;
        }

        return (double)stopped / units;
    }
}
