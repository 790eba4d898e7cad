using Roadproof.Engineering.LoadTest;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>Is the gauge good enough for that limit: spread beside tolerance and beside the units.</summary>
public sealed class GaugeFitnessTests
{
    static readonly LoadTestJudge Judge = new(Fixtures.Plan);

    /// <summary>The manual's own figures hang together: 10, 20 and 30 % of the total scatter are 14, 6.9 and 4.5 categories (trade handbook, E.3; AIAG MSA 4th edition).</summary>
    [Theory]
    [InlineData(0.1, 14), InlineData(0.2, 6.9), InlineData(0.3, 4.5)]
    public void Categories_follow_from_the_share_of_the_total_scatter(double share, double categories) =>
        Assert.Equal(categories, GaugeFitness.Categories(Math.Sqrt(1 - (share * share)), share), 0.08);

    [Fact]
    public void Each_requirement_has_its_word_by_its_own_figures()
    {
        var limits = Fixtures.Plan.Requirements.ToDictionary(r => r.Id, StringComparer.Ordinal);
        var bands = Judge.Report(1e-4).Requirements.ToDictionary(r => r.Id, StringComparer.Ordinal);
        Assert.Equal(limits.Count, Judge.Gauges.Count);
        foreach (var g in Judge.Gauges)
        {
            Assert.Equal(g.PercentOfTolerance switch { null => "cannot tell", < 10 => "good", <= 30 => "conditional", _ => "poor" }, g.Word);
            if (limits[g.Id] is { Lower: { } lower, Upper: { } upper } && g.PercentOfTolerance is { } percent) Assert.Equal(600 * g.StandardUncertainty / (upper - lower), percent, 1e-9);
            if (bands[g.Id].ProcessSd is { } sd) Assert.Equal(Math.Sqrt(2) * sd / bands[g.Id].StandardUncertainty, g.DistinctCategories!.Value, 1e-9);
            Assert.InRange(g.LargestShare, g.Largest.Length > 0 ? 1.0 / 3 : 0, 1);
        }
    }

    /// <summary>A rig whose torque is ten times less sure is told to be the reason.</summary>
    [Fact]
    public void A_poor_gauge_is_poor_and_the_rig_is_named()
    {
        var loose = Fixtures.Plan with { Gauges = new() { Gauges = [.. Fixtures.Plan.Gauges.Gauges.Select(g => g.Channel == "output_torque_nm" ? g with { GainShare = 20 * g.GainShare } : g)] } };
        var (was, now) = (Judge.Gauges.First(g => g.Id == "torque-delivered-50-60"), new LoadTestJudge(loose).Gauges.First(g => g.Id == "torque-delivered-50-60"));
        Assert.True(now.PercentOfTolerance > 3 * was.PercentOfTolerance, $"{was} {now}");
        Assert.Equal("the rig", now.Largest);
        Assert.Equal("poor", now.Word);
    }
}
