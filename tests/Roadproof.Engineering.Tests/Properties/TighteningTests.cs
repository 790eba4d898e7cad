using CsCheck;
using Roadproof.Engineering.Checks.Tightening;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Statistics;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>Tightenings from equations: what the equation put in comes out, as surely as it says, and what went wrong is named.</summary>
public sealed class TighteningTests
{
    static readonly TighteningGauge Gauge = new(0.05, 1);
    static readonly TighteningGauge NoGauge = new(0, 0);

    static readonly Gen<DrivenScrew> Screws =
        from prevailing in Gen.Double[0.3, 1.5]
        from rundown in Gen.Double[200, 1500]
        from slope in Gen.Double[0.05, 0.3]
        from final in Gen.Double[4, 8]
        from bendShare in Gen.Double[0.02, 0.4]
        select new DrivenScrew { PrevailingNm = prevailing, RundownDeg = rundown, BendDeg = bendShare * (final - prevailing) / slope, SlopeNmPerDeg = slope, FinalNm = final };

    [Fact]
    public void A_curve_without_noise_gives_its_equation_back() => Screws.Sample(screw =>
    {
        var f = TighteningFeatures.Of(screw.Curve(), NoGauge);
        Assert.Equal(screw.PrevailingNm, f.Prevailing.Value, 0.001);
        Assert.Equal(screw.SlopeNmPerDeg, f.Slope.Value, 0.01 * screw.SlopeNmPerDeg);
        Assert.Equal(screw.SnugDeg, f.SnugAngle.Value, 0.5);
        Assert.Equal(screw.SnugDeg, f.RundownAngle.Value, 0.5);
        Assert.InRange(f.FinalTorque.Value, screw.FinalNm - screw.SlopeNmPerDeg * screw.StepDeg, screw.FinalNm + 1e-9);
        Assert.Equal(screw.FinalDeg - screw.SnugDeg, f.FinalAngle.Value, 1.0);
        Assert.InRange(f.Energy.Value, 0.999 * screw.EnergyJ - screw.FinalNm * screw.StepDeg * Math.PI / 180, 1.001 * screw.EnergyJ); // the last sample lies up to a step before the end
        Assert.Equal(double.NaN, f.YieldTorque.Value);
        Assert.DoesNotContain(TighteningJudge.Judge(screw.Curve(), Window()).Features, x => x.Id.StartsWith("yield", StringComparison.Ordinal));
        Assert.Equal(RundownKind.Seen, f.Rundown);
    }, iter: 300);

    // Standardised errors of 400 noisy curves: a feature that promises too much has a spread far above 1, one that promises too little far below.
    [Fact]
    public void A_feature_is_as_unsure_as_it_says()
    {
        var screw = new DrivenScrew { NoiseNm = 0.03 };
        var features = Enumerable.Range(1, 400).Select(seed => TighteningFeatures.Of((screw with { Seed = (ulong)seed }).Curve(), NoGauge)).ToList();
        Honest(features.Select(f => (f.SnugAngle, screw.SnugDeg)));
        Honest(features.Select(f => (f.Slope, screw.SlopeNmPerDeg)));
        Honest(features.Select(f => (f.Prevailing, screw.PrevailingNm)));
    }

    static void Honest(IEnumerable<(Reading Reading, double True)> readings)
    {
        var z = readings.Select(r => (r.Reading.Value - r.True) / r.Reading.StandardUncertainty).ToList();
        var spread = Math.Sqrt(z.Average(x => x * x));
        Assert.True(spread is > 0.5 and < 1.6, $"rms of the standardised errors {spread:F2}, mean {z.Average():F2}");
    }

    [Fact]
    public void A_stop_between_two_steps_of_the_driver_changes_nothing()
    {
        var screw = new DrivenScrew();
        var (once, twice) = (TighteningFeatures.Of(screw.Curve(), Gauge), TighteningFeatures.Of((screw with { StopsAtNm = 3 }).Curve(), Gauge));
        Assert.Equal(once.FinalTorque.Value, twice.FinalTorque.Value, 1e-9);
        Assert.Equal(once.FinalAngle.Value, twice.FinalAngle.Value, 0.2);
        Assert.Equal(once.Slope.Value, twice.Slope.Value, 0.002);
        Assert.Equal(once.Energy.Value, twice.Energy.Value, 0.02);
    }

    [Fact]
    public void An_angle_is_counted_from_the_threshold_that_is_set() => Screws.Sample(screw =>
    {
        const double threshold = 2.5;
        var f = TighteningFeatures.Of(screw.Curve(), NoGauge, threshold);
        Assert.Equal((f.FinalTorque.Value - threshold) / screw.SlopeNmPerDeg, f.FinalAngle.Value, 0.02 + screw.BendDeg / 1000 + (screw.TorqueAt(screw.RundownDeg + screw.BendDeg) > threshold ? screw.BendDeg : 0));
    }, iter: 200);

    [Fact]
    public void A_screw_that_yields_says_where()
    {
        var screw = new DrivenScrew { YieldsAtNm = 4, FinalNm = 4.4, NoiseNm = 0.01 };
        var f = TighteningFeatures.Of(screw.Curve(), Gauge);
        Assert.Equal(4, f.YieldTorque.Value, 0.15);
        Assert.Equal((4 - screw.PrevailingNm) / screw.SlopeNmPerDeg, f.YieldAngle.Value, 2.0);
        AssertSign(screw, TighteningSign.Yielded, RunVerdict.Hold, Window() with { FinalTorque = new(4, 5, "test"), FinalAngle = new(30, 90, "test") });
    }

    [Fact]
    public void A_thread_that_lets_go_is_stripped_whatever_its_torque_was() =>
        AssertSign(new DrivenScrew { StripsAtNm = 5.2 }, TighteningSign.Stripped, RunVerdict.Fail);

    [Fact]
    public void A_screw_that_never_seats_floats() =>
        AssertSign(new DrivenScrew { RundownDeg = 1500, NoiseNm = 0.02, FinalNm = 0.801, SlopeNmPerDeg = 0.0001 }, TighteningSign.NeverSeated, RunVerdict.Fail);

    [Fact]
    public void A_screw_that_was_tight_is_found_and_one_that_a_first_pass_seated_is_not_blamed()
    {
        var screw = new DrivenScrew { PrevailingNm = 0, RundownDeg = 0, BendDeg = 1, SlopeNmPerDeg = 0.4 };
        AssertSign(screw, TighteningSign.TightAlready, RunVerdict.Fail);
        var second = TighteningJudge.Judge(screw.Curve(), Window() with { PrePassed = true, FinalAngle = null });
        Assert.Empty(second.Signs);
        Assert.Equal(RunVerdict.Pass, second.Verdict);
    }

    [Fact]
    public void A_curve_that_begins_in_its_rise_cannot_tell_an_angle_from_snug()
    {
        var whole = new DrivenScrew().Curve();
        var from = Array.FindIndex(whole.TorqueNm, t => t > 2);
        var v = TighteningJudge.Judge(new TighteningCurve("late", whole.AngleDeg[from..], whole.TorqueNm[from..]), Window());
        Assert.Equal(TighteningSign.NotRecordedFromStart, Assert.Single(v.Signs).Sign);
        Assert.Null(v.Features.Single(f => f.Id == TighteningJudge.FinalAngleId).Value);
        Assert.Equal(RunVerdict.Hold, v.Verdict);
    }

    // Nothing is named that is not there: 400 sound screws with 3 % of noise, none with a sign.
    [Fact]
    public void A_sound_screw_shows_no_sign() =>
        Assert.Empty(Enumerable.Range(1, 400).SelectMany(seed => TighteningJudge.Judge(new DrivenScrew { NoiseNm = 0.15, Seed = (ulong)seed }.Curve(), Window() with { FinalTorque = null }).Signs.Select(s => $"{seed}: {s.Says}")));

    [Fact]
    public void A_rise_of_three_samples_cannot_tell_and_is_not_called_floating()
    {
        var v = TighteningJudge.Judge(new DrivenScrew { StepDeg = 16 }.Curve(), Window() with { FinalTorque = new(4, 6, "test") });
        Assert.Equal(TighteningSign.TooFewSamples, Assert.Single(v.Signs).Sign);
        Assert.Equal(RunVerdict.Hold, v.Verdict);
    }

    // Whatever a driver writes is judged or refused, never a crash, and what passes has both values inside.
    [Fact]
    public void Any_curve_is_judged() => Gen.Select(Gen.Double[-5, 20].Array[20, 200], Gen.Double[-1, 8].Array[200]).Sample((turns, torques) =>
    {
        var angle = new double[turns.Length];
        for (var i = 1; i < angle.Length; i++) angle[i] = angle[i - 1] + turns[i];
        var v = TighteningJudge.Judge(new TighteningCurve("any", angle, torques[..angle.Length]), Window() with { DiameterM = 0.005, RundownAngle = new(10, null, "test") });
        if (v.Verdict == RunVerdict.Pass) Assert.All(v.Features.Take(3), f => Assert.Equal(Verdict.Pass, f.Verdict));
        Assert.All(v.Features, f => Assert.True(f.Value is null ? f.StandardUncertainty is null : double.IsFinite(f.Value.Value) && f.StandardUncertainty >= 0, $"{f}"));
    }, iter: 5000);

    [Fact]
    public void Both_windows_must_hold()
    {
        AssertSign(new DrivenScrew { SlopeNmPerDeg = 0.3 }, TighteningSign.HighFriction, RunVerdict.Fail);
        AssertSign(new DrivenScrew { SlopeNmPerDeg = 0.05 }, TighteningSign.TurnedFurther, RunVerdict.Fail);
        Assert.Equal(RunVerdict.Pass, TighteningJudge.Judge(new DrivenScrew().Curve(), Window()).Verdict);
        Assert.Equal(RunVerdict.Fail, TighteningJudge.Judge(new DrivenScrew { FinalNm = 4.5 }.Curve(), Window()).Verdict);
    }

    [Theory]
    [InlineData(HazardClass.A, RunVerdict.Hold)]
    [InlineData(HazardClass.B, RunVerdict.Hold)]
    [InlineData(HazardClass.C, RunVerdict.Pass)]
    public void The_class_decides_whether_the_guard_band_is_kept(HazardClass hazard, RunVerdict expected)
    {
        // 5.00 N·m lies 0.05 N·m inside the edge of 4.95: one standard uncertainty.
        var v = TighteningJudge.Judge(new DrivenScrew { FinalNm = 5.0 }.Curve(), Window() with { Class = hazard });
        Assert.Equal(expected, v.Verdict);
        if (hazard == HazardClass.B) Assert.Contains("another calibrated gauge", v.Reading, StringComparison.Ordinal);
    }

    [Fact]
    public void Class_A_is_not_passed_on_one_value()
    {
        var v = TighteningJudge.Judge(new DrivenScrew().Curve(), Window() with { Class = HazardClass.A, FinalAngle = null });
        Assert.Equal(RunVerdict.Hold, v.Verdict);
        Assert.Contains("two independent values", v.Reading, StringComparison.Ordinal);
    }

    [Fact]
    public void A_run_down_that_is_too_hard_too_easy_too_short_or_too_long_is_named()
    {
        var window = Window() with { Prevailing = new(0.5, 1.2, "test"), RundownAngle = new(880, 940, "test"), Slope = new(0.07, 0.14, "test") };
        Assert.Equal(RunVerdict.Pass, TighteningJudge.Judge(new DrivenScrew().Curve(), window).Verdict);
        AssertSign(new DrivenScrew { PrevailingNm = 1.5 }, TighteningSign.ThreadTight, RunVerdict.Fail, window);
        AssertSign(new DrivenScrew { PrevailingNm = 0.2 }, TighteningSign.ThreadLoose, RunVerdict.Fail, window);
        AssertSign(new DrivenScrew { RundownDeg = 700 }, TighteningSign.SeatedEarly, RunVerdict.Fail, window);
        AssertSign(new DrivenScrew { RundownDeg = 1100 }, TighteningSign.SeatedLate, RunVerdict.Fail, window);
        AssertSign(new DrivenScrew { SlopeNmPerDeg = 0.05 }, TighteningSign.JointSoft, RunVerdict.Fail, window);
        AssertSign(new DrivenScrew { SlopeNmPerDeg = 0.25 }, TighteningSign.JointStiff, RunVerdict.Fail, window);
    }

    [Fact]
    public void A_pattern_names_what_is_missing_twice_strange_or_out_of_place()
    {
        var pattern = new TighteningPattern([1, 3, 2, 4], Recheck: true);
        Assert.Empty(pattern.Deviations([1, 3, 2, 4, 1]));
        Assert.Equal(["Place 2: screw 2, expected screw 3.", "Place 3: screw 3, expected screw 2."], pattern.Deviations([1, 2, 3, 4, 1]));
        Assert.Contains("Screw 4 is missing.", pattern.Deviations([1, 3, 2, 1]));
        Assert.Contains("Screw 3 was tightened twice, expected once.", pattern.Deviations([1, 3, 2, 3, 4, 1]));
        Assert.Contains("Screw 1 was tightened once, expected twice.", pattern.Deviations([1, 3, 2, 4]));
        Assert.Contains("Screw 9 is not of this group.", pattern.Deviations([1, 3, 2, 4, 9]));
    }

    // Wind-up at 0.8 N·m/° until friction lets go at the residual torque, then on along the joint's own line.
    [Theory]
    [InlineData(5.3)]
    [InlineData(4.2)]
    public void The_first_screw_tells_what_it_has_lost(double residual)
    {
        var first = TighteningFeatures.Of(new DrivenScrew().Curve(), Gauge);
        var angle = Enumerable.Range(0, 120).Select(i => i * 0.1).ToArray();
        var torque = Array.ConvertAll(angle, a => 0.8 * a < residual ? 0.8 * a : residual + 0.1 * (a - residual / 0.8));
        var lost = Relaxation.Of(first, new("check", angle, torque));
        Assert.Equal(residual, lost.Residual.Value, 0.02);
        Assert.Equal((5.5 - residual) / (5.5 - 0.8), lost.Loss.Value, 0.01);
    }

    [Fact]
    public void What_the_first_screw_has_lost_is_as_unsure_as_it_says()
    {
        var first = TighteningFeatures.Of(new DrivenScrew().Curve(), NoGauge);
        var angle = Enumerable.Range(0, 120).Select(i => i * 0.1).ToArray();
        Honest(Enumerable.Range(1, 400).Select(seed =>
        {
            var noise = new SeededNoise((ulong)seed, "re-check");
            var lost = Relaxation.Of(first, new("check", angle, Array.ConvertAll(angle, a => (a < 6 ? 0.8 * a : 4.8 + 0.1 * (a - 6)) + 0.03 * noise.Normal())));
            return (lost.Residual, 4.8);
        }));
    }

    // Another unit of torque and another zero of the counter are the same screw.
    [Fact]
    public void Torques_scale_and_angles_shift() => Gen.Select(Screws, Gen.Int[-6, 6], Gen.Int[-1000, 1000]).Sample((screw, doubled, shift) =>
    {
        var scale = Math.Pow(2, doubled); // exact, so that no sample changes sides by rounding
        var curve = (screw with { NoiseNm = 0.01 }).Curve();
        var (f, other) = (TighteningFeatures.Of(curve, NoGauge), TighteningFeatures.Of(curve with { AngleDeg = Array.ConvertAll(curve.AngleDeg, a => a + shift), TorqueNm = Array.ConvertAll(curve.TorqueNm, t => t * scale) }, NoGauge));
        Assert.Equal(f.Slope.Value * scale, other.Slope.Value, 1e-6 * other.Slope.Value);
        Assert.Equal(f.Prevailing.Value * scale, other.Prevailing.Value, 1e-6 * scale);
        Assert.Equal(f.SnugAngle.Value + shift, other.SnugAngle.Value, 1e-4);
        Assert.Equal(f.FinalAngle.Value, other.FinalAngle.Value, 1e-4);
        Assert.Equal(f.Energy.Value * scale, other.Energy.Value, 1e-6 * other.Energy.Value);
    }, iter: 200);

    [Fact]
    public void A_check_that_does_not_move_the_screw_cannot_tell()
    {
        var angle = Enumerable.Range(0, 60).Select(i => i * 0.1).ToArray();
        Assert.Equal(double.NaN, Relaxation.Of(TighteningFeatures.Of(new DrivenScrew().Curve(), Gauge), new("check", angle, Array.ConvertAll(angle, a => 0.8 * a))).Loss.Value);
    }

    [Fact]
    public void A_hole_that_wears_shows_and_one_that_does_not_does_not()
    {
        var uses = Enumerable.Range(0, 20).Select(i => (double)i).ToList();
        var worn = HoleWear.Of(uses, [.. uses.Select(u => Features(0.8 - 0.02 * u, (ulong)u))]);
        var trend = worn.Single(t => t.Id == TighteningJudge.PrevailingId);
        Assert.True(trend.Moves);
        Assert.InRange(-0.02, trend.Interval!.Lower, trend.Interval.Upper);

        // One run in twenty may show a trend that is not there; ten of a hundred would be too many.
        var false95 = Enumerable.Range(1, 100).Count(k => HoleWear.Of(uses, [.. uses.Select(u => Features(0.8, (ulong)(1000 * k + u)))]).Single(t => t.Id == TighteningJudge.PrevailingId).Moves);
        Assert.InRange(false95, 0, 10);

        static TighteningFeatures Features(double prevailing, ulong seed) => TighteningFeatures.Of(new DrivenScrew { PrevailingNm = prevailing, RundownDeg = 250, NoiseNm = 0.02, Seed = seed }.Curve(), Gauge);
    }

    static TighteningWindow Window() => new()
    {
        Class = HazardClass.B, Gauge = Gauge, FinalTorque = new(4.95, 6.05, "test"), FinalAngle = new(30, 70, "test"),
    };

    static void AssertSign(DrivenScrew screw, TighteningSign sign, RunVerdict verdict, TighteningWindow? window = null)
    {
        var v = TighteningJudge.Judge(screw.Curve(), window ?? Window());
        Assert.Contains(sign, v.Signs.Select(s => s.Sign));
        Assert.Equal(verdict, v.Verdict);
    }
}
