using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>A capture that an instrument or a cable has spoilt is named, not judged; what a faulty unit does is judged, never refused.</summary>
public sealed class BadCaptureTests
{
    const string Slow = "slow", Fast = "fast", Vibration = "vibration";
    static readonly GeneratedRun Run = RunGenerator.Run(Fixtures.Plan, Deviation.None, RigErrors.Draw(Fixtures.Plan.Gauges, 3), new() { UnitSeed = 11, AmbientC = 21, UnitStartC = 23 });

    static Capture Whole => new(CaptureHeader.Unknown, [Run.Slow with { Source = Slow }, Run.Fast with { Source = Fast }, Run.Vibration with { Source = Vibration }]);

    static Capture With(Capture capture, string table, Func<CaptureTable, CaptureTable> change) => capture with { Tables = [.. capture.Tables.Select(t => t.Source == table ? change(t) : t)] };

    static CaptureTable Samples(CaptureTable t, string channel, Func<int, float, float> change) => t with
    {
        Channels = t.Channels.ToDictionary(c => c.Key, c => c.Key == channel ? [.. c.Value.Select((x, i) => change(i, x))] : c.Value, StringComparer.Ordinal),
    };

    static CaptureTable Named(CaptureTable t, params (string From, string To)[] names) => t with
    {
        Channels = t.Channels.ToDictionary(c => names.FirstOrDefault(n => n.From == c.Key).To ?? c.Key, c => c.Value, StringComparer.Ordinal),
    };

    static CaptureTable Swapped(CaptureTable t, string a, string b) => Named(t, (a, b), (b, a));

    static CaptureTable Without(CaptureTable t, Func<int, bool> dropped)
    {
        var kept = Enumerable.Range(0, t.TimeS.Length).Where(i => !dropped(i)).ToArray();
        return t with { TimeS = [.. kept.Select(i => t.TimeS[i])], Channels = t.Channels.ToDictionary(c => c.Key, c => kept.Select(i => c.Value[i]).ToArray(), StringComparer.Ordinal) };
    }

    /// <summary>What an instrument reads that sees nothing.</summary>
    static CaptureTable Dead(CaptureTable t, string channel, double noise)
    {
        var draws = new SeededNoise(4, channel);
        return Samples(t, channel, (_, _) => (float)(noise * draws.Normal()));
    }

    static float Hum(CaptureTable t, int i, float amplitude, double hz) => (float)(amplitude * Math.Cos(Math.Tau * hz * t.TimeS[i]));

    public static TheoryData<string, Func<Capture>, string[]> Bad => new()
    {
        { "cut", () => With(Whole, Slow, t => Without(t, i => i > 0.8 * t.TimeS.Length)), ["time_s", "The run or its file was cut short"] },
        { "phase current clipped", () => With(Whole, Fast, t => Samples(t, "phase_current_v_a", (_, x) => Math.Clamp(x, -20, 20))), ["phase_current_v_a", "cut off at 20"] },
        { "phase current clipped on one side", () => With(Whole, Fast, t => Samples(t, "phase_current_w_a", (_, x) => Math.Max(x, -25))), ["phase_current_w_a", "cut off at -25"] },
        { "torque clipped", () => With(Whole, Slow, t => Samples(t, "output_torque_nm", (_, x) => Math.Min(x, 90))), ["output_torque_nm", "cut off at 90"] },
        { "vibration clipped", () => With(Whole, Vibration, t => Samples(t, "vibration_m_s2", (_, x) => Math.Clamp(x, -1.5f, 1.5f))), ["vibration_m_s2", "cut off at"] },
        { "samples dropped with their times", () => With(Whole, Fast, t => Without(t, i => i is >= 40_000 and < 40_025)), ["fast", "25 samples missing after"] },
        { "samples dropped, times made even", () => With(Whole, Fast, t => Without(t, i => i is >= 100_000 and < 100_040) with { TimeS = t.TimeS[..^40] }), ["motor_angle_rad", "jump", "dropped samples"] },
        { "torque held for half a second", () => With(Whole, Slow, t => Samples(t, "output_torque_nm", (i, x) => i is > 6000 and < 6100 ? t.Channels["output_torque_nm"][6000] : x)), ["output_torque_nm", "in every row from 30."] },
        { "bus current held", () => With(Whole, Slow, t => Samples(t, "bus_current_a", (i, x) => i is > 19_000 and < 19_800 ? 6.9f : x)), ["bus_current_a", "6.9 in every row from 95."] },
        { "slow torques swapped", () => With(Whole, Slow, t => Swapped(t, "output_torque_nm", "crank_torque_nm")), ["output_torque_nm and crank_torque_nm are swapped"] },
        { "bus voltage and current swapped", () => With(Whole, Slow, t => Swapped(t, "bus_voltage_v", "bus_current_a")), ["bus_voltage_v and bus_current_a are swapped"] },
        { "speeds swapped", () => With(Whole, Slow, t => Swapped(t, "motor_speed_rad_s", "output_speed_rad_s")), ["motor_speed_rad_s and output_speed_rad_s are swapped"] },
        { "crank and wheel speed swapped", () => With(Whole, Slow, t => Swapped(t, "crank_speed_rad_s", "wheel_speed_rad_s")), ["crank_speed_rad_s and wheel_speed_rad_s are swapped"] },
        { "two phase currents swapped", () => With(Whole, Fast, t => Swapped(t, "phase_current_u_a", "phase_current_v_a")), ["Two of phase_current_u_a, phase_current_v_a, phase_current_w_a are swapped"] },
        { "two phase voltages swapped", () => With(Whole, Fast, t => Swapped(t, "phase_voltage_v_v", "phase_voltage_w_v")), ["Two of phase_voltage_u_v, phase_voltage_v_v, phase_voltage_w_v are swapped"] },
        { "phase currents one place on", () => With(Whole, Fast, t => Named(t, ("phase_current_u_a", "phase_current_v_a"), ("phase_current_v_a", "phase_current_w_a"), ("phase_current_w_a", "phase_current_u_a"))), ["are one place on"] },
        { "angle counts backwards", () => With(Whole, Fast, t => Samples(t, "motor_angle_rad", (_, x) => (float)(Math.Tau - x))), ["motor_angle_rad", "The angle counts backwards"] },
        { "torque of the wrong sign", () => With(Whole, Slow, t => Samples(t, "output_torque_nm", (_, x) => -x)), ["output_torque_nm", "Its sign is turned round"] },
        { "bus current of the wrong sign", () => With(Whole, Slow, t => Samples(t, "bus_current_a", (_, x) => -x)), ["bus_current_a", "Its sign is turned round"] },
        { "one phase current of the wrong sign", () => With(Whole, Fast, t => Samples(t, "phase_current_w_a", (_, x) => -x)), ["phase_current_w_a", "Its sign is turned round"] },
        { "all phase currents of the wrong sign", () => With(Whole, Fast, t => Samples(Samples(Samples(t, "phase_current_u_a", (_, x) => -x), "phase_current_v_a", (_, x) => -x), "phase_current_w_a", (_, x) => -x)), ["The signs of phase_current_u_a"] },
        { "mains in the torque", () => With(Whole, Slow, t => Samples(t, "output_torque_nm", (i, x) => x + Hum(t, i, 4, 50))), ["output_torque_nm", "at 50 Hz in every window"] },
        { "mains in a phase current", () => With(Whole, Fast, t => Samples(t, "phase_current_u_a", (i, x) => x + Hum(t, i, 1, 60))), ["phase_current_u_a", "at 60 Hz in every window"] },
        { "encoder slip", () => With(Whole, Fast, t => Samples(t, "motor_angle_rad", (i, x) => (float)((x + (i > 150_000 ? 0.4 : 0)) % Math.Tau))), ["motor_angle_rad", "1 jump, the first by 0.4 rad"] },
        { "bus current sensor dead", () => With(Whole, Slow, t => Dead(t, "bus_current_a", 0.02)), ["bus_current_a", "The current sensor is dead"] },
        { "bus current sensor at nothing", () => With(Whole, Slow, t => Samples(t, "bus_current_a", (_, _) => 0)), ["bus_current_a", "0 in every row"] },
        { "torque sensor dead", () => With(Whole, Slow, t => Samples(Dead(t, "output_torque_nm", 0.4), "output_torque_nm", (i, x) => t.Channels["crank_torque_nm"][i] + x)), ["output_torque_nm", "The torque sensor is dead"] },
        { "torque sensor at nothing but noise", () => With(Whole, Slow, t => Dead(t, "output_torque_nm", 0.4)), ["output_torque_nm", "The torque sensor is dead"] },
        { "a phase current sensor dead", () => With(Whole, Fast, t => Dead(t, "phase_current_u_a", 0.1)), ["phase_current_u_a", "The sensor is dead"] },
        { "a phase current scaled", () => With(Whole, Fast, t => Samples(t, "phase_current_u_a", (_, x) => 0.7f * x)), ["phase_current_u_a", "0.7 times"] },
        { "motor speed sensor dead", () => With(Whole, Slow, t => Dead(t, "motor_speed_rad_s", 0.2)), ["motor_speed_rad_s", "dead"] },
        { "winding sensor dead", () => With(Whole, Slow, t => Dead(t, "winding_c", 0.05)), ["winding_c", "The sensor is dead"] },
        { "fast file cut short", () => With(Whole, Fast, t => Without(t, i => t.TimeS[i] > 50)), ["fast: time_s: found no samples for load point", "send the file again"] },
        { "one fast window missed", () => With(Whole, Fast, t => Without(t, i => t.TimeS[i] is > 52 and < 62)), ["fast: time_s: found no samples for load point 50-60"] },
        { "crank torque sensor dead", () => With(Whole, Slow, t => Dead(t, "crank_torque_nm", 0.2)), ["crank_torque_nm", "The crank's torque sensor is dead"] },
        { "crank speed sensor dead", () => With(Whole, Slow, t => Dead(t, "crank_speed_rad_s", 0.01)), ["crank_speed_rad_s", "The crank's speed sensor is dead"] },
        { "reported current dead", () => With(Whole, Slow, t => Dead(t, "reported_phase_current_a", 0.1)), ["reported_phase_current_a", "where the phases carry"] },
        { "reported torque at nothing", () => With(Whole, Slow, t => Samples(t, "reported_torque_nm", (_, _) => 0)), ["reported_torque_nm", "0 in every row"] },
        { "ambient at nothing", () => With(Whole, Slow, t => Samples(t, "ambient_c", (_, _) => 0)), ["ambient_c", "0 in every row"] },
        { "accelerometer dead", () => With(Whole, Vibration, t => Dead(t, "vibration_m_s2", 0.3)), ["vibration_m_s2", "The accelerometer is dead"] },
        { "fast torque dead", () => With(Whole, Fast, t => Dead(t, "output_torque_nm", 0.4)), ["fast: output_torque_nm", "the same torque by both recorders"] },
        { "bus current a thousandfold", () => With(Whole, Slow, t => Samples(t, "bus_current_a", (_, x) => 1000 * x)), ["bus_current_a", "is scaled wrongly"] },
        { "winding sensor stuck with its noise", () => With(Whole, Slow, t => Samples(Dead(t, "winding_c", 0.05), "winding_c", (_, x) => 60 + x)), ["winding_c", "a winding that the cycle warms by about"] },
        { "supply of another product", () => With(Whole, Slow, t => Samples(t, "bus_voltage_v", (_, x) => 0.4f * x)), ["bus_voltage_v"] },
    };

    [Theory]
    [MemberData(nameof(Bad))]
    public void A_bad_capture_is_named_and_not_judged(string what, Func<Capture> bad, string[] said)
    {
        var refused = Assert.Throws<InputException>(() => LoadTestReadings.From(bad(), Fixtures.Plan));
        Assert.All(said, words => Assert.True(refused.Message.Contains(words, StringComparison.Ordinal), $"{what}: '{words}' is not in:\n{refused.Message}"));
    }

    [Fact]
    public void Another_product_in_the_rig_is_named_by_its_ratio()
    {
        // The same unit with 14 instead of 13 teeth on the second pinion: 33.6 turns instead of 36.2.
        var other = Fixtures.Plan with { Unit = Fixtures.Unit with { Gears = [Fixtures.Unit.Gears[0], Fixtures.Unit.Gears[1] with { PinionTeeth = 14 }] } };
        var run = RunGenerator.Run(other, Deviation.None, RigErrors.None, new() { UnitSeed = 12 });
        var refused = Assert.Throws<InputException>(() => LoadTestReadings.From(new(CaptureHeader.Unknown, [run.Slow, run.Fast, run.Vibration]), Fixtures.Plan));
        Assert.Contains("33.596 motor turns for each of the output, expected 36.179", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Another_motor_in_the_rig_is_named_by_its_pole_pairs()
    {
        var other = Fixtures.Plan with { Unit = Fixtures.Unit with { Motor = Fixtures.Unit.Motor with { PolePairs = 10, FluxLinkage20Wb = 0.7 * Fixtures.Unit.Motor.FluxLinkage20Wb } } };
        var run = RunGenerator.Run(other, Deviation.None, RigErrors.None, new() { UnitSeed = 13 });
        var refused = Assert.Throws<InputException>(() => LoadTestReadings.From(new(CaptureHeader.Unknown, [run.Slow, run.Fast, run.Vibration]), Fixtures.Plan));
        Assert.Contains("currents that turn 10 times in a turn of the rotor, expected 7 times", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_little_of_the_mains_is_told_and_judged()
    {
        var readings = LoadTestReadings.From(With(Whole, Slow, t => Samples(t, "output_torque_nm", (i, x) => x + Hum(t, i, 0.6f, 50))), Fixtures.Plan);
        Assert.Contains(readings.Warnings, w => w.StartsWith("output_torque_nm has a line of 0.59", StringComparison.Ordinal));
    }

    public static TheoryData<string, Deviation> Faulty => new()
    {
        { "sound", Deviation.None },
        { "weak magnets", new() { FluxFactor = 0.86 } },
        { "strong magnets", new() { FluxFactor = 1.08 } },
        { "rubbing rotor", new() { AddedMotorDragNm = 0.05 } },
        { "no grease", new() { GearDragFactor = 0.6, MeshFactor = 0.97 } },
        { "stiff grease", new() { GearDragFactor = 3.2 } },
        { "bad joint", new() { AddedResistanceOhm = 0.04 } },
        { "stored angle far off", new() { RotorOffsetRad = 30 * Math.PI / 180 } },
        { "stored angle far off the other way", new() { RotorOffsetRad = -30 * Math.PI / 180 } },
        { "current read too high", new() { CurrentGainFactor = 1.08 } },
        { "current read too low", new() { CurrentGainFactor = 0.93 } },
        { "burred gear", new() { MeshFactor = 0.94 } },
        { "broken tooth", new() { ToothBlowMPerS2 = 180 } },
        { "torque sensor off zero", new() { TorqueSensorZeroNm = 8 } },
    };

    [Theory]
    [MemberData(nameof(Faulty))]
    public void What_a_faulty_unit_does_is_read_and_never_refused(string what, Deviation unit)
    {
        for (ulong rig = 1; rig <= 2; rig++)
        {
            var run = RunGenerator.Run(Fixtures.Plan, unit, RigErrors.Draw(Fixtures.Plan.Gauges, rig).Drifted(rig - 1), new() { UnitSeed = 100 + rig, AmbientC = 12 + 10 * rig, UnitStartC = 12 + 10 * rig });
            var readings = LoadTestReadings.From(new(CaptureHeader.Unknown, [run.Slow, run.Fast, run.Vibration]), Fixtures.Plan);
            Assert.True(readings.Points.Count(p => p.Phase is not null) >= 6, what);
            Assert.DoesNotContain(readings.Warnings, w => w.Contains("Hz in every window", StringComparison.Ordinal));
        }
    }
}
