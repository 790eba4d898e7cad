using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>
/// Nothing starts by itself: at rest with a foot on the pedal, switched on and with the brake let go. Unintended self-start is a safety function (TBIS 15194:2019, 4.3.22 Table 34 and
/// 4.2.13.1 g, as quoted in the trade handbook; read there); what tells a start from noise, 1 N·m and 1 rad/s, is common practice, no source.
/// </summary>
public sealed class SelfStartTests
{
    static readonly LoadTestPlan Plan = MidDrivePlan();
    static readonly RigErrors Rig = RigErrors.Draw(Plan.Gauges, 3);
    static readonly LoadTestJudge Judge = new(Plan);
    static readonly Capture Sound = Run(Plan, startsByItself: false), Starting = Run(Plan, startsByItself: true);

    static LoadTestPlan MidDrivePlan()
    {
        var demo = Fixtures.Plan;
        return demo with
        {
            Cycle = demo.Cycle with { Functions = [.. demo.Cycle.Functions.SkipLast(1), new() { Kind = FunctionTestKind.SelfStart, HoldS = 3, EventAtS = 1 }, demo.Cycle.Functions[^1]] },
            Requirements =
            [
                .. demo.Requirements,
                new() { Id = "self-start-torque", Name = "Torque although nobody pedals", Unit = "N·m", Upper = 1, Safety = true, Origin = "test" },
                new() { Id = "self-start-speed", Name = "Rotor turns although nobody pedals", Unit = "rad/s", Upper = 1, Safety = true, Origin = "test" },
            ],
        };
    }

    static Capture Run(LoadTestPlan plan, bool startsByItself) => CaptureOf(RunGenerator.Run(plan, Deviation.None, RigErrors.Draw(plan.Gauges, 3), new() { UnitSeed = 5, AmbientC = 22, UnitStartC = 23, StartsByItself = startsByItself }));

    static Capture CaptureOf(GeneratedRun run) => new(CaptureHeader.Unknown, [run.Slow, run.Fast, run.Vibration]);

    static double StartS => Plan.Cycle.DurationS - 5;

    static Capture Changed(string channel, Func<double, float, float> change) => Sound with
    {
        Tables = [.. Sound.Tables.Select((t, i) => i > 0 ? t : t with { Channels = t.Channels.ToDictionary(c => c.Key, c => c.Key != channel ? c.Value : c.Value.Select((x, row) => change(t.TimeS[row], x)).ToArray()) })],
    };

    static RequirementReading Of(LoadTestVerdict verdict, string id) => verdict.Requirements.Single(r => r.Id == id);

    [Fact]
    public void A_sound_unit_reads_noise_and_passes()
    {
        var verdict = Judge.Judge(Sound);
        Assert.Equal(RunVerdict.Pass, verdict.Verdict);
        // The rig's zeros, and the largest of some thirty means over 0.1 s of 0.45 N·m noise: three times 0.1 N·m.
        Assert.InRange(Of(verdict, "self-start-torque").Value, 0.05, 0.5);
        Assert.InRange(Of(verdict, "self-start-torque").StandardUncertainty, 0.09, 0.13);
        Assert.InRange(Of(verdict, "self-start-speed").Value, 0.02, 0.25);
        Assert.All(verdict.Requirements.Where(r => r.Id.StartsWith("self-start", StringComparison.Ordinal)), r => Assert.True(r is { Safety: true, NeverAgain: true, Verdict: Verdict.Pass }));
        Assert.Empty(verdict.Warnings);
    }

    [Fact]
    public void A_unit_that_starts_when_the_brake_is_let_go_fails()
    {
        var verdict = Judge.Judge(Starting);
        Assert.Equal(RunVerdict.Fail, verdict.Verdict);
        Assert.Equal(Verdict.Fail, Of(verdict, "self-start-torque").Verdict);
        Assert.InRange(Of(verdict, "self-start-torque").Value, 25, 40);
        // Everything else of it is sound: the other safety functions do not see it.
        Assert.All(verdict.Requirements.Where(r => r.Safety && r.Id != "self-start-torque"), r => Assert.Equal(Verdict.Pass, r.Verdict));
    }

    [Fact]
    public void A_rotor_that_turns_for_a_moment_below_the_clutch_fails_too()
    {
        var verdict = Judge.Judge(Changed("motor_speed_rad_s", (t, x) => t > StartS + 2 && t < StartS + 2.2 ? 5 : x));
        Assert.Equal((Verdict.Fail, Verdict.Pass), (Of(verdict, "self-start-speed").Verdict, Of(verdict, "self-start-torque").Verdict));
        Assert.Equal(5, Of(verdict, "self-start-speed").Value, 0.1);
    }

    [Fact]
    public void The_return_of_the_supply_is_such_a_moment_too()
    {
        var returned = Changed("bus_voltage_v", (t, x) => t > StartS + 0.9 && t < StartS + 1.4 ? 0 : x);
        var noBrake = returned with { Tables = [returned.Tables[0] with { Channels = returned.Tables[0].Channels.ToDictionary(c => c.Key, c => c.Key != "brake" ? c.Value : c.Value.Select((x, i) => returned.Tables[0].TimeS[i] > StartS ? 0 : x).ToArray()) }, .. returned.Tables.Skip(1)] };
        Assert.Equal(Verdict.Pass, Of(Judge.Judge(noBrake), "self-start-torque").Verdict);
    }

    [Fact]
    public void A_run_in_which_nothing_is_let_go_cannot_pass()
    {
        var verdict = Judge.Judge(Changed("brake", (t, x) => t > StartS ? 0 : x));
        Assert.Equal(RunVerdict.Hold, verdict.Verdict);
        Assert.DoesNotContain(verdict.Requirements, r => r.Id.StartsWith("self-start", StringComparison.Ordinal));
        Assert.Contains(verdict.Warnings, w => w.StartsWith("The self-start test was not seen in the run", StringComparison.Ordinal));
        Assert.Contains("Torque although nobody pedals was not measured: a unit cannot pass without it.", verdict.Warnings);
    }

    [Fact]
    public void A_hub_that_starts_by_itself_is_found_too()
    {
        var judge = new LoadTestJudge(HubFolder.Plan);
        Assert.Equal(RunVerdict.Pass, judge.Judge(Run(HubFolder.Plan, startsByItself: false)).Verdict);
        Assert.Equal(Verdict.Fail, Of(judge.Judge(Run(HubFolder.Plan, startsByItself: true)), "self-start-torque").Verdict);
    }
}
