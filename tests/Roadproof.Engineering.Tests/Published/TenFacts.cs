using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Statistics;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>
/// Ten facts of the trade that a newcomer gets wrong. Sources: figures printed by another implementation of the same invented units (read, run again), for fact 10 TBIS 15194:2019,
/// 4.2.13.1 b and c (read) with arithmetic. Which faults matter is common practice, no source.
/// </summary>
public sealed class TenFacts
{
    [Fact]
    public void F1_250_W_is_a_continuous_rating_not_a_ceiling()
    {
        var peak = DrivePointTests.Hot(MidDrive.Unit, 85, 70, Deviation.None);
        Assert.True(peak.Reachable, peak.Reason);
        Assert.Equal(623, peak.ShaftPowerW, 0.5);
        Assert.True(peak.ShaftPowerW > 2.4 * MidDrive.Unit.Rating.ContinuousOutputW);
    }

    [Fact]
    public void F2_a_weak_magnet_hardly_moves_power_but_current_and_flux()
    {
        var (sound, weak) = (Rated(Deviation.None), Rated(new() { FluxFactor = 0.97 }));
        Assert.Equal(0.3, Percent(weak.BusPowerW, sound.BusPowerW), 0.05);
        Assert.Equal(3.0, Percent(weak.PhaseCurrentPeakA, sound.PhaseCurrentPeakA), 0.05);
    }

    // One such unit mostly passes: 3 % is within what sound rotors scatter. The lot of them does not.
    [Fact]
    public void F2_weak_magnets_are_found_as_a_lot_within_ten_units()
    {
        Assert.InRange(DemoJudge.Judge.PredictedStopRate(new() { FluxFactor = 0.97 }).Rate, 0.05, 0.5);

        var flux = DemoJudge.Judge.Limits.First(l => l.Id == Characteristics.Flux);
        var shift = -0.03 * flux.Expected / flux.StandardDeviation;
        var draws = new SeededNoise(7, "lot");
        const int lots = 2000;
        var found = 0;
        for (var lot = 0; lot < lots; lot++)
        {
            var rigs = Enumerable.Range(0, 3).Select(_ => Math.Sqrt(flux.RigShare) * draws.Normal()).ToArray();
            var sum = new double[3];
            for (var n = 0; n < 10; n++)
            {
                sum[n % 3] += LotShift.Counted(shift + rigs[n % 3] + Math.Sqrt(1 - flux.RigShare) * draws.Normal());
                if (n < 2) continue;
                if (!LotShift.Test([.. Enumerable.Range(0, 3).Select(r => new LotReadings($"rig{r}", (n - r + 3) / 3, sum[r]))], flux.RigShare, flux.StandardDeviation).Different) continue;
                found++;
                break;
            }
        }

        Assert.True(found >= 0.95 * lots, $"{found} of {lots}");
    }

    [Fact]
    public void F3_friction_is_found_without_load()
    {
        Deviation dry = new() { AddedMotorDragNm = 0.01 };
        Assert.Equal(17, Percent(DrivePointTests.NoLoad(MidDrive.Unit, 75, dry).BusPowerW, DrivePointTests.NoLoad(MidDrive.Unit, 75, Deviation.None).BusPowerW), 0.5);
        Assert.Equal(1, Percent(Rated(dry).BusPowerW, Rated(Deviation.None).BusPowerW), 0.1);
    }

    [Fact]
    public void F4_ten_kelvin_move_resistance_and_back_emf()
    {
        var motor = MidDrive.Unit.Motor;
        Assert.Equal(3.9, Percent(motor.PhaseResistanceOhm(30), motor.PhaseResistanceOhm(20)), 0.05);
        Assert.Equal(-1.1, Percent(motor.FluxLinkageWb(30), motor.FluxLinkageWb(20)), 0.01);
    }

    // Thermal resistance × 2.5. About +0.8 K over the cycle at the board; sound readings scatter too far for that.
    [Fact]
    public void F5_a_missing_pad_is_not_found_by_the_load_test()
    {
        var unit = MidDrive.Unit;
        var dry = DemoPlan.Plan with { Unit = unit with { Thermal = unit.Thermal with { ControllerHousingKPerW = 2.5 * unit.Thermal.ControllerHousingKPerW } } };
        var moreK = ExpectedReadings.At(dry, Deviation.None)[Characteristics.ControllerRise] - ExpectedReadings.At(DemoPlan.Plan, Deviation.None)[Characteristics.ControllerRise];
        Assert.Equal(0.8, moreK, 0.1);
        Assert.True(moreK < 2 * DemoJudge.Judge.Limits.First(l => l.Id == Characteristics.ControllerRise).StandardDeviation);
    }

    [Fact]
    public void F6_a_tenth_of_a_kelvin_looks_like_a_leak()
    {
        var seal = MidDrive.Unit.Seal;
        var test = new LeakTest { VolumeM3 = seal.FreeVolumeM3, TestPressurePa = seal.TestPressurePa, Limit = new(null, seal.LeakLimitM3PerS * LeakRate.Cm3PerMinPerM3PerS, "seal") };
        double[] time = [.. Enumerable.Range(0, 301).Select(i => 0.1 * i)];
        var tight = new LeakCurve(time, [.. time.Select(t => (LeakRate.StandardPressurePa + seal.TestPressurePa) * (1 - 0.1 / 293 * t / 30))], null, null);
        var read = LeakReadings.From(tight, test);

        Assert.Equal(0.5, read.InCm3PerMin(read.Decay, test).Value, 0.05);
        Assert.Equal(test.Limit.Upper!.Value, read.InCm3PerMin(new(14.1, 0), test).Value, 0.05);
    }

    // The printed figures are counts of 400 000 draws (0.379 for the mean: one in a thousand off; 0.3808 by a midpoint sum of 120 000 steps in Python). 0.2 is a fifth of the variance drawn anew.
    [Theory]
    [InlineData(0.5, RetestScheme.Single, 1, 0.309), InlineData(0.5, RetestScheme.Free, 1, 0.522), InlineData(0.5, RetestScheme.TwoOfTwo, 1, 0.374)]
    [InlineData(0.5, RetestScheme.Mean, 1, 0.3808), InlineData(1, RetestScheme.Free, 1, 0.292), InlineData(1, RetestScheme.TwoOfTwo, 1, 0.180), InlineData(1, RetestScheme.Mean, 1, 0.185)]
    [InlineData(0.5, RetestScheme.Free, 0.2, 0.40), InlineData(0.5, RetestScheme.TwoOfTwo, 0.2, 0.35), InlineData(0.5, RetestScheme.Free, 0, 0.309)]
    public void F7_a_free_retest_lets_bad_units_through(double distanceU, RetestScheme scheme, double redrawnShare, double passes) =>
        Assert.Equal(passes, RetestRisk.Of(distanceU, scheme, redrawnShare).PassIfBad, redrawnShare is 0.2 ? 0.005 : 0.0011);

    [Theory]
    [InlineData(RetestScheme.Single, 0.841), InlineData(RetestScheme.Free, 0.975), InlineData(RetestScheme.TwoOfTwo, 0.954), InlineData(RetestScheme.Mean, 0.948)]
    public void F7_a_good_unit_still_passes(RetestScheme scheme, double passes) =>
        Assert.Equal(passes, RetestRisk.Of(1, scheme).PassIfGood, 0.0011);

    [Theory]
    [InlineData(30, 1.03), InlineData(50, 1.10), InlineData(100, 1.17), InlineData(300, 1.24)]
    public void F8_a_cpk_of_1_33_proves_less(int units, double proven) =>
        Assert.Equal(proven, CapabilityBound.Lower(1.33, units), 0.005);

    [Theory]
    [InlineData(3, 122), InlineData(6.6, 51.3), InlineData(8.7, 39.4)]
    public void F9_no_single_test_is_right_for_all_parts(double slope, double hours)
    {
        double[] torquesNm = [5, 15, 25, 35, 45, 55, 65, 75, 85];
        double[] mountain = [0.18, 0.20, 0.18, 0.14, 0.11, 0.08, 0.055, 0.035, 0.02];
        var line = new FatigueLine { PivotCycles = 1e6, Slope = slope, SlopeLower = slope, SlopeUpper = slope, Strength = [new() { TemperatureC = 20, Value = 100 }], StrengthUncertaintyShare = 0, Origin = "test" };
        Assert.Equal(hours, 1000 * torquesNm.Zip(mountain).Sum(c => c.Second * line.CyclesTo(85) / line.CyclesTo(c.First)), slope == 3 ? 0.5 : 0.05);
    }

    [Fact]
    public void F10_assistance_ends_within_metres_so_within_tenths_of_a_second()
    {
        Assert.Equal(0.288, StopDistance.TimeS(StopDistance.AfterPedallingM, 25 / 3.6), 9);
        Assert.Equal(0.72, StopDistance.TimeS(StopDistance.WithBrakeSwitchesM, 25 / 3.6), 9);
    }

    static OperatingPoint Rated(Deviation deviation) => DrivePointTests.Hot(MidDrive.Unit, 31.8, 75, deviation);

    static double Percent(double now, double before) => 100 * (now / before - 1);
}
