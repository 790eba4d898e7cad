using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>What is said of the limits against what is counted, and the costs against plain sums.</summary>
public sealed class LimitReportTests
{
    static readonly LimitReport Report = DemoJudge.Judge.Report(0.0005);

    [Fact]
    public void Every_limit_lies_so_many_standard_deviations_out_and_its_variance_is_shared_out_whole()
    {
        Assert.Equal(26, Report.Expectations.Count);
        Assert.All(Report.Expectations, e =>
        {
            Assert.Equal(Report.SigmaLimit * e.StandardDeviation, e.Upper - e.Expected, 1e-9 * e.StandardDeviation);
            Assert.Equal(Report.SigmaLimit * e.StandardDeviation, e.Expected - e.Lower, 1e-9 * e.StandardDeviation);
            Assert.Equal(1, e.Shares.Parts + e.Shares.SecondOrder + e.Shares.Rig + e.Shares.Own + e.Shares.Model, 9);
        });
    }

    // JCGM 101:2008, 8.1. Currents go with one over the flux and powers with its square: at the largest torque that shows in the second digit, elsewhere it does not.
    [Fact]
    public void Says_where_the_second_order_matters()
    {
        Assert.False(Of("power-85-60").Drawn.Drawn.Holds);
        Assert.False(Of("current-85-60").Drawn.Drawn.Holds);
        Assert.True(Of("controller-rise").Drawn.Drawn.Holds);
        Assert.True(Of("ripple-6").Drawn.Drawn.Holds);
        Assert.All(Report.Expectations, e =>
        {
            Assert.Equal(1, e.Drawn.Drawn.StandardUncertainty / e.Drawn.SecondOrder, 0.02);
            Assert.Equal(e.Drawn.SecondOrderShift, e.Drawn.Shift, 0.01 * e.StandardDeviation); // the expected value holds the shift
        });

        ReportedLimit Of(string id) => Report.Expectations.Single(e => e.Id == id);
    }

    [Fact]
    public void Tells_which_limit_stops_sound_units()
    {
        var sound = Report.Sound;
        Assert.InRange(sound.Rate, 0.0095, 0.016);
        Assert.InRange(sound.Rate, new[] { sound.BySingleReading, sound.ByDistance, sound.ByKnownFault, sound.ByRequirement }.Max(), sound.BySingleReading + sound.ByDistance + sound.ByKnownFault + sound.ByRequirement);
        Assert.Equal(8, sound.ByKnownFault / sound.BySingleReading, 2.0); // known faults have eight times the share of each other limit
    }

    [Fact]
    public void What_is_passed_of_a_fault_is_what_is_not_stopped()
    {
        var crimp = Report.Faults.Single(f => f.Fault == "crimp");
        Assert.Equal(1 - DemoJudge.Judge.PredictedStopRate(new() { AddedResistanceOhm = 0.010 }).Rate, crimp.Passed, 9);
        var flux = Report.Faults.Single(f => f.Fault == "weak-flux");
        var both = (DemoJudge.Judge.PredictedStopRate(new() { FluxFactor = 0.97 }).Rate + DemoJudge.Judge.PredictedStopRate(new() { FluxFactor = 1.03 }).Rate) / 2;
        Assert.Equal(1 - both, flux.Passed, 9);
    }

    [Fact]
    public void A_guard_band_for_a_risk_keeps_it()
    {
        var zero = Report.Requirements.Single(r => r.Id == Characteristics.TorqueSensorZero);
        Assert.Equal(0.0005, ConformanceRisk.Of(zero.Lower, zero.Upper, 0.3, 0, 0.4, ConformanceRisk.GuardBandFor(0.0005, zero.Lower, zero.Upper, 0.3, 0, 0.4)).Consumer, 1e-9);
        Assert.All(Report.Requirements.Where(r => r.GuardBandForRisk is not null), r =>
            Assert.InRange(ConformanceRisk.Of(r.Lower, r.Upper, r.StandardUncertainty, r.ProcessMean!.Value, r.ProcessSd!.Value, r.GuardBandForRisk!.Value).Consumer, 0, 0.0005 + 1e-9));
        Assert.Null(Report.Requirements.Single(r => r.Id == "stop-response").ConsumerRisk); // software decides it, no model says how it scatters
    }

    [Fact]
    public void The_cheapest_false_alarm_rate_is_where_neither_cost_can_be_bought_down()
    {
        var cost = DemoJudge.Judge.Cost(30, 900, new Dictionary<string, double>());
        Assert.All(cost.Curve.Zip(cost.Curve.Skip(1)), pair =>
        {
            Assert.True(pair.Second.SoundStopped > pair.First.SoundStopped);
            Assert.True(pair.Second.FaultyPassed <= pair.First.FaultyPassed);
        });
        Assert.All(cost.Curve, c => Assert.Equal(30 * c.SoundStopped + 900 * c.FaultyPassed, c.CostPerUnit, 9));
        Assert.Equal(cost.Curve.Min(c => c.CostPerUnit), cost.Least.CostPerUnit);

        // A fault that costs more is looked for harder, a sound unit that costs more is stopped less often.
        Assert.True(DemoJudge.Judge.Cost(30, 20_000, new Dictionary<string, double>()).Least.FalseAlarm >= cost.Least.FalseAlarm);
        var dear = DemoJudge.Judge.Cost(3_000, 900, new Dictionary<string, double>());
        Assert.True(dear.Least.FalseAlarm <= cost.Least.FalseAlarm);
        Assert.True(dear.AtEdge);
    }

    [Fact]
    public void Without_faults_nothing_is_passed()
    {
        var cost = DemoJudge.Judge.Cost(30, 900, FaultHypotheses.Of(DemoPlan.Plan.Unit).ToDictionary(h => h.Id, _ => 0.0));
        Assert.All(cost.Curve, c => Assert.Equal(0, c.FaultyPassed));
        Assert.Throws<ArgumentException>(() => DemoJudge.Judge.Cost(30, 900, new Dictionary<string, double> { ["crack"] = 0.1 }));
    }

    // Printed for the same unit: the controller's sensor 0.8 K more in a cycle of a minute and a half without paste (read; computed with another cycle, so to a half).
    [Fact]
    public void Missing_paste_shows_too_little_to_be_found()
    {
        var unseen = DemoJudge.Judge.Unseen();
        var paste = unseen.Single(f => f.Id == "paste-missing");
        Assert.Equal(Characteristics.ControllerRise, paste.SeenBy);
        Assert.Equal(0.8, paste.FarthestSigma * Report.Expectations.Single(e => e.Id == Characteristics.ControllerRise).StandardDeviation, 0.4);
        Assert.InRange(paste.Rate, 0, 0.5);
        Assert.All(unseen.Where(f => f.SeenBy is null), f => Assert.Equal(DemoJudge.Judge.PredictedStopRate(Deviation.None).Rate, f.Rate, 6));
    }
}
