using CsCheck;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.Tests.Checks;

/// <summary>What a hold of pressure says about a leak, from curves whose leak is known.</summary>
public sealed class LeakTests
{
    static LeakTest Test => HeldPressure.Test;

    [Fact]
    public void The_leak_that_was_put_in_comes_out_within_its_uncertainty() =>
        Gen.Select(Gen.Double[0, 20], Gen.Double[-0.02, 0.02], Gen.ULong[1, 1_000_000]).Sample((leak, wall, seed) =>
        {
            var read = LeakReadings.From(new HeldPressure { Cm3PerMin = leak, WallKPerS = wall, Seed = seed }.Curve(), Test).Leak(Test);
            Assert.InRange(read.Value, leak - 4.5 * read.StandardUncertainty - 0.02 * leak, leak + 4.5 * read.StandardUncertainty + 0.02 * leak);
        }, iter: 200);

    // The noise's part of the uncertainty, without the allowance for gas beside the part's sensor, is what repeated runs scatter by.
    [Fact]
    public void The_uncertainty_is_the_scatter_of_repeated_runs()
    {
        var test = Test with { GasBesidePartK = 0, PressureGainShare = 0 };
        var runs = Enumerable.Range(1, 300).Select(s => LeakReadings.From(new HeldPressure { Cm3PerMin = 3, Seed = (ulong)s }.Curve(), test).Leak(test)).ToList();
        var mean = runs.Average(r => r.Value);
        var scatter = Math.Sqrt(runs.Sum(r => (r.Value - mean) * (r.Value - mean)) / (runs.Count - 1));
        Assert.InRange(Math.Sqrt(runs.Average(r => r.StandardUncertainty * r.StandardUncertainty)) / scatter, 0.85, 1.2);
    }

    [Fact]
    public void A_tight_part_that_cools_by_a_tenth_of_a_kelvin_reads_half_a_cm3_per_min_and_is_corrected_to_none()
    {
        var verdict = LeakVerdict.Judge(new HeldPressure { WallKPerS = -0.1 / 30 }.Curve(), Test);

        Assert.Equal(RunVerdict.Pass, verdict.Verdict);
        Assert.Equal(0.49, Value(verdict, "leak-uncorrected"), 0.06);
        Assert.Equal(0.49, Value(verdict, "leak-by-temperature"), 0.06);
        Assert.Equal(0, Value(verdict, "leak-rate"), 0.06);
        Assert.Equal(0.1, Value(verdict, "cooling-to-explain"), 0.01);
    }

    [Theory]
    [InlineData(1, RunVerdict.Pass)]
    [InlineData(5, RunVerdict.Hold)]
    [InlineData(8, RunVerdict.Fail)]
    public void A_leak_is_judged_with_its_guard_band(double cm3PerMin, RunVerdict expected) =>
        Assert.Equal(expected, LeakVerdict.Judge(new HeldPressure { Cm3PerMin = cm3PerMin }.Curve(), Test).Verdict);

    // Six kelvins above the room, 1.1 K in 30 s: the decay reads 5.5 cm³/min of a part that may well be tight.
    [Fact]
    public void Where_the_verdict_hangs_on_the_temperature_it_cannot_tell()
    {
        var verdict = LeakVerdict.Judge(new HeldPressure { WallKPerS = -1.1 / 30 }.Curve(), Test);

        Assert.Equal(RunVerdict.Hold, verdict.Verdict);
        Assert.Equal(5.4, Value(verdict, "leak-uncorrected"), 0.2);
        Assert.Contains(verdict.Reading, s => s.Contains("the verdict hangs on it", StringComparison.Ordinal));
    }

    [Fact]
    public void A_leak_beyond_what_temperature_can_make_fails_all_the_same() =>
        Assert.Equal(RunVerdict.Fail, LeakVerdict.Judge(new HeldPressure { Cm3PerMin = 20, WallKPerS = -1.1 / 30 }.Curve(), Test).Verdict);

    [Fact]
    public void Without_a_thermometer_the_uncertainty_carries_it()
    {
        var with = LeakReadings.From(new HeldPressure { Cm3PerMin = 3 }.Curve(), Test).Leak(Test);
        var without = LeakReadings.From(new HeldPressure { Cm3PerMin = 3, Thermometer = false }.Curve(), Test).Leak(Test);

        Assert.Equal(0.2 / 295 * 121_325 / 30 * 6e-4 / 101_325 * 60e6, without.StandardUncertainty, 0.1);
        Assert.True(without.StandardUncertainty > 3 * with.StandardUncertainty);
    }

    [Fact]
    public void The_heat_of_filling_is_waited_for()
    {
        var r = LeakReadings.From(new HeldPressure { Cm3PerMin = 2, FillK = 8, FillS = 3, ForS = 40 }.Curve(), Test);

        Assert.True(r.Settled);
        Assert.InRange(r.FromS, 4, 25);
        Assert.Equal(2, r.Leak(Test).Value, 3 * r.Leak(Test).StandardUncertainty);
    }

    [Fact]
    public void A_curve_that_never_settles_cannot_tell()
    {
        var verdict = LeakVerdict.Judge(new HeldPressure { Cm3PerMin = 2, FillK = 12, FillS = 15, ForS = 20 }.Curve(), Test);

        Assert.Equal(RunVerdict.Hold, verdict.Verdict);
        Assert.Contains(verdict.Reading, s => s.Contains("had not settled", StringComparison.Ordinal));
    }

    [Fact]
    public void An_open_part_fails_although_it_never_settles()
    {
        var t = Enumerable.Range(0, 301).Select(i => 0.1 * i).ToArray();
        var verdict = LeakVerdict.Judge(new LeakCurve(t, [.. t.Select(s => 101_325 + 20_000 * Math.Exp(-s / 6))], null, null), Test);

        Assert.Equal(RunVerdict.Fail, verdict.Verdict);
        Assert.Contains(verdict.Reading, s => s.Contains("gross leak", StringComparison.Ordinal));
    }

    [Fact]
    public void Venting_behind_the_tester_s_mark_is_left_out()
    {
        var held = new HeldPressure { Cm3PerMin = 1 }.Curve();
        var vented = held with { AbsolutePa = [.. held.AbsolutePa.Zip(held.TimeS, (p, t) => t > 25 ? 101_325 : p)] };

        Assert.Equal(RunVerdict.Fail, LeakVerdict.Judge(vented, Test).Verdict);
        var marked = LeakVerdict.Judge(vented, Test with { ToS = 25 });
        Assert.Equal((RunVerdict.Pass, 25.0), (marked.Verdict, Value(marked, "measured-for") + Value(marked, "measured-from")));
    }

    [Fact]
    public void Marks_that_leave_nothing_are_refused() =>
        Assert.Equal("measurement: found 0 rows from 30 s on, expected at least 12 rows after the filling.",
            Assert.Throws<Roadproof.Engineering.Quantities.InputException>(() => LeakReadings.From(new HeldPressure().Curve(), Test with { FromS = 40 })).Message);

    // A fill valve that seeps into the part hides a leak: rising pressure is no pass.
    [Fact]
    public void A_pressure_that_rises_cannot_tell()
    {
        var v = LeakVerdict.Judge(new HeldPressure { Cm3PerMin = -4 }.Curve(), Test);
        Assert.Equal(RunVerdict.Hold, v.Verdict);
        Assert.Contains(v.Reading, s => s.Contains("fill valve seep", StringComparison.Ordinal));
    }

    [Fact]
    public void An_unsure_volume_makes_an_unsure_leak()
    {
        var (sure, unsure) = (Test, Test with { VolumeUncertaintyM3 = 0.1 * Test.VolumeM3 });
        var read = LeakReadings.From(new HeldPressure { Cm3PerMin = 8 }.Curve(), sure);
        Assert.Equal(double.Hypot(read.Leak(sure).StandardUncertainty, 0.1 * read.Leak(sure).Value), read.Leak(unsure).StandardUncertainty, 1e-9);
    }

    [Fact]
    public void A_vacuum_is_read_the_other_way_round()
    {
        var test = Test with { TestPressurePa = -20_000 };
        var r = LeakReadings.From(new HeldPressure { Cm3PerMin = -3, StartPa = 81_325 }.Curve(), test);
        Assert.Equal(3, r.Leak(test).Value, 4 * r.Leak(test).StandardUncertainty);
    }

    [Fact]
    public void A_pressure_far_from_nominal_cannot_tell() =>
        Assert.Equal(RunVerdict.Hold, LeakVerdict.Judge(new HeldPressure { StartPa = 110_000 }.Curve(), Test).Verdict);

    // Both start 6 K above their walls and drift with the room: the tight one tells the gas's temperature where no sensor could.
    [Fact]
    public void A_tight_volume_beside_it_is_the_gas_s_thermometer()
    {
        var filled = new HeldPressure { FillK = 6, FillS = 12, WallKPerS = -0.01, Thermometer = false };
        var reference = filled with { VolumeM3 = 3e-4, Seed = 9 };
        var test = Test with { FromS = 0 };

        Assert.False(LeakReadings.From((filled with { Cm3PerMin = 2 }).Curve(), test).Settled);
        var r = LeakReadings.From(ReferenceVolume.AsThermometer((filled with { Cm3PerMin = 2 }).Curve(), reference.Curve()), test);
        Assert.True(r.Settled);
        Assert.Equal(2, r.Leak(test).Value, 0.1);
        Assert.Throws<Roadproof.Engineering.Quantities.InputException>(() => ReferenceVolume.AsThermometer(filled.Curve(), (reference with { ForS = 20 }).Curve()));
    }

    [Fact]
    public void Two_runs_with_and_without_a_known_leak_give_the_volume()
    {
        var without = LeakReadings.From(new HeldPressure { Cm3PerMin = 0.4, VolumeM3 = 7.3e-4, Seed = 2 }.Curve(), Test);
        var with = LeakReadings.From(new HeldPressure { Cm3PerMin = 5.4, VolumeM3 = 7.3e-4, Seed = 3 }.Curve(), Test);
        var volume = VolumeCalibration.VolumeM3(without, with, new(new(5, 0.05)), Test.Reference);

        Assert.Equal(7.3e-4, volume.Value, 3 * volume.StandardUncertainty);
        Assert.InRange(volume.StandardUncertainty / volume.Value, 0.01, 0.12);
    }

    [Fact]
    public void A_known_leak_is_read_back_or_the_wrong_volume_shows()
    {
        var without = LeakReadings.From(new HeldPressure { Seed = 4 }.Curve(), Test);
        var with = LeakReadings.From(new HeldPressure { Cm3PerMin = 5, Seed = 5 }.Curve(), Test);

        Assert.InRange(Math.Abs(VolumeCalibration.Check(without, with, new(new(5, 0.05)), Test).En), 0, VolumeCalibration.AgreesWithin);
        Assert.True(Math.Abs(VolumeCalibration.Check(without, with, new(new(5, 0.05)), Test with { VolumeM3 = 9e-4 }).En) > VolumeCalibration.AgreesWithin);
    }

    [Theory]
    [InlineData("time_s,gauge_pressure_pa\n0,20000\n1,19990\n1,19980\n", "leak.csv:4: time_s: found 1 twice, expected values that rise from row to row.")]
    [InlineData("time_s,gauge_pressure_pa\n0,20000\n1,20000\n", "leak.csv:2: gauge_pressure_pa: found 20000 in every row, expected a signal that moves. Is the sensor connected?")]
    [InlineData("time_s,part_c\n0,20\n1,21\n", "leak.csv:1: found no pressure, expected a column gauge_pressure_pa (above the atmosphere) or absolute_pressure_pa.")]
    [InlineData("time_s,gauge_pressure_pa\n0,-200000\n1,20000\n", "leak.csv:2: gauge_pressure_pa: found -98675 Pa absolute, expected a pressure above a perfect vacuum.")]
    public void What_is_no_curve_is_refused(string csv, string expected)
    {
        var e = Assert.Throws<Roadproof.Engineering.Quantities.InputException>(() => LeakCurveFile.Read("leak.csv", new MemoryStream(System.Text.Encoding.UTF8.GetBytes(csv)), 101_325));
        Assert.Equal(expected, e.Message);
    }

    static double Value(CheckVerdict verdict, string id) => verdict.Features.First(f => f.Id == id).Value!.Value;
}
