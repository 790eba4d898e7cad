using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>A unit that had stood, simulated in time, against the carrying that shares no step with it.</summary>
public sealed class SettledGreaseTests
{
    static readonly LoadTestPlan Plan = Fixtures.Plan with { Unit = Fixtures.Unit with { GearDrag = Fixtures.Unit.GearDrag with { SettledShare = 0.4, SettlingH = 3, WorkedTurns = 12 } } };

    // The unit's own grease settles up to three tenths more or less than drawn, which is what the budget's tenth is for.
    [Fact]
    public void What_a_night_adds_is_read_and_carried_away()
    {
        var judge = new LoadTestJudge(Plan);
        LoadTestVerdict After(double idleH) => judge.Judge(Capture(idleH), idleH);
        var (worked, night) = (After(0), After(14));
        var (before, after) = (Reading(worked, "no-load-75"), Reading(night, "no-load-75"));
        Assert.InRange(after.RawValue - before.RawValue, 0.35, 0.9);
        Assert.Equal(before.Value, after.Value, 3 * double.Hypot(0.07, 0.07));
        Assert.True(Math.Abs(after.Value - before.Value) < 0.4 * (after.RawValue - before.RawValue));
        // Late in the cycle nothing of it is left to carry.
        Assert.Equal(0, Reading(night, "no-load-110-end").RawValue - Reading(worked, "no-load-110-end").RawValue, 0.15);
        Assert.DoesNotContain(night.Warnings, w => w.Contains("had stood", StringComparison.Ordinal));
    }

    [Fact]
    public void What_the_capture_says_of_it_goes_before_the_records()
    {
        var (judge, capture) = (new LoadTestJudge(Plan), Capture(14));
        var said = judge.Judge(capture with { Header = CaptureHeader.Unknown with { IdleS = 14 * 3600 } }, idleH: 0);
        Assert.Equal(Reading(judge.Judge(capture, idleH: 14), "no-load-75").Value, Reading(said, "no-load-75").Value, 1e-9);
        Assert.Equal(14, said.IdleH);
        var unknown = judge.Judge(capture);
        Assert.Null(unknown.IdleH);
        Assert.Equal((true, false), (said.Kind!.IdleIsKnown, unknown.Kind!.IdleIsKnown));
        Assert.Contains(unknown.Warnings, w => w.Contains("had stood is not known", StringComparison.Ordinal));
        // Grease that does not settle asks nobody.
        Assert.True(new LoadTestJudge(Fixtures.Plan).Judge(capture).Kind!.IdleIsKnown);
    }

    static Capture Capture(double idleH)
    {
        var run = RunGenerator.Run(Plan, Deviation.None, RigErrors.None, new() { UnitSeed = 31, IdleH = idleH });
        return new(CaptureHeader.Unknown, [run.Slow, run.Fast, run.Vibration]);
    }

    static Engineering.Judging.ExpectationReading Reading(LoadTestVerdict v, string id) => v.Expectations.First(e => e.Id == id);
}
