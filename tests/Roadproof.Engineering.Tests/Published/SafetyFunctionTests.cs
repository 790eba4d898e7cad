using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>
/// Source: TBIS 15194:2019 (follows EN 15194:2017, whose own text was not read), as quoted in the trade handbook: 4.2.13.1 (assistance ends within 2 m of the pedals stopping, 5 m with brake
/// switches), 4.2.12 (walk assistance at most 6 km/h, falls back on release), 4.2.11.1 (cut-off at most 10 % above the marked 25 km/h).
/// </summary>
public sealed class SafetyFunctionTests
{
    const double KmPerH = 1 / 3.6;

    [Theory]
    [InlineData(StopDistance.AfterPedallingM, 0.288), InlineData(StopDistance.WithBrakeSwitchesM, 0.72)]
    public void A_distance_at_25_km_per_hour_is_a_time(double distanceM, double timeS)
    {
        Assert.Equal(timeS, StopDistance.TimeS(distanceM, 25 * KmPerH), 12);
        Assert.Equal(timeS, StopDistance.TimeS(distanceM, DemoPlan.Plan.Unit.Rating.AssistanceLimitMps), 6);
    }

    [Fact]
    public void The_distances_are_two_and_five_metres() => Assert.Equal((2.0, 5.0), (StopDistance.AfterPedallingM, StopDistance.WithBrakeSwitchesM));

    [Theory]
    [InlineData("stop-response", null, 0.288), InlineData("cut-off-speed", 22.5, 27.5), InlineData("walk-speed", null, 6.0)]
    public void The_limits_judged_by_are_those_of_the_text(string id, double? lower, double upper)
    {
        var limit = DemoPlan.Plan.Requirements.Single(r => r.Id == id);
        Assert.Equal((lower, upper, true), (limit.Lower, limit.Upper, limit.Safety));
    }

    // JCGM 106:2012, 8.3.2: a guard band of at least 1.64 u, whatever the limit says, leaves at most 5 % that an accepted reading lies beyond the edge.
    [Theory]
    [InlineData("stop-response"), InlineData("brake-response"), InlineData("cut-off-speed"), InlineData("walk-speed"), InlineData("walk-release")]
    public void A_safety_function_has_no_discount_on_its_guard_band(string id)
    {
        var limit = DemoPlan.Plan.Requirements.Single(r => r.Id == id) with { GuardFactor = 0, StandardUncertainty = 0.01 };
        var edge = limit.Upper!.Value;
        Assert.Equal(Verdict.Pass, Requirement.Judge(limit, edge - 1.65 * 0.01).Verdict);
        Assert.Equal(Verdict.Undecided, Requirement.Judge(limit, edge - 1.63 * 0.01).Verdict);
        Assert.InRange(1 - Requirement.Judge(limit, edge - 1.64 * 0.01).ConformanceProbability, 0.0495, 0.0506);
    }

    // Each is shown in every run, or the run does not pass.
    [Theory]
    [InlineData("stop-response"), InlineData("brake-response"), InlineData("cut-off-speed"), InlineData("walk-speed"), InlineData("walk-release")]
    public void A_run_without_one_of_them_cannot_pass(string id)
    {
        var run = FaultlessRun.Of(DemoPlan.Plan, Deviation.None, startC: 22, ambientC: 21);
        var all = new Dictionary<string, DirectReading>(run.Direct)
        {
            ["stop-response"] = new(0.16, 0.002), ["brake-response"] = new(0.11, 0.002), ["cut-off-speed"] = new(25, 0.02),
            ["walk-speed"] = new(5.4, 0.02), ["walk-release"] = new(0.2, 0.002), ["quiescent-current"] = new(38, 0.1),
        };
        Assert.Equal(RunVerdict.Pass, DemoJudge.Judge.Judge(run with { Direct = all }, [], []).Verdict);
        all.Remove(id);
        var verdict = DemoJudge.Judge.Judge(run with { Direct = all }, [], []);
        Assert.Equal(RunVerdict.Hold, verdict.Verdict);
        Assert.Contains(verdict.Warnings, w => w.EndsWith("was not measured: a unit cannot pass without it.", StringComparison.Ordinal));
    }
}
