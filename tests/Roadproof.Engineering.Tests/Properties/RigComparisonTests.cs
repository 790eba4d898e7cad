using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class RigComparisonTests
{
    // Ten units on two rigs; the answer was printed by a script outside the project with Student's quantile 2.262 for nine degrees of freedom: 0.85 ± 0.28 W.
    [Fact]
    public void Ten_units_on_two_rigs_give_the_printed_difference()
    {
        double[] differences = [.9, .4, 1.3, .7, 1.1, .2, 1.0, .8, 1.5, .6];
        var readings = differences.SelectMany((d, i) => new RigReading[] { new("rig1", $"u{i}", 17 + i), new("rig2", $"u{i}", 17 + i + d) }).ToList();

        var pair = Assert.Single(RigComparison.Of(readings).Pairs);

        Assert.Equal(("rig1", "rig2", 10), (pair.First, pair.Second, pair.Units));
        Assert.Equal(0.85, pair.Difference, 9);
        Assert.Equal(0.28, (pair.Interval.Upper - pair.Interval.Lower) / 2, 0.005);
        Assert.True(pair.Differs);
    }

    // 3,000 draws: a 95 % interval misses in 5 %; four standard errors are 1.6 %.
    [Fact]
    public void Intervals_hold_the_true_difference_as_often_as_they_say()
    {
        var (noise, missed) = (new SeededNoise(1, "rigs"), 0);
        for (var n = 0; n < 3_000; n++)
        {
            var readings = Enumerable.Range(0, 6).SelectMany(u =>
            {
                var own = 5 * noise.Normal();
                return new RigReading[] { new("a", $"{u}", own + noise.Normal()), new("b", $"{u}", own + 0.7 + noise.Normal()) };
            }).ToList();
            var interval = RigComparison.Of(readings).Pairs[0].Interval;
            if (interval.Lower > 0.7 || interval.Upper < 0.7) missed++;
        }

        Assert.Equal(0.05, missed / 3_000.0, 0.016);
    }

    [Fact]
    public void Random_effects_find_the_scatter_of_rigs_and_of_runs()
    {
        var (noise, rigVariance, runVariance) = (new SeededNoise(2, "effects"), 0.0, 0.0);
        const int tries = 1_000;
        for (var n = 0; n < tries; n++)
        {
            var rigs = Enumerable.Range(0, 5).Select(_ => 2 * noise.Normal()).ToArray();
            var units = Enumerable.Range(0, 8).Select(_ => 7 * noise.Normal()).ToArray();
            var found = RigComparison.Of([.. from r in Enumerable.Range(0, 5) from u in Enumerable.Range(0, 8) select new RigReading($"{r}", $"{u}", rigs[r] + units[u] + noise.Normal())]);
            rigVariance += found.RigSd!.Value * found.RigSd.Value / tries;
            runVariance += found.RunSd!.Value * found.RunSd.Value / tries;
        }

        Assert.Equal(4, rigVariance, 0.4);
        Assert.Equal(1, runVariance, 0.05);
    }

    [Fact]
    public void One_shared_reference_needs_a_known_scatter()
    {
        RigReading[] readings = [new("a", "ref", 10), new("b", "ref", 10.5), new("b", "ref", 10.7)];
        Assert.Empty(RigComparison.Of(readings).Pairs);
        var pair = Assert.Single(RigComparison.Of(readings, knownRunSd: 0.1).Pairs);
        Assert.Equal(0.6, pair.Difference, 9);
        Assert.Equal(1.959964 * 0.1 * Math.Sqrt(1.5), (pair.Interval.Upper - pair.Interval.Lower) / 2, 6);
    }
}

public sealed class DriftForecastTests
{
    [Fact]
    public void A_straight_drift_reaches_its_limit_when_it_does()
    {
        var forecast = DriftForecast.Of([.. Enumerable.Range(0, 6).Select(i => new TimedReading(4 * i, 10 + 0.05 * 4 * i))], standardDeviation: 0.02, level: 10, reach: 2)!;
        Assert.True(forecast.Drifts);
        Assert.Equal(0.05, forecast.RatePerH, 9);
        Assert.Equal((2 - 1.0) / 0.05, forecast.LimitInH!.Value, 6);
        Assert.InRange(forecast.LimitInH.Value, forecast.LimitInterval!.Lower, forecast.LimitInterval.Upper);
    }

    [Fact]
    public void Falling_reaches_the_lower_limit()
    {
        var forecast = DriftForecast.Of([.. Enumerable.Range(0, 6).Select(i => new TimedReading(i, -0.5 * i))], 0.01, 0, 4)!;
        Assert.Equal((4 - 2.5) / 0.5, forecast.LimitInH!.Value, 6);
    }

    [Fact]
    public void Three_runs_or_runs_at_one_time_tell_nothing()
    {
        Assert.Null(DriftForecast.Of([new(0, 0), new(1, 1), new(2, 2)], 0.1, 0, 5));
        Assert.Null(DriftForecast.Of([new(1, 0), new(1, 1), new(1, 2), new(1, 3)], 0.1, 0, 5));
    }

    // A steady rig, 26 characteristics asked together: one of them is said to drift in 5 % of 2,000 rigs; four standard errors are 2 %.
    [Fact]
    public void A_steady_rig_is_said_to_drift_no_oftener_than_stated()
    {
        var (noise, wrong) = (new SeededNoise(3, "steady"), 0);
        for (var rig = 0; rig < 2_000; rig++)
            if (Enumerable.Range(0, 26).Select(_ => DriftForecast.Of([.. Enumerable.Range(0, 8).Select(i => new TimedReading(i, noise.Normal()))], 1, 0, 4, asked: 26)!.Drifts).ToList().Contains(true)) wrong++;
        Assert.Equal(0.05, wrong / 2_000.0, 0.02);
    }
}

public sealed class ReferenceAgeingTests
{
    static ReferenceAgeing Of(double a1, double b1, double a2, double b2, double a3 = 0.3, double b3 = -0.4) => ReferenceAgeing.Of(
        [new("rig1", "A", a1), new("rig1", "B", b1), new("rig2", "A", a2), new("rig2", "B", b2), new("rig3", "A", a3), new("rig3", "B", b3)]);

    [Fact]
    public void Both_references_moved_alike_on_one_rig_is_the_rig()
    {
        var found = Of(0.5, -1, 6, 6.8);
        Assert.Equal(MovedBy.Rigs, found.MovedBy);
        Assert.Equal(["rig2"], found.Names);
    }

    [Fact]
    public void One_reference_moved_on_every_rig_is_that_reference()
    {
        var found = Of(5.5, 0.2, 6, -0.7, 5, 1);
        Assert.Equal(MovedBy.References, found.MovedBy);
        Assert.Equal(["A"], found.Names);
    }

    [Fact]
    public void Nothing_moved_is_nothing() => Assert.Equal(MovedBy.Nothing, Of(1, -2, 0.5, 3.2).MovedBy);

    [Fact]
    public void Everything_moved_cannot_be_told() => Assert.Equal(MovedBy.CannotTell, Of(6, 6.5, 5.8, 6.1, 6.3, 5.9).MovedBy);

    [Fact]
    public void One_reference_moved_on_one_rig_only_cannot_be_told() => Assert.Equal(MovedBy.CannotTell, Of(7, 0.5, 0.2, 0.1).MovedBy);

    [Fact]
    public void A_single_reference_cannot_tell_itself_from_the_rig() => Assert.Equal(MovedBy.CannotTell, ReferenceAgeing.Of([new("rig1", "A", 9)]).MovedBy);

    [Fact]
    public void A_pair_that_was_not_run_is_asked_for() =>
        Assert.Contains("missing", ReferenceAgeing.Of([new("rig1", "A", 9), new("rig1", "B", 8), new("rig2", "A", 0)]).Sentence, StringComparison.Ordinal);
}
