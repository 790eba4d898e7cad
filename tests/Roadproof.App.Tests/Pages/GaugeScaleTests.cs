using CsCheck;
using Roadproof.App.Frame;
using Roadproof.App.Unit;
using Roadproof.Engineering.Judging;

namespace Roadproof.App.Tests.Pages;

/// <summary>Where values stand on a gauge, and which rows fold. Positions are worked out by hand: 24 % and 76 % are the edges, half-way is 50 %.</summary>
public sealed class GaugeScaleTests
{
    [Theory]
    [InlineData(10, 24), InlineData(20, 76), InlineData(15, 50), InlineData(12.5, 37)]
    public void Two_edges_stand_at_24_and_76(double value, double x) => Assert.Equal(x, GaugeScale.Of(10, 20, value, 0.5).X(value), 9);

    [Fact]
    public void A_lone_upper_edge_counts_from_zero()
    {
        var scale = GaugeScale.Of(null, 5, 1.25, 0.5);
        Assert.Equal(76, scale.X(5), 9);
        Assert.Equal(24 + 52 * 0.25, scale.X(1.25), 9);
    }

    [Fact]
    public void A_value_beyond_the_paper_is_said_to_be() => Assert.True(GaugeScale.Of(10, 20, 40, 0.5).OffPaper(40));

    [Fact]
    public void An_edge_never_moves_whatever_is_read() =>
        Gen.Select(Gen.Double[-1e4, 1e4], Gen.Double[1e-3, 1e3], Gen.Double[-1e5, 1e5], Gen.Double[0, 10]).Sample((lower, width, value, guard) =>
        {
            Assert.Equal(24, GaugeScale.Of(lower, lower + width, value, guard).X(lower), 5);
            Assert.Equal(76, GaugeScale.Of(null, lower, value, guard).X(lower), 5);
            Assert.Equal(24, GaugeScale.Of(lower, null, value, guard).X(lower), 5);
            Assert.InRange(GaugeScale.Of(lower, null, value, guard).X(value), 2, 98);
        });

    [Fact]
    public void The_limit_of_a_single_reading_stands_at_76() => Assert.Equal(76, SoundScale.X(3.6, 3.6), 9);

    [Theory]
    [InlineData(0.0, "pass", true), InlineData(0.95, "undecided", false), InlineData(0.85, "pass", false), InlineData(1.8, "fail", false)]
    public void Only_a_pass_far_from_its_limits_folds(double value, string mark, bool folds)
    {
        // Edges ±1, u = 0.05: at 0 the edges are 20 u away; at 0.85 3 u (99.87 % sure by the normal table); at 0.95 1 u.
        var reading = SampleUnits.Requirement("zero", "Zero", "N·m", value, -1, 1, 0.05);
        Assert.Equal(mark, StateWord.Of(reading.Verdict).Mark);
        Assert.Equal(folds, ReadingRows.IsFar(new RequirementRow(reading, "rig1", 1, [])));
    }

    [Fact]
    public void A_pass_after_a_fail_stays_open()
    {
        var pass = SampleUnits.Requirement("zero", "Zero", "N·m", 0, -1, 1, 0.05);
        Assert.False(ReadingRows.IsFar(new RequirementRow(pass, "rig1", 2, [pass with { Verdict = Verdict.Fail }])));
    }

    [Fact]
    public void No_reading_is_lost_by_folding()
    {
        var rows = ReadingRows.Of(SampleUnits.Held);
        var verdict = SampleUnits.Held.LoadTests[0].Verdict!;
        Assert.Equal(SampleUnits.Held.Readings.Count + verdict.Requirements.Count + verdict.Expectations.Count, rows.Count);
        Assert.Equal(["leak"], rows.Open.Select(r => r.Reading.Id));
        // Safety functions never fold: the one nearest to its limit stands first.
        Assert.Equal(["stop-response", "clutch-lock", "cut-off-speed"], rows.Safety.Select(r => r.Reading.Id));
        Assert.DoesNotContain(rows.Folded, r => r.Reading.Safety);
    }

    [Theory]
    [InlineData(-0.0001, 2, "0.00"), InlineData(-1.5, 1, "−1.5"), InlineData(double.NaN, 1, "")]
    public void A_number_is_written_as_people_read_it(double value, int decimals, string text) => Assert.Equal(text, Figure.Of(value, decimals));

    [Theory]
    [InlineData(17.3456, 0.08, "17.35"), InlineData(303.21, 2.4, "303"), InlineData(0.28123, 0.005, "0.281"), InlineData(1234, 30, "1234")]
    public void No_more_digits_than_the_uncertainty_knows(double value, double u, string text) => Assert.Equal(text, Figure.Within(value, u));
}
