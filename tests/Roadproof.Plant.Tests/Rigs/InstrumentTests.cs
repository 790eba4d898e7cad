using System.Runtime.InteropServices;
using Roadproof.Engineering.Drive;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>Tables, rates, windows, gauges and repeatability.</summary>
public sealed class InstrumentTests
{
    static readonly RunConditions Conditions = new() { UnitSeed = 42, AmbientC = 23, UnitStartC = 21 };

    static GeneratedRun RunOf(RigErrors rig, int attempt = 1) => RunGenerator.Run(Fixtures.Plan, Deviation.None, rig, Conditions with { Attempt = attempt });

    [Fact]
    public void Same_arguments_give_the_same_bytes_and_another_attempt_others()
    {
        var rig = RigErrors.Draw(Fixtures.Plan.Gauges, 3);
        var (a, b, other) = (RunOf(rig), RunOf(rig), RunOf(rig, attempt: 2));
        foreach (var (first, again, differs) in new[] { (a.Slow, b.Slow, other.Slow), (a.Fast, b.Fast, other.Fast), (a.Vibration, b.Vibration, other.Vibration) })
        {
            Assert.Equal(first.TimeS, again.TimeS);
            foreach (var (channel, readings) in first.Channels)
            {
                Assert.True(MemoryMarshal.AsBytes<float>(readings).SequenceEqual(MemoryMarshal.AsBytes<float>(again.Channels[channel])), channel);
                if (channel is not "brake" and not "walk_assist") Assert.False(readings.AsSpan().SequenceEqual(differs.Channels[channel]), channel);
            }
        }
    }

    [Fact]
    public void Tables_have_the_rates_windows_and_channels_of_a_rig()
    {
        var run = Runs.Exact();
        Assert.Equal(110 * 200, run.Slow.TimeS.Length);
        var windowS = Fixtures.Plan.Cycle.Points.Sum(p => p.WindowForS);
        Assert.Equal((int)Math.Round(windowS * 12_800), run.Fast.TimeS.Length);
        Assert.Equal((int)Math.Round(windowS * 25_600), run.Vibration.TimeS.Length);
        Assert.Equal(16, run.Slow.Channels.Count);
        Assert.Equal(9, run.Fast.Channels.Count);
        foreach (var table in new[] { run.Slow, run.Fast, run.Vibration })
        {
            Assert.All(table.TimeS.Zip(table.TimeS.Skip(1)), pair => Assert.True(pair.First < pair.Second));
            Assert.All(table.Channels.Values, readings => Assert.True(readings.Length == table.TimeS.Length && readings.All(float.IsFinite)));
        }
    }

    [Fact]
    public void Gain_and_zero_of_the_rig_stand_in_every_reading()
    {
        var rig = RigErrors.Draw(Fixtures.Plan.Gauges, 3);
        foreach (var channel in new[] { "bus_current_a", "output_torque_nm", "bus_voltage_v" })
        {
            var truth = RunGenerator.Run(Fixtures.Noiseless, Deviation.None, RigErrors.None, Conditions).Slow;
            var read = RunOf(rig).Slow;
            var rows = truth.Window("50-60");
            var noise = Fixtures.Plan.Gauges.Of(channel).NoiseRms / Math.Sqrt(600);
            Assert.Equal(truth.Mean(channel, rows) * (1 + rig.Of(channel).GainShare) + rig.Of(channel).Zero, read.Mean(channel, rows), 4 * noise + 1e-6);
            // And noise as large as the gauge says: relative spread of a standard deviation over 600 rows is 1/√1200.
            var residual = Enumerable.Range(rows.Start.Value, 600).Select(r => read.Channels[channel][r] - truth.Channels[channel][r] * (1 + rig.Of(channel).GainShare) - rig.Of(channel).Zero).ToArray();
            Assert.Equal(1, Math.Sqrt(residual.Average(x => x * x)) / Fixtures.Plan.Gauges.Of(channel).NoiseRms, 4 / Math.Sqrt(1200));
        }
    }

    [Fact]
    public void Drawn_rigs_scatter_as_their_gauges_say()
    {
        const int rigs = 4000;
        var errors = Enumerable.Range(0, rigs).Select(r => RigErrors.Draw(Fixtures.Plan.Gauges, (ulong)r).Of("output_torque_nm")).ToArray();
        Assert.Equal(0.0015, Math.Sqrt(errors.Average(e => e.GainShare * e.GainShare)), 0.0015 * 4 / Math.Sqrt(2 * rigs));
        Assert.Equal(0.03, Math.Sqrt(errors.Average(e => e.Zero * e.Zero)), 0.03 * 4 / Math.Sqrt(2 * rigs));
    }

    [Fact]
    public void A_sensor_in_the_unit_is_wrong_alike_on_every_rig()
    {
        double Error(ulong rigSeed) => RunOf(RigErrors.Draw(Fixtures.Plan.Gauges, rigSeed)).Slow.Mean("winding_c", 0, 1) - Conditions.UnitStartC;
        Assert.Equal(Error(1), Error(2), 1e-9);
        Assert.Equal(default, RigErrors.Draw(Fixtures.Plan.Gauges, 1).Of("winding_c"));
    }

    [Fact]
    public void A_drifting_rig_creeps_from_what_it_was()
    {
        var rig = RigErrors.Draw(Fixtures.Plan.Gauges, 3);
        Assert.Equal(rig.Of("output_torque_nm"), rig.Drifted(0).Of("output_torque_nm"));
        Assert.Equal(0.005, rig.Drifted(0.5).Of("output_torque_nm").GainShare - rig.Of("output_torque_nm").GainShare, 1e-12);
        Assert.True(rig.Drifted(1).Of("bus_current_a").Zero > rig.Of("bus_current_a").Zero + 0.03);
        Assert.Equal(rig.Of("crank_torque_nm"), rig.Drifted(1).Of("crank_torque_nm"));
    }

    [Fact]
    public void A_channel_without_a_gauge_is_named()
    {
        var plan = Fixtures.Plan with { Gauges = new() { Gauges = [.. Fixtures.Plan.Gauges.Gauges.Where(g => g.Channel != "crank_torque_nm")] } };
        Assert.Contains("crank_torque_nm", Assert.Throws<ArgumentException>(() => RunGenerator.Run(plan, Deviation.None, RigErrors.None, Conditions)).Message);
    }

    [Fact]
    public void Phase_currents_sum_to_nothing_and_turn_into_the_true_dq_currents()
    {
        var run = Runs.Exact();
        var rows = run.Fast.Window("85-60");
        var (from, count) = rows.GetOffsetAndLength(run.Fast.TimeS.Length);
        Assert.All(Enumerable.Range(from, count), r => Assert.Equal(0,
            run.Fast.Channels["phase_current_u_a"][r] + run.Fast.Channels["phase_current_v_a"][r] + run.Fast.Channels["phase_current_w_a"][r], 1e-4));
        var (d, q) = run.Fast.InReportedFrame("phase_current_u_a", "phase_current_v_a", "phase_current_w_a", rows);
        Assert.Equal(run.Point("85-60").IdA, d, 0.01);
        Assert.Equal(run.Point("85-60").IqA, q, 0.01);
        var (vd, vq) = run.Fast.InReportedFrame("phase_voltage_u_v", "phase_voltage_v_v", "phase_voltage_w_v", rows);
        Assert.Equal(run.Point("85-60").VdV, vd, 0.01);
        Assert.Equal(run.Point("85-60").VqV, vq, 0.01);
    }

    [Fact]
    public void The_crank_pulses_twice_a_turn_and_the_output_carries_both()
    {
        var slow = Runs.Exact().Slow;
        // 5 s at 60 rpm are 5 whole turns; the pulsation averages out, its amplitude is 0.75 of the mean.
        var rows = slow.Rows(Runs.StartS("50-60") + 6, Runs.StartS("50-60") + 11);
        Assert.Equal(8, slow.Mean("crank_torque_nm", rows), 0.02);
        var (from, count) = rows.GetOffsetAndLength(slow.TimeS.Length);
        double cosine = 0, sine = 0;
        for (var r = from; r < from + count; r++)
        {
            var turns = 2.0 * (r - from) / 200;
            cosine += slow.Channels["crank_torque_nm"][r] * Math.Cos(Math.Tau * turns) * 2 / count;
            sine += slow.Channels["crank_torque_nm"][r] * Math.Sin(Math.Tau * turns) * 2 / count;
        }

        Assert.Equal(6, Math.Sqrt(cosine * cosine + sine * sine), 0.05);
        Assert.Equal(Runs.Exact().Point("50-60").DriveTorqueNm, slow.Mean("output_torque_nm", rows) - slow.Mean("crank_torque_nm", rows), 0.05);
    }

    [Theory]
    [InlineData(12.0, 1.2), InlineData(12 * 13 / 83.0, 0.5), InlineData(1.0, 0.25), InlineData(42.0, 0.4)]
    public void Vibration_has_its_orders(double order, double nominalMPerS2)
    {
        var run = Runs.Exact();
        var vibration = run.Vibration;
        var (from, count) = vibration.Window("50-60").GetOffsetAndLength(vibration.TimeS.Length);
        // The angle comes from the fast table's encoder, half a step at a time.
        var (fastFrom, fastCount) = run.Fast.Window("50-60").GetOffsetAndLength(run.Fast.TimeS.Length);
        double turns = 0, cosine = 0, sine = 0, weight = 0;
        var angle = run.Fast.Channels["motor_angle_rad"];
        for (var k = 0; k + 1 < fastCount; k++)
        {
            var step = (angle[fastFrom + k + 1] - angle[fastFrom + k]) / Math.Tau;
            step -= Math.Round(step);
            for (var half = 0; half < 2; half++)
            {
                // Hann window, so that a strong neighbour does not spill over.
                var at = 2 * k + half;
                var w = 1 - Math.Cos(Math.Tau * at / count);
                var a = vibration.Channels["vibration_m_s2"][from + at];
                cosine += w * a * Math.Cos(Math.Tau * order * (turns + step * half / 2));
                sine += w * a * Math.Sin(Math.Tau * order * (turns + step * half / 2));
                weight += w;
            }

            turns += step;
        }

        // Drawn lognormal with up to 20 % spread, three sigma: between half and twice the nominal.
        Assert.InRange(2 * Math.Sqrt(cosine * cosine + sine * sine) / weight, 0.5 * nominalMPerS2, 2 * nominalMPerS2);
    }

    [Fact]
    public void Sixth_electrical_order_rides_on_the_output_torque()
    {
        var run = Runs.Exact();
        var (from, count) = run.Fast.Window("50-60").GetOffsetAndLength(run.Fast.TimeS.Length);
        double cosine = 0, sine = 0;
        for (var r = from; r < from + count; r++)
        {
            var e = 42 * (double)run.Fast.Channels["motor_angle_rad"][r];
            cosine += run.Fast.Channels["output_torque_nm"][r] * Math.Cos(e) * 2 / count;
            sine += run.Fast.Channels["output_torque_nm"][r] * Math.Sin(e) * 2 / count;
        }

        Assert.Equal(run.Truth.Unit.Ripple6Share * run.Point("50-60").DriveTorqueNm, Math.Sqrt(cosine * cosine + sine * sine), 0.02);
    }
}
