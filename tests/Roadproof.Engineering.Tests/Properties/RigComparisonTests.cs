using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Quantities;
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

/// <summary>A significant difference is not a material one: rigs within a tenth of what a reading is judged by read alike (common practice, no source).</summary>
public sealed class MaterialDifferenceTests
{
    static Interval Around(double middle, double half) => new(middle - half, middle + half, 0.95);

    // J 5 of the trade's questions: +0.85 ± 0.28 W against a limit of 0.34 W stops the rig.
    [Theory]
    [InlineData(0.85, 0.28, 0.34, Matters.Yes), InlineData(-0.85, 0.28, 0.34, Matters.Yes), InlineData(0.004, 0.003, 0.05, Matters.No), InlineData(0.3, 0.1, 0.34, Matters.CannotTell), InlineData(0, 1, 0.34, Matters.CannotTell)]
    public void A_difference_matters_where_it_is_surely_beyond_the_margin(double difference, double half, double margin, Matters matters) =>
        Assert.Equal(matters, MaterialDifference.Of(Around(difference, half), Around(difference, half), margin));

    [Fact]
    public void Without_a_margin_nobody_can_tell() => Assert.Equal(Matters.CannotTell, MaterialDifference.Of(Around(5, 0.1), Around(5, 0.1), null));

    [Fact]
    public void A_third_rig_or_the_references_own_values_say_which_rig_is_wrong()
    {
        (string, string, Matters)[] three = [("rig1", "rig2", Matters.Yes), ("rig1", "rig3", Matters.No), ("rig2", "rig3", Matters.Yes)];
        var nothing = new Dictionary<string, Interval>();
        Assert.Equal(("rig2", "the other rigs"), MaterialDifference.WrongRig(three, nothing, 0.3));
        Assert.Null(MaterialDifference.WrongRig([three[0]], nothing, 0.3));
        Assert.Equal(("rig1", "the references' own values"), MaterialDifference.WrongRig([three[0]], new Dictionary<string, Interval> { ["rig1"] = Around(-0.8, 0.2), ["rig2"] = Around(0.05, 0.2) }, 0.3));
        // Three rigs all apart: none of them is alone.
        Assert.Null(MaterialDifference.WrongRig([("a", "b", Matters.Yes), ("a", "c", Matters.Yes), ("b", "c", Matters.Yes)], nothing, 0.3));
        Assert.Null(MaterialDifference.WrongRig([("a", "b", Matters.No)], nothing, 0.3));
    }

    // Alike rigs, 3 pairs and 26 characteristics: one difference or more is called beyond chance in 5 % of plants, and with a margin of no width in no more; four standard errors of 1,000.
    [Fact]
    public void Alike_rigs_are_told_apart_no_oftener_than_stated_over_all_that_is_compared()
    {
        const int plants = 1_000;
        var (noise, differ, matter) = (new SeededNoise(11, "alike rigs"), 0, 0);
        for (var n = 0; n < plants; n++)
        {
            var pairs = Enumerable.Range(0, 26).SelectMany(_ => RigComparison.Of([.. from rig in (string[])["1", "2", "3"] from unit in (string[])["A", "B"] from run in (int[])[1, 2] select new RigReading(rig, unit, noise.Normal())], knownRunSd: 1, asked: 78).Pairs).ToList();
            if (pairs.Exists(p => p.Differs)) differ++;
            if (pairs.Exists(p => MaterialDifference.Of(p.Interval, p.Together, 0) == Matters.Yes)) matter++;
        }

        Assert.InRange((double)differ / plants, 0.02, 0.05 + 4 * Math.Sqrt(0.05 * 0.95 / plants));
        Assert.Equal(differ, matter);
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
        [new("rig1", "A", a1), new("rig1", "B", b1), new("rig2", "A", a2), new("rig2", "B", b2), new("rig3", "A", a3), new("rig3", "B", b3)], looked: 6);

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

    // "Run both again on every rig" stood on the page of a plant without drift: the farthest of 156 shifts was held against the limit of one. Three rigs, two references, 26 characteristics, half of each shift shared by all characteristics of its run.
    [Fact]
    public void A_plant_without_drift_is_alarmed_no_oftener_than_stated()
    {
        const int plants = 20_000, characteristics = 26;
        (string Rig, string Reference)[] runs = [.. from rig in (string[])["rig1", "rig2", "rig3"] from reference in (string[])["A", "B"] select (rig, reference)];
        var (noise, alarmed) = (new SeededNoise(9, "sound plants"), 0);
        for (var n = 0; n < plants; n++)
        {
            double[][] sigma = [.. runs.Select(_ => { var shared = noise.Normal(); return (double[])[.. Enumerable.Range(0, characteristics).Select(_ => Math.Sqrt(0.5) * (shared + noise.Normal()))]; })];
            var farthest = Enumerable.Range(0, characteristics).MaxBy(c => sigma.Max(s => Math.Abs(s[c])));
            if (ReferenceAgeing.Of([.. runs.Select((r, i) => new ReferenceShift(r.Rig, r.Reference, sigma[i][farthest]))], characteristics * runs.Length).MovedBy != MovedBy.Nothing) alarmed++;
        }

        // Four standard errors; shared errors make it a little rarer than stated, never oftener.
        Assert.InRange((double)alarmed / plants, 0.0004, ReferenceAgeing.FalseAlarm + 4 * Math.Sqrt(ReferenceAgeing.FalseAlarm / plants));
    }

    // One alone: the table value of the normal distribution (from memory, 3.0902 for one in 500 on two sides).
    [Fact]
    public void The_limit_of_one_shift_is_that_of_the_table_and_grows_with_what_is_looked_at()
    {
        Assert.Equal(3.0902, ReferenceAgeing.LimitOf(1), 4);
        Assert.InRange(ReferenceAgeing.LimitOf(156), 4.3, 4.4);
    }

    [Fact]
    public void Everything_moved_cannot_be_told() => Assert.Equal(MovedBy.CannotTell, Of(6, 6.5, 5.8, 6.1, 6.3, 5.9).MovedBy);

    [Fact]
    public void One_reference_moved_on_one_rig_only_cannot_be_told() => Assert.Equal(MovedBy.CannotTell, Of(7, 0.5, 0.2, 0.1).MovedBy);

    [Fact]
    public void A_single_reference_cannot_tell_itself_from_the_rig() => Assert.Equal(MovedBy.CannotTell, ReferenceAgeing.Of([new("rig1", "A", 9)], looked: 1).MovedBy);

    [Fact]
    public void A_pair_that_was_not_run_is_asked_for() =>
        Assert.Contains("missing", ReferenceAgeing.Of([new("rig1", "A", 9), new("rig1", "B", 8), new("rig2", "A", 0)], looked: 3).Sentence, StringComparison.Ordinal);
}
