using CsCheck;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class TheilSenTests
{
    [Fact]
    public void A_straight_line_has_its_slope_and_one_wild_value_does_not_bend_it() =>
        Gen.Select(Gen.Double[-5, 5], Gen.Double[-100, 100], Gen.Int[5, 40], Gen.Double[-1e6, 1e6]).Sample((slope, height, n, wild) =>
        {
            var x = Enumerable.Range(0, n).Select(i => (double)i).ToArray();
            var y = Array.ConvertAll(x, v => height + slope * v);
            y[n / 2] = wild;
            var trend = TheilSen.Of(x, y);
            Assert.Equal(slope, trend.Slope, 1e-9);
            Assert.InRange(slope, trend.Interval!.Lower - 1e-9, trend.Interval.Upper + 1e-9);
        }, iter: 200);

    // 4,000 draws of 25 points: a 95 % interval misses in 5 %; five standard errors of that are 1.7 %.
    [Fact]
    public void The_interval_holds_the_slope_as_often_as_it_says()
    {
        var noise = new SeededNoise(7, "theil-sen");
        var x = Enumerable.Range(0, 25).Select(i => (double)i).ToArray();
        var missed = Enumerable.Range(0, 4000).Count(_ =>
        {
            var interval = TheilSen.Of(x, Array.ConvertAll(x, v => 0.3 * v + noise.Normal())).Interval!;
            return interval.Lower > 0.3 || interval.Upper < 0.3;
        });
        Assert.InRange(missed / 4000.0, 0.05 - 0.025, 0.05 + 0.017);
    }

    [Fact]
    public void Four_points_promise_no_interval() => Assert.Null(TheilSen.Of([0, 1, 2, 3], [0, 1, 2, 3]).Interval);
}
