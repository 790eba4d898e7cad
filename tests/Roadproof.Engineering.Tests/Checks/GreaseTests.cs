using System.Text;
using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Checks;

/// <summary>Doses that are weighed and doses that are read from a shot made from equations.</summary>
public sealed class GreaseTests
{
    static readonly GreaseTest Test = new()
    {
        Limits = new Dictionary<string, FeatureWindow> { [GreaseVerdict.Dose] = new(10.8, 13.2, "test") }, FlowGPerS = new(6, 0.06), NominalPa = 2e6, FlowIndex = 0.4,
    };

    [Theory]
    [InlineData(12, RunVerdict.Pass, "12.00 g")]
    [InlineData(10.85, RunVerdict.Hold, "cannot tell")]
    [InlineData(9, RunVerdict.Fail, "Too little")]
    [InlineData(24, RunVerdict.Fail, "Too much")]
    public void A_weighed_dose_is_judged(double grams, RunVerdict expected, string said)
    {
        var v = GreaseVerdict.Judge(new GreaseWeighings([2900], [2900 + grams]), Test with { ScaleUncertaintyG = 0.05 });
        Assert.Equal(expected, v.Verdict);
        Assert.Contains(said, v.Reading[0], StringComparison.Ordinal);
        Assert.Equal(0.05 * Math.Sqrt(2), v.Features[0].StandardUncertainty!.Value, 1e-12);
    }

    [Fact]
    public void Repeated_weighings_show_their_scatter_and_keep_the_scale_s_error()
    {
        var u = GreaseVerdict.Judge(new GreaseWeighings([100, 100, 100, 100], [111.8, 112.2, 111.8, 112.2]), Test).Features[0].StandardUncertainty!.Value;
        Assert.Equal(Math.Sqrt(2 * 0.02 * 0.02 + 0.2 * 0.2 * 4 / 3 / 4), u, 1e-12);
    }

    // Two seconds at nominal pressure, 6 g/s: 12 g; the slopes of 0.1 s bring little because p^2.5 does.
    [Fact]
    public void A_shot_at_nominal_pressure_gives_flow_times_time()
    {
        var r = ShotReadings.From(Shot(), Test)!;
        Assert.Equal(2 + 2 * 0.1 / 3.5, r.NominalS.Value, 0.01);
        Assert.Equal(0.08, r.RiseS, 0.015);
        Assert.Equal(0.08, r.FallS, 0.015);
        Assert.Equal(r.NominalS.Value * 0.005 / 0.4, r.NominalS.StandardUncertainty, 1e-9);
        Assert.Equal(RunVerdict.Pass, GreaseVerdict.Judge(Shot(), Test).Verdict);
    }

    [Fact]
    public void Half_the_pressure_gives_less_than_a_fifth_of_a_soft_grease() =>
        Assert.Equal(Math.Pow(0.5, 2.5), ShotReadings.From(Shot(pressure: 1e6), Test)!.NominalS.Value / ShotReadings.From(Shot(), Test)!.NominalS.Value, 0.005);

    [Fact]
    public void A_short_shot_is_too_little() => Assert.Contains("Too little", GreaseVerdict.Judge(Shot(forS: 1), Test).Reading[0], StringComparison.Ordinal);

    [Fact]
    public void A_bubble_is_told_and_holds_a_dose_that_would_pass()
    {
        var v = GreaseVerdict.Judge(Shot(bubble: true), Test);
        Assert.Equal(RunVerdict.Hold, v.Verdict);
        Assert.Contains("the sign of air", v.Reading[1], StringComparison.Ordinal);
    }

    [Fact]
    public void Noise_is_no_air() => Assert.DoesNotContain(GreaseVerdict.Judge(Shot(noise: 0.05), Test).Reading, s => s.Contains("air", StringComparison.Ordinal));

    [Fact]
    public void What_is_no_shot_cannot_tell()
    {
        var noise = new SeededNoise(1, "grease");
        var v = GreaseVerdict.Judge(new GreaseShot([.. Enumerable.Range(0, 300).Select(i => 0.01 * i)], [.. Enumerable.Range(0, 300).Select(_ => 1000 * noise.Normal())]), Test);
        Assert.Equal(RunVerdict.Hold, v.Verdict);
        Assert.Contains("No shot", v.Reading[0], StringComparison.Ordinal);
    }

    [Fact]
    public void Without_the_dispenser_s_flow_the_dose_cannot_be_told() => Assert.Equal(RunVerdict.Hold, GreaseVerdict.Judge(Shot(), Test with { FlowGPerS = null }).Verdict);

    [Theory]
    [InlineData("before_g,after_g\n100,112\n112,100\n", "g.csv:3: after_g: found 100 g after 112 g before, expected a unit that is heavier with its grease. Were the two swapped, or was the scale not at rest?")]
    [InlineData("before_g\n100\n", "g.csv:1: found neither weighings nor a shot, expected columns before_g and after_g, or time_s and gauge_pressure_pa.")]
    [InlineData("time_s,gauge_pressure_pa\n0,0\n0,1\n", "g.csv:3: time_s: found 0 twice, expected values that rise from row to row.")]
    public void What_is_neither_is_refused(string csv, string expected)
    {
        var e = Assert.Throws<InputException>(() => GreaseFile.Read("g.csv", new MemoryStream(Encoding.UTF8.GetBytes(csv))));
        Assert.Equal(expected, e.Message);
    }

    /// <summary>Straight up in 0.1 s, flat, straight down in 0.1 s.</summary>
    static GreaseShot Shot(double pressure = 2e6, double forS = 2, double noise = 0.002, bool bubble = false)
    {
        var random = new SeededNoise(7, "shot");
        var time = Enumerable.Range(0, 300).Select(i => 0.01 * i).ToArray();
        return new(time, [.. time.Select(t => pressure * (Math.Clamp(Math.Min((t - 0.2) / 0.1, (0.4 + forS - t) / 0.1), 0, 1) * (bubble && t is > 1.2 and < 1.3 ? 0.3 : 1) + noise * random.Normal()))]);
    }
}
