using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>Two runs of one unit judged by their mean.</summary>
public sealed class RunsMeanTests
{
    static readonly string[] Required = [.. DemoPlan.Plan.Requirements.Select(r => r.Id)];

    static LoadTestVerdict Judged(double stopS)
    {
        var run = FaultlessRun.Of(DemoPlan.Plan, Deviation.None, startC: 22, ambientC: 21);
        run = run with
        {
            Direct = new Dictionary<string, DirectReading>(run.Direct)
            {
                ["stop-response"] = new(stopS, 0.002), ["brake-response"] = new(0.11, 0.002), ["cut-off-speed"] = new(25, 0.02),
                ["walk-speed"] = new(5.4, 0.02), ["walk-release"] = new(0.2, 0.002), ["quiescent-current"] = new(38, 0.1),
            },
        };
        return DemoJudge.Judge.Judge(run, [], []);
    }

    static readonly LoadTestVerdict Sound = Judged(stopS: 0.16), Slow = Judged(stopS: 0.4);

    [Fact]
    public void A_pass_and_a_pass_are_a_pass()
    {
        var mean = RunsMean.Of([("rig1", Sound), ("rig1", Sound)], Required);
        Assert.Equal(RunVerdict.Pass, mean.Verdict);
        Assert.Equal(["rig1", "rig1"], mean.Rigs);
        foreach (var (of, one) in mean.Requirements.Zip(Sound.Requirements))
        {
            Assert.Equal((one.Id, one.Verdict), (of.Id, of.Verdict));
            Assert.Equal(one.Value, of.Value, 9);
            Assert.True(of.StandardUncertainty <= one.StandardUncertainty + 1e-12 && of.StandardUncertainty > 0.7 * one.StandardUncertainty, one.Id);
        }
    }

    [Fact]
    public void A_safety_function_that_failed_once_has_failed() =>
        Assert.Equal(RunVerdict.Fail, RunsMean.Of([("rig1", Slow), ("rig1", Sound)], Required).Verdict);

    [Fact]
    public void What_the_last_run_did_not_show_cannot_pass()
    {
        var last = Sound with { Requirements = [.. Sound.Requirements.Skip(1)] };
        Assert.Equal(RunVerdict.Hold, RunsMean.Of([("rig1", Sound), ("rig1", last)], Required).Verdict);
    }

    [Fact]
    public void One_unusual_run_holds_both()
    {
        var unusual = Sound with { Distance = Sound.DistanceLimit + 1 };
        Assert.Equal(RunVerdict.Hold, RunsMean.Of([("rig1", unusual), ("rig1", Sound)], Required).Verdict);
    }

    // A requirement that failed by little and then passed by much: the mean decides, by what is left of its uncertainty.
    [Fact]
    public void The_mean_decides_between_a_fail_and_a_pass()
    {
        LoadTestVerdict Quiet(double milliA) => Sound with { Requirements = [.. Sound.Requirements.Select(r => r.Id == "quiescent-current" ? Requirement.Judge(DemoPlan.Plan.Requirements.Single(l => l.Id == r.Id), milliA, 1) with { UncertaintyOfRun = 1, UncertaintyOfRig = 0 } : r)] };
        RunsMean Mean(double first, double second) => RunsMean.Of([("rig1", Quiet(first)), ("rig2", Quiet(second))], Required);
        Assert.Equal(RunVerdict.Pass, Mean(62, 55).Verdict);
        Assert.Equal(RunVerdict.Hold, Mean(62, 57).Verdict);
        Assert.Equal(RunVerdict.Fail, Mean(62, 60.5).Verdict);
        Assert.Equal(Math.Sqrt(0.5), Mean(62, 55).Requirements.Single(r => r.Id == "quiescent-current").StandardUncertainty, 12);
    }
}
