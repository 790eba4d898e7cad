using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>
/// A sound unit meets what law and customer ask of it. Limits: assistance ends within 2 m of the pedals stopping, 0.288 s at 25 km/h; walk assistance at most 6 km/h; cut-off at most 10 % above
/// 25 km/h (public text that follows EN 15194:2017, read); standby below 60 mA (common practice, no source). What the unit was drawn with stands in the run's truth.
/// </summary>
public sealed class FunctionTestTests
{
    static readonly GeneratedRun Run = Runs.Exact();

    static double DriveNm(int row) => Run.Slow.Channels["output_torque_nm"][row] - Run.Slow.Channels["crank_torque_nm"][row];

    static double GoneAfterS(FunctionTestKind kind, double eventS)
    {
        var start = Runs.StartS(kind);
        var (at, _) = Run.Slow.Rows(start + eventS, start + eventS + 1).GetOffsetAndLength(Run.Slow.TimeS.Length);
        Assert.InRange(DriveNm(at - 1), kind == FunctionTestKind.WalkAssist ? 10 : 30, 33);
        while (DriveNm(at) > 0.05 * 31.8) at++;
        return Run.Slow.TimeS[at] - start - eventS;
    }

    [Fact]
    public void Torque_is_gone_after_the_delay_and_a_short_ramp()
    {
        Assert.Equal(Run.Truth.Unit.StopDelayS + 0.05, GoneAfterS(FunctionTestKind.StopPedalling, 1.5), 0.01);
        Assert.Equal(Run.Truth.Unit.BrakeDelayS + 0.05, GoneAfterS(FunctionTestKind.Brake, 1.5), 0.01);
        Assert.Equal(Run.Truth.Unit.WalkReleaseDelayS + 0.05, GoneAfterS(FunctionTestKind.WalkAssist, 2.5), 0.01);
    }

    [Fact]
    public void Every_drawn_unit_reacts_in_time()
    {
        for (var seed = 0UL; seed < 2000; seed++)
        {
            var unit = UnitCharacter.Draw(seed);
            Assert.InRange(unit.StopDelayS + 0.05, 0.1, 0.25);
            Assert.InRange(unit.BrakeDelayS + 0.05, 0.05, 0.25);
            Assert.InRange(unit.WalkReleaseDelayS + 0.05, 0.1, 0.5);
            Assert.InRange(unit.CutOffMps * 3.6, 24.8, 25.2);
            Assert.InRange(unit.WalkMps * 3.6, 5.2, 5.6);
            Assert.InRange(unit.QuiescentA, 0.034, 0.042);
        }
    }

    [Fact]
    public void Assistance_fades_and_ends_at_its_cut_off_speed()
    {
        var start = Runs.StartS(FunctionTestKind.CutOff);
        var rows = Run.Slow.Rows(start + 0.6, start + 4.6).GetOffsetAndLength(Run.Slow.TimeS.Length);
        var last = Enumerable.Range(rows.Offset, rows.Length).Last(r => DriveNm(r) > 0.1);
        var kmh = Run.Slow.Channels["wheel_speed_rad_s"][last] * Fixtures.Plan.WheelRadiusM * 3.6;
        Assert.Equal(Run.Truth.Unit.CutOffMps * 3.6, kmh, 0.1);

        double AtKmh(double speed) => DriveNm(Enumerable.Range(rows.Offset, rows.Length).First(r => Run.Slow.Channels["wheel_speed_rad_s"][r] * Fixtures.Plan.WheelRadiusM * 3.6 >= speed));
        Assert.InRange(AtKmh(23.2), 31, 33);
        Assert.Equal(AtKmh(23.2) / 2, AtKmh(Run.Truth.Unit.CutOffMps * 3.6 - 0.75), 1.0);
    }

    [Fact]
    public void Walk_assistance_settles_below_six_kilometres_an_hour()
    {
        var start = Runs.StartS(FunctionTestKind.WalkAssist);
        var (from, count) = Run.Slow.Rows(start + 0.3, start + 4).GetOffsetAndLength(Run.Slow.TimeS.Length);
        var fastest = Enumerable.Range(from, count).Max(r => Run.Slow.Channels["wheel_speed_rad_s"][r]) * Fixtures.Plan.WheelRadiusM * 3.6;
        Assert.Equal(Run.Truth.Unit.WalkMps * 3.6, fastest, 0.05);
    }

    [Theory]
    [InlineData(1), InlineData(1.02)]
    public void Limits_hold_what_the_controller_reads(double currentGain)
    {
        var run = Runs.Exact(new() { CurrentGainFactor = currentGain });
        var start = Runs.StartS(FunctionTestKind.CurrentLimit);
        Assert.Equal(35, run.Slow.Mean("reported_phase_current_a", start + 1.0, start + 1.4), 0.05);
        Assert.Equal(17.5 / currentGain, run.Slow.Mean("bus_current_a", start + 2.5, start + 3), 0.05);
    }

    [Fact]
    public void Asleep_it_takes_its_quiescent_current()
    {
        var start = Runs.StartS(FunctionTestKind.Quiescent);
        Assert.Equal(Run.Truth.Unit.QuiescentA, Run.Slow.Mean("bus_current_a", start + 1, start + 2), 1e-5);
    }

    [Fact]
    public void A_walk_test_too_short_for_its_release_is_refused()
    {
        var plan = Fixtures.Plan with { Cycle = Fixtures.Plan.Cycle with { Functions = [new() { Kind = FunctionTestKind.WalkAssist, HoldS = 3, EventAtS = 0.3 }] } };
        Assert.Contains("leaves no second", Assert.Throws<ArgumentException>(() => RunGenerator.Run(plan, Deviation.None, RigErrors.None, new() { UnitSeed = 1 })).Message);
    }
}
