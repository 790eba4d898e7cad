using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Judging;
using Roadproof.Plant.Faults;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>A geared hub motor on a rig that turns its shell: the same generator, readings and judge as for a mid-drive unit, with nothing that a hub does not have.</summary>
public sealed class HubRunTests
{
    static readonly LoadTestPlan Plan = HubFolder.Plan;
    static readonly LoadTestPlan Noiseless = Plan with { Gauges = new() { Gauges = [.. Plan.Gauges.Gauges.Select(g => g with { GainShare = 0, Zero = 0, NoiseRms = 0 })] } };
    static readonly GeneratedRun Exact = RunGenerator.Run(Noiseless, Deviation.None, RigErrors.None, new() { UnitSeed = 1, AmbientC = 25, UnitStartC = 25 });
    static readonly GeneratedRun Noisy = RunGenerator.Run(Plan, Deviation.None, RigErrors.Draw(Plan.Gauges, 7), new() { UnitSeed = 5, AmbientC = 22, UnitStartC = 22 });
    static readonly LoadTestReadings Readings = LoadTestReadings.From(CaptureOf(Noisy), Plan);
    static readonly LoadTestJudge Judge = new(Plan);

    static Capture CaptureOf(GeneratedRun run) => new(CaptureHeader.Unknown, [run.Slow, run.Fast, run.Vibration]);

    static LoadTestVerdict Judged(ulong seed, Deviation unit) => Judge.Judge(CaptureOf(RunGenerator.Run(
        Plan, unit, RigErrors.Draw(Plan.Gauges, seed), new() { UnitSeed = seed, AmbientC = 20 + seed % 7, UnitStartC = 20 + seed % 7 })));

    [Fact]
    public void A_capture_holds_no_channel_of_a_crank()
    {
        Assert.DoesNotContain(Noisy.Slow.Channels.Keys, c => c is "crank_torque_nm" or "crank_speed_rad_s" or "reported_torque_nm");
        Assert.Contains("wheel_speed_rad_s", Noisy.Slow.Channels.Keys);
    }

    [Fact]
    public void The_shell_turns_as_the_wheel_all_the_time() =>
        Assert.Equal(Exact.Slow.Channels["output_speed_rad_s"], Exact.Slow.Channels["wheel_speed_rad_s"]);

    [Fact]
    public void The_energy_of_the_whole_run_closes()
    {
        var e = Exact.Truth.Energy;
        Assert.Equal(e.Bus, e.Output + e.Losses + e.Rotating, 0.002 * e.Bus);
        Assert.Equal(e.Losses, e.Stored + e.ToAir, 0.002 * e.Bus);
    }

    // The model that judges shares nothing with the one that runs in time: power at the torque, speed and temperatures that were.
    [Theory]
    [InlineData("5-190"), InlineData("12.6-190"), InlineData("25-120"), InlineData("40-75"), InlineData("40-40"), InlineData("20-150")]
    public void Power_and_current_are_those_of_the_operating_point(string point)
    {
        var p = Exact.Truth.Points.Single(t => t.Point == point);
        var solved = OperatingPoints.Solve(Plan.Unit, Deviation.None, new(p.DriveTorqueNm, p.OutputRadPerS) { WindingC = p.WindingC, MagnetC = p.MagnetC, BusV = p.BusVoltageV });
        Assert.True(solved.Reachable, solved.Reason);
        Assert.Equal(solved.BusPowerW, p.BusPowerW, 0.01 * p.BusPowerW);
        Assert.Equal(solved.PhaseCurrentPeakA, p.IqA, 0.01 * p.IqA);
    }

    [Fact]
    public void Every_load_point_is_found_without_a_warning()
    {
        Assert.Equal(Plan.Cycle.Points.Select(p => p.Id), Readings.Points.Select(p => p.Point.Id));
        Assert.Empty(Readings.Warnings);
        Assert.All(Readings.Points, p => Assert.Equal(p.OutputTorqueNm.Value, p.DriveTorqueNm.Value));
    }

    [Fact]
    public void Function_tests_read_what_the_unit_was_drawn_with()
    {
        var (f, unit) = (Readings.Functions, Noisy.Truth.Unit);
        Assert.Equal(unit.BrakeDelayS + 0.05, f.BrakeResponseS.Value, 0.006);
        Assert.Equal(unit.WalkReleaseDelayS + 0.05, f.WalkReleaseS.Value, 0.006);
        Assert.Equal(unit.CutOffMps * 3.6, f.CutOffSpeedKmPerH.Value, 0.1);
        Assert.Equal(unit.WalkMps * 3.6, f.WalkSpeedKmPerH.Value, 0.06);
        Assert.Equal(42, f.PhaseCurrentLimitA.Value, 0.4);
        Assert.Equal(16, f.BusCurrentLimitA.Value, 0.1);
        Assert.Equal(double.NaN, f.StopResponseS.Value);
        Assert.Equal(double.NaN, f.TorqueSensorZeroNm.Value);
    }

    [Fact]
    public void Its_limits_and_faults_hold_nothing_of_a_crank()
    {
        Assert.DoesNotContain(Judge.Limits, l => l.Id is Characteristics.TorqueSensorZero or "mesh-2");
        Assert.DoesNotContain(Judge.Sensitivity(), s => s.Fault == "torque-sensor-zero");
    }

    // Twelve sound units on twelve rigs: a mean of standard normals scatters by 0.29, their spread by 0.21; four of each. bench/population.cs does it with more.
    [Fact]
    public void Sound_units_read_as_they_are_expected_to()
    {
        var verdicts = Enumerable.Range(0, 12).AsParallel().AsOrdered().Select(n => Judged(2_000_000UL + (ulong)n, UnitTruth.Draw(2_000_000UL + (ulong)n, 1, Plan.Tolerances, [], []).Parts)).ToArray();
        Assert.All(verdicts, v => Assert.Empty(v.Warnings));
        Assert.All(verdicts, v => Assert.Equal(Plan.Requirements.Count, v.Requirements.Count));
        Assert.True(verdicts.Count(v => v.Verdict == RunVerdict.Pass) >= 11);
        foreach (var limit in Judge.Limits)
        {
            var sigma = verdicts.Select(v => v.Expectations.Single(e => e.Id == limit.Id).Sigma).ToArray();
            var mean = sigma.Average();
            Assert.True(Math.Abs(mean) < 1.2, $"{limit.Id} reads {mean:F2} σ on average");
            Assert.InRange(Math.Sqrt(sigma.Sum(s => (s - mean) * (s - mean)) / (sigma.Length - 1)), 0.15, 1.85);
        }
    }

    public static TheoryData<string, Deviation> Faults => new()
    {
        { "crimp", new() { AddedResistanceOhm = 0.010 } },
        { "magnet-missing", new() { FluxFactor = 1 - 1.0 / 20 } },
        { "rotor-offset", new() { RotorOffsetRad = double.DegreesToRadians(12) } },
        { "stiff-grease", new() { GearDragFactor = 1.8 } },
        { "tooth-damage", new() { ToothBlowMPerS2 = 25 } },
    };

    [Theory]
    [MemberData(nameof(Faults))]
    public void A_fault_stops_a_hub_and_is_named_among_the_first_two(string fault, Deviation unit)
    {
        var verdict = Judged(77, unit);
        Assert.NotEqual(RunVerdict.Pass, verdict.Verdict);
        Assert.Contains(fault, verdict.Diagnosis.Take(2).Select(d => d.Fault));
    }

    // Three planets on fixed pins meet one bad tooth of the ring in turn: three blows a turn of the shell.
    [Fact]
    public void A_bad_tooth_of_the_ring_is_struck_by_every_planet()
    {
        const double blow = 40;
        var with = RunGenerator.Run(Noiseless, new() { ToothBlowMPerS2 = blow }, RigErrors.None, new() { UnitSeed = 1, AmbientC = 25, UnitStartC = 25 }).Vibration;
        var point = Plan.Cycle.Points.Single(p => p.Id == "40-75");
        var startS = Plan.Cycle.Points.TakeWhile(p => p.Id != point.Id).Sum(p => p.HoldS) + point.WindowFromS;
        var (from, count) = with.Rows(startS, startS + point.WindowForS).GetOffsetAndLength(with.TimeS.Length);
        var difference = Enumerable.Range(from, count).Select(i => Math.Abs(with.Channels["vibration_m_s2"][i] - Exact.Vibration.Channels["vibration_m_s2"][i])).ToArray();
        var strikes = 0;
        for (int i = 0, silent = 0; i < count; i++)
        {
            if (difference[i] > 0.05 * blow && silent > 200) strikes++;
            silent = difference[i] > 0.05 * blow ? 0 : silent + 1;
        }

        Assert.Equal(3 * point.WindowForS * point.OutputRpm / 60, strikes, 1.01);
    }
}
