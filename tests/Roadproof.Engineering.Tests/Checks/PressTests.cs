using System.Text;
using CsCheck;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Tests.Checks;

/// <summary>What a press-in says, from curves whose places and forces are known.</summary>
public sealed class PressTests
{
    static PressTest Test => PressedIn.Test;

    [Fact]
    public void What_was_put_in_comes_out_within_its_uncertainty() =>
        Gen.Select(Gen.Double[1, 3], Gen.Double[9.95, 10.05], Gen.Double[60, 200], Gen.Double[1, 15], Gen.ULong[1, 1_000_000]).Sample((touch, seat, slope, noise, seed) =>
        {
            var r = PressReadings.From(new PressedIn { TouchMm = touch, SeatMm = seat, EndMm = seat + 0.12, NPerMm = slope, NoiseN = noise, Seed = seed }.Curve(), Test);

            Assert.True(r.Seated);
            Close(seat, 1e3 * r.Seat.Value, 1e3 * r.Seat.StandardUncertainty);
            Close(slope, r.Slope.Value / 1e3, r.Slope.StandardUncertainty / 1e3);
            Close(150 + slope * (seat - touch), r.PressForce.Value, r.PressForce.StandardUncertainty);
            Assert.InRange(1e3 * r.Touch.Value, touch - 0.05, touch + 0.05);
        }, iter: 300);

    [Fact]
    public void The_uncertainty_of_the_seat_is_the_scatter_of_repeated_strokes()
    {
        var test = Test with { DistanceUncertaintyM = 0 };
        var runs = Enumerable.Range(1, 300).Select(s => PressReadings.From(new PressedIn { NoiseN = 15, Seed = (ulong)s }.Curve(), test).Seat).ToList();
        var mean = runs.Average(r => r.Value);
        var scatter = Math.Sqrt(runs.Sum(r => (r.Value - mean) * (r.Value - mean)) / (runs.Count - 1));
        Assert.InRange(Math.Sqrt(runs.Average(r => r.StandardUncertainty * r.StandardUncertainty)) / scatter, 0.7, 1.4);
    }

    [Fact]
    public void A_sound_press_in_passes_and_says_so()
    {
        var v = PressVerdict.Judge(new PressedIn().Curve(), Test);
        Assert.Equal(RunVerdict.Pass, v.Verdict);
        Assert.StartsWith("Pressed in with", Assert.Single(v.Reading), StringComparison.Ordinal);
    }

    [Fact]
    public void A_skew_part_rises_early() => Fails(new PressedIn { SeatMm = 8, EndMm = 8.1 }, "rises too early");

    [Fact]
    public void A_missing_part_below_makes_the_seat_late() => Fails(new PressedIn { SeatMm = 11, EndMm = 11.1 }, "seat comes late");

    [Fact]
    public void A_stroke_past_the_seat_without_a_block_fails() => Fails(new PressedIn { SeatMm = 20, EndMm = 12 }, "No block up to 12.00 mm");

    [Fact]
    public void A_stroke_that_met_nothing_fails() => Fails(new PressedIn { TouchMm = 30, EndMm = 12 }, "Nothing was touched");

    [Fact]
    public void A_loose_pair_fails() => Fails(new PressedIn { NPerMm = 30 }, "Low press force");

    [Fact]
    public void A_tight_pair_fails() => Fails(new PressedIn { NPerMm = 180 }, "High press force");

    [Fact]
    public void An_over_pressed_bearing_fails() => Fails(new PressedIn { EndMm = 10.3 }, "brinelled");

    [Fact]
    public void A_burr_fails_at_the_entry() => Fails(new PressedIn { EntryN = 500 }, "High entry force");

    [Fact]
    public void Slips_are_told_and_noise_is_not()
    {
        Assert.Contains(PressVerdict.Judge(new PressedIn { SlipN = 120 }.Curve(), Test).Reading, s => s.StartsWith("Stick-slip", StringComparison.Ordinal));
        Assert.DoesNotContain(PressVerdict.Judge(new PressedIn { NoiseN = 25 }.Curve(), Test).Reading, s => s.StartsWith("Stick-slip", StringComparison.Ordinal));
    }

    [Fact]
    public void A_stroke_that_ends_before_the_seat_cannot_tell()
    {
        var v = PressVerdict.Judge(new PressedIn { EndMm = 9.5 }.Curve(), Test with { Limits = new Dictionary<string, FeatureWindow> { [PressVerdict.Seat] = new(9.9, 10.1, "test") } });
        Assert.Equal(RunVerdict.Hold, v.Verdict);
        Assert.Null(v.Features.First(f => f.Id == PressVerdict.Seat).Value);
    }

    // The bore narrows at 10 mm: twice and a half as steep is no seat.
    [Fact]
    public void A_bend_is_no_seat() => Assert.False(PressReadings.From(new PressedIn { SeatNPerMm = 300, EndMm = 14 }.Curve(), Test).Seated);

    [Fact]
    public void The_way_back_does_not_count()
    {
        var forth = new PressedIn().Curve();
        var there = new PressCurve([.. forth.DistanceM, .. forth.DistanceM.Reverse().Skip(1)], [.. forth.ForceN, .. forth.ForceN.Skip(1).Select(_ => -40.0)]);
        Assert.Equal(PressReadings.From(forth, Test), PressReadings.From(there, Test));
    }

    [Fact]
    public void A_record_that_begins_in_touch_has_a_seat_and_no_touch()
    {
        var r = PressReadings.From(new PressedIn { TouchMm = -0.01, EntryN = 600 }.Curve(), Test);
        Assert.True(r.Seated);
        Assert.Equal(double.NaN, r.Touch.Value);
    }

    [Theory]
    [InlineData(300.0, null, RunVerdict.Pass)]
    [InlineData(700.0, null, RunVerdict.Fail)]
    [InlineData(null, 1000.0, RunVerdict.Pass)]
    [InlineData(null, 700.0, RunVerdict.Fail)]
    public void A_band_is_kept_or_not(double? lower, double? upper, RunVerdict expected)
    {
        // At 5 mm the force is 510 N, at 7 mm 750 N.
        var test = Test with { Limits = new Dictionary<string, FeatureWindow>(), Windows = [new("5..7", 5e-3, 7e-3, lower, upper)] };
        Assert.Equal(expected, PressVerdict.Judge(new PressedIn().Curve(), test).Verdict);
    }

    [Fact]
    public void A_band_that_the_stroke_never_reached_cannot_tell() =>
        Assert.Equal(RunVerdict.Hold, PressVerdict.Judge(new PressedIn().Curve(), Test with { Windows = [new("20..21", 20e-3, 21e-3, 100, null)] }).Verdict);

    [Theory]
    [InlineData("distance_mm,force_n\n0,0\n1,5\n2,9\n", "press.csv:4: found 3 rows up to the end of the stroke, expected at least 20. Was the file cut short?")]
    [InlineData("distance_mm,force_n\n0,0\n5,5\n1,9\n9,20\n", "press.csv:4: distance_mm: found 1 mm after 5 mm, expected one stroke, forth and then back. Send each stroke as a file of its own.")]
    [InlineData("distance_mm,force_n\n0,7\n5,7\n", "press.csv:2: force_n: found 7 in every row, expected a signal that moves. Is the sensor connected?")]
    [InlineData("distance_mm,force_n\n0,0\n1,NaN\n", "press.csv:3: force_n: found 'NaN', expected a number such as 1.27.")]
    public void What_is_no_stroke_is_refused(string csv, string expected)
    {
        var e = Assert.Throws<InputException>(() => PressCurveFile.Read("press.csv", new MemoryStream(Encoding.UTF8.GetBytes(csv))));
        Assert.Equal(expected, e.Message);
    }

    static void Fails(PressedIn pressed, string sign)
    {
        var v = PressVerdict.Judge(pressed.Curve(), Test);
        Assert.Equal(RunVerdict.Fail, v.Verdict);
        Assert.Contains(v.Reading, s => s.Contains(sign, StringComparison.Ordinal));
    }

    static void Close(double expected, double read, double u) => Assert.InRange(read, expected - 4.5 * u, expected + 4.5 * u);
}
