using MathNet.Numerics.Statistics;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>Readings of a run whose true values are known because it was written down in closed forms (<see cref="SyntheticRun"/>).</summary>
public sealed class LoadTestReadingsTests
{
    static readonly SyntheticRun Run = new();
    static readonly LoadTestReadings Readings = LoadTestReadings.From(Run.Capture, SyntheticRun.Plan);

    [Fact]
    public void Finds_every_load_point_in_the_signal()
    {
        Assert.Empty(Readings.NotFound);
        Assert.Empty(Readings.Warnings);
        Assert.Equal(SyntheticRun.Plan.Cycle.Points.Select(p => p.Id), Readings.Points.Select(p => p.Point.Id));
        Assert.All(Readings.Points, p =>
        {
            var startS = SyntheticRun.StartOf(p.Point.Id);
            Assert.InRange(p.FromS, startS + 0.6, startS + p.Point.HoldS);
            Assert.InRange(p.ToS, p.FromS + 1, startS + p.Point.HoldS + 0.01);
        });
    }

    [Fact]
    public void Averages_over_whole_turns_of_the_output() =>
        Assert.Equal([3, 4, 3, 3, 3, 2, 1, 3], Readings.Points.Take(8).Select(p => p.OutputTurns));

    // What the limits say of noise rests on it: with the noise of the whole window a no-load reading scattered by a tenth more than stated.
    [Fact]
    public void Noise_is_stated_for_the_turns_that_are_read() => Assert.All(Readings.Points.Take(8), p => Assert.Equal(p.ToS - p.FromS, FaultlessRun.Window(p.Point).ForS, 0.02));

    [Fact]
    public void Means_are_true_within_their_uncertainty() => Assert.All(Readings.Points, p =>
    {
        var (torqueNm, speed) = (p.Point.TorqueNm, p.Point.SpeedRadPerS);
        var busA = SyntheticRun.BusA(torqueNm, speed);
        True(torqueNm, p.DriveTorqueNm);
        True(speed, p.OutputSpeedRadPerS);
        True(48, p.BusVoltageV);
        True(busA, p.BusCurrentA);
        True(48 * busA, p.BusPowerW);
        True(SyntheticRun.WindingC((p.FromS + p.ToS) / 2), p.WindingC);
        True(speed * SyntheticRun.Plan.Unit.Ratio, p.MotorSpeedRadPerS);
        Assert.Equal(torqueNm > 0 ? 8 : 0, p.CrankTorqueNm.Value, 0.05); // the pulsation is gone
    });

    // The rig's noise over the root of the samples: 0.15 and 0.1 N·m in 3 s of 200 Hz.
    [Fact]
    public void The_uncertainty_of_a_mean_is_the_noise_over_the_root_of_the_samples()
    {
        var stated = Readings.Points.Take(8).Average(p => Math.Pow(p.DriveTorqueNm.StandardUncertainty, 2) * (p.ToS - p.FromS) * 200);

        Assert.Equal(Math.Sqrt(0.15 * 0.15 + 0.1 * 0.1), Math.Sqrt(stated), 0.04);
    }

    [Fact]
    public void Sees_the_phases_from_the_rotor_as_the_controller_believes_it_stands() => Assert.All(Readings.Points.Take(8), p =>
    {
        var phase = Assert.IsType<PhaseReading>(p.Phase);
        True(0, phase.IdA);
        True(SyntheticRun.CurrentA(p.Point.TorqueNm), phase.IqA);
        True(SyntheticRun.CurrentA(p.Point.TorqueNm), phase.CurrentPeakA);
        Assert.Equal(p.Point.SpeedRadPerS * SyntheticRun.Plan.Unit.Ratio * 7, phase.ElectricalSpeedRadPerS, 0.01);
    });

    [Fact]
    public void Reads_current_gain_from_the_two_currents() => Assert.All(Readings.Points.Where(p => p.Point.TorqueNm > 20), p =>
        Assert.Equal(SyntheticRun.CurrentGain, p.ReportedPhaseCurrentA.Value / p.Phase!.CurrentPeakA.Value, 0.002));

    [Fact]
    public void Finds_the_machines_resistance_flux_and_offset()
    {
        var points = Readings.Points.Where(p => p.Phase is not null).ToList();
        var motor = SyntheticRun.Plan.Unit.Motor;
        var fit = MachineIdentification.Fit(
            [.. points.Select(p => new SteadyElectricalPoint(p.Phase!.IdA.Value, p.Phase.IqA.Value, p.Phase.VdV.Value, p.Phase.VqV.Value, p.Phase.ElectricalSpeedRadPerS, p.Phase.IqA.StandardUncertainty, p.Phase.VqV.StandardUncertainty))],
            motor, [.. points.Select(p => SyntheticRun.WindingC((p.FromS + p.ToS) / 2))], [.. points.Select(p => SyntheticRun.MagnetC((p.FromS + p.ToS) / 2))]);

        True(SyntheticRun.ResistanceFactor * motor.PhaseResistance20Ohm, new(fit.Resistance20Ohm, Math.Sqrt(fit.Covariance[0, 0])));
        True(SyntheticRun.FluxFactor * motor.FluxLinkage20Wb, new(fit.Flux20Wb, Math.Sqrt(fit.Covariance[1, 1])));
        True(SyntheticRun.RotorOffsetRad, new(fit.RotorOffsetRad, Math.Sqrt(fit.Covariance[2, 2])));
        Assert.Equal(SyntheticRun.RotorOffsetRad, fit.RotorOffsetRad, 0.001);
    }

    [Fact]
    public void Reads_ripple_and_mesh_orders()
    {
        var orders = Assert.IsType<OrderReadings>(Readings.Orders);

        Assert.Equal("50-60", orders.Point);
        Assert.Equal(1.8795, OrderReadings.MeshOrders(SyntheticRun.Plan.Unit.Gears)[1], 4); // stage-2 mesh at 1.88 of the rotor
        True(SyntheticRun.RippleNm, orders.Ripple6Nm);
        True(Math.Log(SyntheticRun.Mesh1MPerS2), orders.Mesh[0]);
        True(Math.Log(SyntheticRun.Mesh2MPerS2), orders.Mesh[1]);
        True(Math.Log(SyntheticRun.RotorMPerS2), orders.Rotor1x);
    }

    [Fact]
    public void Reads_the_function_tests()
    {
        var f = Readings.Functions;

        Assert.Equal(SyntheticRun.StopDelayS + SyntheticRun.GoneAfterS, f.StopResponseS.Value, 0.006);
        Assert.Equal(SyntheticRun.BrakeDelayS + SyntheticRun.GoneAfterS, f.BrakeResponseS.Value, 0.006);
        Assert.Equal(23.5 + 0.95 * 1.5, f.CutOffSpeedKmPerH.Value, 0.05);
        Assert.Equal(SyntheticRun.WalkKmPerH, f.WalkSpeedKmPerH.Value, 0.02);
        Assert.Equal(SyntheticRun.WalkDelayS + SyntheticRun.GoneAfterS, f.WalkReleaseS.Value, 0.012);
        Assert.Equal(SyntheticRun.PhaseLimitA, f.PhaseCurrentLimitA.Value, 0.1);
        Assert.Equal(SyntheticRun.BusLimitA, f.BusCurrentLimitA.Value, 0.02);
        True(1000 * SyntheticRun.QuiescentA, f.QuiescentCurrentMilliA);
        True(SyntheticRun.TorqueSensorZeroNm, f.TorqueSensorZeroNm);
    }

    [Fact]
    public void Reads_how_fast_the_speed_rises_and_what_the_rotor_takes_for_it()
    {
        var fromS = SyntheticRun.StartOf("50-60");
        var rising = LoadTestReadings.From(Run.With("slow", "output_speed_rad_s", (t, x) => t > fromS && t < fromS + 12 ? (float)(x + 0.004 * (t - fromS)) : x), SyntheticRun.Plan);
        True(0.004, rising.At("50-60")!.OutputAccelerationRadPerS2);
        var point = MeasuredRunOf.Readings(rising, SyntheticRun.Plan with { CouplingInertiaKgM2 = 1 }).Points.Single(p => p.Point == "50-60");
        Assert.Equal(0.004 * (1.2e-4 * Math.Pow(SyntheticRun.Plan.Unit.Ratio, 2) * SyntheticRun.Plan.Unit.MeshEfficiency + 1), point.InertiaNm, 0.003);
    }

    // A plan with other holds is read from the same run: the run says how long it held.
    [Fact]
    public void Says_how_long_each_load_point_was_held()
    {
        var cycle = SyntheticRun.Plan.Cycle;
        var other = cycle with { Points = [.. cycle.Points.Select(p => p with { HoldS = 0.8 * p.HoldS })] };
        var held = MeasuredRunOf.Readings(Readings with { Points = [.. Readings.Points.Where(p => p.Point.Id != "50-60")] }, SyntheticRun.Plan with { Cycle = other }).HeldS;

        Assert.All(cycle.Points, p => Assert.Equal(p.HoldS, held[p.Id], 0.3));
    }

    [Fact]
    public void Says_how_often_the_rig_sampled()
    {
        Assert.Equal(SampleRates.Usual, Readings.Rates);
        Assert.Equal(new(100, 12_800, 25_600), LoadTestReadings.From(Run.Capture with { Tables = [Every(2, Run.Slow), Run.Fast] }, SyntheticRun.Plan).Rates);
    }

    [Fact]
    public void Reads_how_much_it_warmed_up()
    {
        var rise = Readings.Functions.Winding;

        True(SyntheticRun.WindingC(rise.ToS) - SyntheticRun.WindingC(rise.FromS), rise.RiseK);
        Assert.InRange(rise.ToS, 88, 90);
        Assert.InRange(rise.FromS, 0, 1);
    }

    // Over many runs, (reading − truth)/u scatters by one: the stated uncertainties are neither brag nor excuse.
    [Fact]
    public void Stated_uncertainties_are_what_the_readings_scatter_by()
    {
        var pulls = new List<double>();
        for (var seed = 100; seed < 106; seed++)
        {
            foreach (var p in LoadTestReadings.From(new SyntheticRun(seed).Capture, SyntheticRun.Plan).Points.Take(8))
            {
                pulls.Add((p.DriveTorqueNm.Value - p.Point.TorqueNm) / p.DriveTorqueNm.StandardUncertainty);
                pulls.Add((p.BusCurrentA.Value - SyntheticRun.BusA(p.Point.TorqueNm, p.Point.SpeedRadPerS)) / p.BusCurrentA.StandardUncertainty);
                pulls.Add((p.Phase!.IqA.Value - SyntheticRun.CurrentA(p.Point.TorqueNm)) / p.Phase.IqA.StandardUncertainty);
            }
        }

        Assert.Equal(0, pulls.Average(), 0.3);
        Assert.Equal(1, pulls.StandardDeviation(), 0.2);
    }

    [Theory]
    [InlineData(0.0), InlineData(1.0), InlineData(3.0), InlineData(8.0)]
    public void A_damaged_tooth_rings_as_loud_as_stated(double blowMPerS2)
    {
        var readings = Enumerable.Range(0, 12).Select(_ => LoadTestReadings.From(Run.Struck("85-60", blowMPerS2), SyntheticRun.Plan).ToothImpulse!).ToList();

        Assert.All(readings, r => Assert.Equal("85-60", r.Point));
        Assert.Equal(2.5 * SyntheticRun.Plan.Unit.Ratio * 12 / 83, readings[0].WheelTurns, 0.1); // all of the window
        var (turnS, turns) = (2.5 / readings[0].WheelTurns, readings[0].WheelTurns);
        var backgroundMPerS2 = SyntheticRun.VibrationNoiseMPerS2 * Math.Sqrt((12_800 - ToothImpulse.CornerHz) / 12_800);
        var sound = ToothImpulse.SoundLn(turnS, 83, turns, 25_600);
        var expected = blowMPerS2 == 0 ? sound : ToothImpulse.LnWithBlow(sound, blowMPerS2, 85, backgroundMPerS2, turnS, 83, turns, 25_600);
        Assert.Equal(expected, readings.Average(r => r.LnImpulsiveness.Value), 0.05);
        Assert.Equal(backgroundMPerS2, readings.Average(r => r.BackgroundRmsMPerS2), 0.03);
    }

    [Fact]
    public void Says_which_load_point_the_run_does_not_show()
    {
        var startS = SyntheticRun.StartOf("85-30");
        var readings = LoadTestReadings.From(Run.With("slow", "output_torque_nm", (t, x) => t > startS && t < startS + 4 ? x - 30 : x), SyntheticRun.Plan);

        var missing = Assert.Single(readings.NotFound);
        Assert.Equal("Load point 85-30 (85 N·m at 30 rpm) was not found in the run; the nearest steady piece has 55 N·m at 30 rpm.", missing.Sentence);
        Assert.Contains(missing.Sentence, readings.Warnings);
        Assert.Null(readings.At("85-30"));
        Assert.NotNull(readings.At("45-100"));
    }

    [Fact]
    public void A_unit_a_little_weak_is_still_found_and_read() =>
        Assert.Equal(85 * 0.93, LoadTestReadings.From(Run.With("slow", "output_torque_nm", (t, x) => x * 0.93f), SyntheticRun.Plan).At("85-60")!.OutputTorqueNm.Value - 8 * 0.93, 0.1);

    // A level with an instrument's noise on it: one that stands still to the last digit is refused as held.
    static float Held(double level, double t) => (float)(level + 0.02 * Math.Sin(1e4 * t));

    [Fact]
    public void A_function_that_never_ends_is_reported_with_what_was_seen()
    {
        var stopS = SyntheticRun.StartOf(FunctionTestKind.StopPedalling);
        var readings = LoadTestReadings.From(Run.With("slow", "output_torque_nm", (t, x) => t > stopS + 1.5 && t < stopS + 3.2 ? Held(31.8, t) : x), SyntheticRun.Plan);

        Assert.InRange(readings.Functions.StopResponseS.Value, 1.3, 1.5);
        Assert.True(readings.Functions.StopResponseS.AtLeast);
        Assert.Contains(readings.Warnings, w => w.StartsWith("1.4 s after the crank stopped the drive torque still is 31.8 N·m of 31.", StringComparison.Ordinal));
    }

    [Fact]
    public void Assistance_that_never_ends_is_reported_with_the_largest_speed()
    {
        var cutOffS = SyntheticRun.StartOf(FunctionTestKind.CutOff);
        var readings = LoadTestReadings.From(Run.With("slow", "bus_current_a", (t, x) => t > cutOffS + 1 && t < cutOffS + 5 ? Held(6.9, t) : x), SyntheticRun.Plan);

        Assert.Equal(28, readings.Functions.CutOffSpeedKmPerH.Value, 0.1);
        Assert.True(readings.Functions.CutOffSpeedKmPerH.AtLeast);
        Assert.Contains(readings.Warnings, w => w.StartsWith("Assistance did not end", StringComparison.Ordinal));
    }

    // A run that ended 0.25 s after the brake was pulled, with the torque still there, once read 0.24 s: a pass.
    [Fact]
    public void A_run_that_ends_before_the_torque_is_gone_says_nothing_of_when_it_goes()
    {
        var plan = EndingWith(FunctionTestKind.Brake);
        var brakeS = SyntheticRun.StartOf(FunctionTestKind.Brake) + 1.5;
        var capture = Run.With("slow", "output_torque_nm", (t, x) => t > brakeS - 0.5 ? Held(31.8, t) : x);
        var readings = LoadTestReadings.From(capture with { Tables = [Rows(capture.Tables[0], t => t < brakeS + 0.25), Run.Fast, Run.Vibration] }, plan);

        Assert.True(double.IsNaN(readings.Functions.BrakeResponseS.Value));
        Assert.Contains("The run ends 0.2 s after the brake switch closed: whether the drive torque is gone for good is seen only after 1.4 s.", readings.Warnings);
        Assert.Equal(SyntheticRun.StopDelayS + SyntheticRun.GoneAfterS, readings.Functions.StopResponseS.Value, 0.006);
    }

    // The switch that was never let go once was let go at the end of the run, with no time left for the torque to be there.
    [Fact]
    public void Walk_assistance_that_is_never_let_go_has_no_release()
    {
        var walkS = SyntheticRun.StartOf(FunctionTestKind.WalkAssist);
        var readings = LoadTestReadings.From(Run.Capture with { Tables = [Rows(Run.Slow, t => t < walkS + 2.4), Run.Fast, Run.Vibration] }, EndingWith(FunctionTestKind.WalkAssist));

        Assert.True(double.IsNaN(readings.Functions.WalkReleaseS.Value));
        Assert.True(double.IsNaN(readings.Functions.WalkSpeedKmPerH.Value));
        Assert.Contains("The walk assistance test was not seen in the run: walk assistance was never held and let go.", readings.Warnings);
    }

    [Fact]
    public void A_touch_of_the_walk_button_is_no_walk_assistance()
    {
        var walkS = SyntheticRun.StartOf(FunctionTestKind.WalkAssist);
        var readings = LoadTestReadings.From(Run.With("slow", "walk_assist", (t, x) => t > walkS + 0.33 ? 0 : x), SyntheticRun.Plan);

        Assert.True(double.IsNaN(readings.Functions.WalkSpeedKmPerH.Value));
    }

    static LoadTestPlan EndingWith(FunctionTestKind last) => SyntheticRun.Plan with
    {
        Cycle = SyntheticRun.Plan.Cycle with { Functions = [.. SyntheticRun.Plan.Cycle.Functions.TakeWhile(f => f.Kind != last), SyntheticRun.Plan.Cycle.Functions.Single(f => f.Kind == last)] },
    };

    [Fact]
    public void Works_without_phase_voltages_and_vibration_and_says_what_is_lost()
    {
        var fast = Run.Fast with { Channels = Run.Fast.Channels.Where(c => !c.Key.StartsWith("phase_voltage", StringComparison.Ordinal)).ToDictionary(c => c.Key, c => c.Value) };
        var readings = LoadTestReadings.From(Run.Capture with { Tables = [Run.Slow, fast] }, SyntheticRun.Plan);

        Assert.Equal(2, readings.Warnings.Count);
        Assert.True(double.IsNaN(readings.At("50-60")!.Phase!.VqV.Value));
        Assert.Null(readings.ToothImpulse);
        True(SyntheticRun.RippleNm, readings.Orders!.Ripple6Nm);
    }

    [Fact]
    public void Refuses_what_cannot_be_judged_and_lists_all_of_it()
    {
        var slow = Run.Slow with { Channels = Run.Slow.Channels.ToDictionary(c => c.Key == "winding_c" ? "winding_temp_c" : c.Key == "bus_current_a" ? "bus_curent_a" : c.Key, c => c.Value) };
        var thrown = Assert.Throws<InputException>(() => LoadTestReadings.From(Run.Capture with { Tables = [slow, Run.Fast, Run.Vibration] }, SyntheticRun.Plan));

        Assert.Equal(2, thrown.Errors.Count);
        Assert.Equal("slow: found no channel bus_current_a, expected it beside the others of its kind. It stands in fast.", thrown.Errors[0].ToString());
        Assert.StartsWith("slow: found no channel winding_c, expected it, because the load test judges it.", thrown.Errors[1].ToString());
    }

    [Fact]
    public void Names_the_channel_that_was_most_likely_meant()
    {
        var fast = Run.Fast with { Channels = Run.Fast.Channels.ToDictionary(c => c.Key == "motor_angle_rad" ? "Motor_Angle_Rad" : c.Key, c => c.Value) };

        Assert.Equal("fast: found no channel motor_angle_rad, expected it, because the load test judges it. Is 'Motor_Angle_Rad' meant? Then name it motor_angle_rad.",
            Assert.Throws<InputException>(() => LoadTestReadings.From(Run.Capture with { Tables = [Run.Slow, fast, Run.Vibration] }, SyntheticRun.Plan)).Message);
    }

    public static TheoryData<string, string, float, string> Sensors => new()
    {
        { "slow", "output_torque_nm", 12.5f, "slow: output_torque_nm: found 12.5 in every row, expected a signal that moves with the load. The sensor is stuck or not connected." },
        { "slow", "winding_c", float.NaN, "slow: winding_c: found 22001 missing samples, the first at 0 s, expected a number in every row. Check the sensor's cable and the rig's recorder." },
        { "fast", "phase_current_v_a", 0f, "fast: phase_current_v_a: found 0 in every row, expected a signal that moves with the load. The sensor is stuck or not connected." },
        { "vibration", "vibration_m_s2", 0f, "vibration: vibration_m_s2: found 0 in every row, expected a signal that moves with the load. The sensor is stuck or not connected." },
    };

    [Theory]
    [MemberData(nameof(Sensors))]
    public void Refuses_a_sensor_that_does_not_live(string table, string channel, float value, string sentence) =>
        Assert.Equal(sentence, Assert.Throws<InputException>(() => LoadTestReadings.From(Run.With(table, channel, (_, _) => value), SyntheticRun.Plan)).Message);

    [Fact]
    public void Refuses_a_hole_in_a_judged_channel() =>
        Assert.StartsWith("slow: bus_current_a: found 1 missing samples, the first at 33.005 s",
            Assert.Throws<InputException>(() => LoadTestReadings.From(Run.With("slow", "bus_current_a", (t, x) => t is > 33.001 and < 33.006 ? float.NaN : x), SyntheticRun.Plan)).Message);

    [Fact]
    public void Refuses_rates_too_low_for_what_is_judged()
    {
        var thrown = Assert.Throws<InputException>(() => LoadTestReadings.From(Run.Capture with { Tables = [Every(4, Run.Slow), Every(2, Run.Fast), Every(2, Run.Vibration)] }, SyntheticRun.Plan));

        Assert.Equal(
            [
                "slow: time_s: found 50 samples a second, expected at least 100, because stop and brake times must be seen.",
                "fast: time_s: found 6400 samples a second, expected at least 10000, because torque ripple must be seen.",
                "vibration: time_s: found 12800 samples a second, expected at least 25600, because tooth damage must be seen.",
            ],
            thrown.Errors.Select(e => e.ToString()));
    }

    [Fact]
    public void Refuses_a_run_that_was_cut_short_or_has_a_gap()
    {
        var cut = Rows(Run.Slow, t => t < 63);
        Assert.Equal("slow: time_s: found a run of 63 s, expected the 110 s of load cycle short-90. The run or its file was cut short: send the file again, or repeat the run.",
            Assert.Throws<InputException>(() => LoadTestReadings.From(Run.Capture with { Tables = [cut, Run.Fast, Run.Vibration] }, SyntheticRun.Plan)).Message);

        var gap = Rows(Run.Slow, t => t is < 40 or > 41);
        Assert.Equal("slow: time_s: found no samples between 39.995 s and 41.005 s, expected samples through the whole run.",
            Assert.Throws<InputException>(() => LoadTestReadings.From(Run.Capture with { Tables = [gap, Run.Fast, Run.Vibration] }, SyntheticRun.Plan)).Message);
    }

    static CaptureTable Every(int n, CaptureTable table) => Keep(table, i => i % n == 0);

    static CaptureTable Rows(CaptureTable table, Func<double, bool> keep) => Keep(table, i => keep(table.TimeS[i]));

    static CaptureTable Keep(CaptureTable table, Func<int, bool> keep) => new(table.Source, [.. table.TimeS.Where((_, i) => keep(i))],
        table.Channels.ToDictionary(c => c.Key, c => c.Value.Where((_, i) => keep(i)).ToArray()));

    // 4.5 standard uncertainties: of the few hundred comparisons here none should fail by chance.
    static void True(double truth, Reading reading) => Assert.InRange(reading.Value, truth - 4.5 * reading.StandardUncertainty - 1e-5 * Math.Abs(truth), truth + 4.5 * reading.StandardUncertainty + 1e-5 * Math.Abs(truth));
}
