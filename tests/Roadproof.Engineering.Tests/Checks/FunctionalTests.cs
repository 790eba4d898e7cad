using System.Text;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Checks.Functional;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Checks;

/// <summary>The functional check before the cover: readings against the powers that a unit loses, expectation limits against units that scatter, and every fault by its name.</summary>
public sealed class FunctionalTests
{
    [Fact]
    public void Reads_what_the_unit_was_given()
    {
        for (var seed = 1ul; seed <= 30; seed++)
        {
            var unit = ServoTurned.Sound(seed) with { PartC = 17 + 0.1 * seed };
            var r = FunctionalReadings.From(unit.Capture(), ServoTurned.Test);
            Near(unit.Seal + unit.MotorClutch, r.Forward);
            Near(unit.Seal + unit.CrankClutch, r.Backward);
            Near(unit.MotorClutch + unit.CrankClutch, r.Free);
            Near(unit.DrivenNm, r.Driven);
            Near(unit.TakeUpDeg, r.TakeUp);
            Near(unit.SensorZeroNm, r.SensorZero);
            Assert.True(r.Lock.AtLeast && Math.Abs(r.Lock.Value - 139.5) < 0.6, $"{r.Lock}");
            Assert.True(r.PhaseBalance.Value < 0.5, $"{r.PhaseBalance}");
            Assert.Equal(0, r.Missed);
        }

        static void Near(double given, Reading read) => Assert.True(Math.Abs(read.Value - given) <= 4 * read.StandardUncertainty && read.StandardUncertainty > 0, $"{read} of {given}");
    }

    // By hand, from the drawing alone: rotor at 60 °/s · 36.179 = 37.9 rad/s, f = 42.2 Hz; iron (0.012 + 3e-5·42.2)·42.2/37.9 = 14.8 mN·m, motor 8 + 0.4 mN·m, gears 12 + 0.6 mN·m: 35.7 mN·m·36.179/(0.965·0.975) + 0.12 = 1.49 N·m.
    [Fact]
    public void The_drag_of_gears_and_rotor_is_the_drawings()
    {
        var r = FunctionalReadings.From(new ServoTurned { NoiseNm = 0 }.Capture(), ServoTurned.Test);
        Assert.Equal(1.49, r.Driven.Value, 0.02);
        Assert.Equal(0.20, r.Forward.Value, 0.002);
        Assert.Equal(0.17, r.Backward.Value, 0.002);
    }

    [Fact]
    public void Sound_units_pass_but_for_fewer_than_the_share_that_was_asked()
    {
        var stopped = Enumerable.Range(1, 100).Count(seed => FunctionalVerdict.Judge(ServoTurned.Sound((ulong)seed).Capture(), ServoTurned.Test).Verdict != RunVerdict.Pass);
        Assert.InRange(stopped, 0, 3);
    }

    // Where the drawing is trusted wholly nothing widens the limits but parts and reading noise: of 1,000 units 10 should be stopped, give or take three times the root of that.
    [Fact]
    public void The_limits_stop_the_share_of_sound_units_that_was_asked()
    {
        var (test, noise, stopped) = (ServoTurned.Test with { DragTrustShare = 0 }, new SeededNoise(7, "readings"), 0);
        for (var seed = 1ul; seed <= 1000; seed++)
        {
            var unit = ServoTurned.Sound(seed);
            Reading Read(double value, double u) => new(value + u * noise.Normal(), u);
            var r = new FunctionalReadings(Read(unit.Seal + unit.MotorClutch, 0.004), Read(unit.Seal + unit.CrankClutch, 0.004), Read(unit.DrivenNm, 0.01), Read(unit.MotorClutch + unit.CrankClutch, 0.004),
                Read(unit.TakeUpDeg, 0.1), new(139, 0.7) { AtLeast = true }, Read(unit.SensorZeroNm, 0.03), new(0.3, 0.2), 0, unit.TurnDegPerS * Math.PI / 180);
            if (FunctionalVerdict.Judge(r, test).Verdict != RunVerdict.Pass) stopped++;
        }

        Assert.InRange(stopped, 1, 20);
    }

    public static TheoryData<string, string> Faults { get; } = new()
    {
        { "dry bearing", "drag-driven" },
        { "rub", "drag-driven" },
        { "clutch drag", "clutch-free" },
        { "pinched seal", "drag-backward" },
        { "worn gears", "backlash" },
        { "sensor zero", "sensor-zero" },
    };

    [Theory]
    [MemberData(nameof(Faults))]
    public void A_fault_is_unusual_where_it_acts(string fault, string where)
    {
        for (var seed = 1ul; seed <= 8; seed++)
        {
            var sound = ServoTurned.Sound(seed);
            var unit = fault switch
            {
                "dry bearing" => sound with { RotorDragNm = sound.RotorDragNm + 0.012 },
                "rub" => sound with { RotorDragNm = sound.RotorDragNm + 0.03 },
                "clutch drag" => sound with { MotorClutchFactor = sound.MotorClutchFactor + 1.5 },
                "pinched seal" => sound with { SealFactor = sound.SealFactor + 0.6 },
                "worn gears" => sound with { TakeUpDeg = sound.TakeUpDeg + 2 },
                _ => sound with { SensorZeroNm = sound.SensorZeroNm + 1.5 },
            };
            var v = FunctionalVerdict.Judge(unit.Capture(), ServoTurned.Test);
            Assert.NotEqual(RunVerdict.Pass, v.Verdict);
            if (fault is "dry bearing") continue; // found alone or together with the others
            Assert.Contains(v.Expectations, e => e.Id == where && e.Verdict == Verdict.Unusual);
        }
    }

    // Drags that are each usual do not fit together: a seal that drags less and clutches that drag more leave no part that could be so.
    [Fact]
    public void Readings_that_are_each_usual_are_judged_together()
    {
        var r = FunctionalReadings.From(new ServoTurned { NoiseNm = 0.001 }.Capture(), ServoTurned.Test);
        var odd = r with { Forward = r.Forward with { Value = r.Forward.Value + 0.030 }, Backward = r.Backward with { Value = r.Backward.Value - 0.022 }, Free = r.Free with { Value = r.Free.Value - 0.015 } };
        var v = FunctionalVerdict.Judge(odd, ServoTurned.Test);
        Assert.All(v.Expectations, e => Assert.Equal(Verdict.Usual, e.Verdict));
        Assert.True(v.Distance > v.DistanceLimit, $"{v.Distance} of {v.DistanceLimit}");
        Assert.Equal(RunVerdict.Hold, v.Verdict);
        Assert.Contains("together they are not", string.Join(' ', v.Reading), StringComparison.Ordinal);
    }

    [Fact]
    public void A_clutch_that_slips_fails_and_a_ramp_that_ended_early_cannot_tell()
    {
        var slips = FunctionalVerdict.Judge(new ServoTurned { SlipsAtNm = 110 }.Capture(), ServoTurned.Test);
        Assert.Equal((RunVerdict.Fail, Verdict.Fail), (slips.Verdict, Feature(slips, FunctionalVerdict.Lock).Verdict));
        Assert.Equal(110, Feature(slips, FunctionalVerdict.Lock).Value!.Value, 1.0);
        Assert.Contains("clutch slips", string.Join(' ', slips.Reading), StringComparison.Ordinal);
        Assert.Equal(Verdict.Pass, Feature(FunctionalVerdict.Judge(new ServoTurned { SlipsAtNm = 135 }.Capture(), ServoTurned.Test), FunctionalVerdict.Lock).Verdict);

        var early = FunctionalVerdict.Judge(new ServoTurned { RampToNm = 100 }.Capture(), ServoTurned.Test);
        Assert.Equal((RunVerdict.Hold, Verdict.Undecided), (early.Verdict, Feature(early, FunctionalVerdict.Lock).Verdict));
        Assert.Contains("the ramp ended below the limit", string.Join(' ', early.Reading), StringComparison.Ordinal);
    }

    [Fact]
    public void A_loose_phase_and_lost_messages_fail()
    {
        var phase = FunctionalVerdict.Judge(new ServoTurned { PhaseULess = 0.09 }.Capture(), ServoTurned.Test);
        Assert.Equal(Verdict.Fail, Feature(phase, FunctionalVerdict.PhaseBalance).Verdict);
        Assert.Equal(6.2, Feature(phase, FunctionalVerdict.PhaseBalance).Value!.Value, 0.3); // 0.09 · 2/3 of a mean smaller by 3 %
        Assert.Equal(Verdict.Fail, Feature(FunctionalVerdict.Judge(new ServoTurned { Missed = 3 }.Capture(), ServoTurned.Test), FunctionalVerdict.Missed).Verdict);
    }

    [Fact]
    public void A_product_that_does_not_say_how_its_crank_scatters_is_judged_by_its_requirements()
    {
        var silent = ServoTurned.Test with { Tolerances = DemoPlan.Plan.Tolerances };
        var v = FunctionalVerdict.Judge(new ServoTurned().Capture(), silent);
        Assert.Equal(RunVerdict.Pass, v.Verdict);
        Assert.Equal(["sensor-zero"], v.Expectations.Select(e => e.Id));
    }

    [Theory]
    [InlineData("torque_nm", "torque [N·cm]", "check.csv:1: torque [N·cm]: found unit [N·cm], expected torque in N·m. Convert the column before it is sent; units are not guessed.")]
    [InlineData("phase_current_w_a", "other", "check.csv:1: found phase currents of some phases only, expected all three, or none.")]
    [InlineData("section", "part", "check.csv:1: found no column section among")]
    public void What_is_no_such_capture_is_refused_with_its_place(string from, string to, string sentence) =>
        Assert.StartsWith(sentence, Errors(new ServoTurned().Csv().Replace(from, to, StringComparison.Ordinal))[0].ToString(), StringComparison.Ordinal);

    [Fact]
    public void A_capture_that_ends_early_names_the_sections_that_are_missing()
    {
        var rows = new ServoTurned().Csv().Split('\n');
        var errors = Errors(string.Join('\n', rows.TakeWhile(r => !r.Contains(",5,", StringComparison.Ordinal) || r.Split(',')[1] != "5")));
        Assert.Equal(["no section 5 (Free)", "no section 6 (Still)"], errors.Select(e => e.Found));
        var twice = Errors(string.Join('\n', rows.Take(500).Concat(rows.Skip(2000)).Append("99,1,0,0,0,0,0,0,0,20")));
        Assert.Contains(twice, e => e.Found == "section 1 a second time");
    }

    static IReadOnlyList<InputError> Errors(string csv) => Assert.Throws<InputException>(() => FunctionalCapture.Read("check.csv", new MemoryStream(Encoding.UTF8.GetBytes(csv)))).Errors;

    static CheckFeature Feature(FunctionalVerdict v, string id) => v.Features.Single(f => f.Id == id);
}
