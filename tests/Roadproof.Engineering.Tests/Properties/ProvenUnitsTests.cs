using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>What proven units say of the model, by units drawn from it and from another one.</summary>
public sealed class ProvenUnitsTests
{
    static readonly string[] Rigs = ["rig-1", "rig-2", "rig-3"];
    static readonly Dictionary<string, int> Lots = new() { ["magnet"] = 4, ["grease"] = 3 };

    // Rig errors are drawn for each unit here, as if each stood on a rig of its own: the intervals are then wider than need be, never narrower.
    static List<ProvenUnit> Drawn(int units, ulong seed, Func<string, double, double>? change = null)
    {
        var (spread, draws, list) = (DemoJudge.Spread, new SoundUnits(DemoJudge.Spread, seed), new List<ProvenUnit>());
        var residual = new double[spread.Ids.Length];
        for (var n = 0; n < units; n++)
        {
            draws.Next(residual);
            list.Add(new($"u{n}", Rigs[n % 3], spread.Ids.Select((id, i) => (id, Value: spread.Mean[i] + residual[i])).ToDictionary(v => v.id, v => change?.Invoke(v.id, v.Value) ?? v.Value)));
        }

        return list;
    }

    [Fact]
    public void Finds_nothing_to_change_where_units_are_as_the_model_says()
    {
        var proven = DemoJudge.Judge.Proven(Drawn(400, 61), Rigs, Lots, "day 1");
        Assert.Empty(proven.Missing);
        Assert.Equal(26, proven.Characteristics.Count);
        Assert.All(proven.Characteristics, c => Assert.False(c.Different, $"{c.Id}: {c.Word}"));
        Assert.DoesNotContain("expected:", proven.Definition, StringComparison.Ordinal);
        Assert.Contains("    - { id: mesh-1, mean: ", proven.Definition, StringComparison.Ordinal);
    }

    // 95 % of intervals hold the truth; over 300 sets of 120 units, counted for a reading without rig share and one with a skew.
    [Theory]
    [InlineData("resistance-20"), InlineData("current-85-60"), InlineData("no-load-75")]
    public void Intervals_hold_the_model_that_drew_the_units(string id)
    {
        var (held, scales, sets) = (0, 0, 300);
        for (var set = 0; set < sets; set++)
        {
            var c = DemoJudge.Judge.Proven(Drawn(120, (ulong)(1_000 + set)), Rigs, Lots, "").Characteristics.Single(k => k.Id == id);
            if (c.DifferenceInterval.Lower <= 0 && c.DifferenceInterval.Upper >= 0) held++;
            if (c.ScaleInterval.Lower <= c.StandardDeviation && c.ScaleInterval.Upper >= c.StandardDeviation) scales++;
        }

        Assert.InRange((double)held / sets, 0.90, 1);
        Assert.InRange((double)scales / sets, 0.90, 0.985);
    }

    [Fact]
    public void Finds_a_reading_that_lies_elsewhere_or_scatters_more_and_writes_it_down()
    {
        var mean = DemoJudge.Spread.Mean[Array.IndexOf(DemoJudge.Spread.Ids, "no-load-75")];
        var proven = DemoJudge.Judge.Proven(Drawn(200, 62, (id, v) => id switch { "resistance-20" => v + 1, "no-load-75" => mean + 1.8 * (v - mean), _ => v }), Rigs, Lots, "day 1");
        Assert.Equal(["resistance-20", "no-load-75"], proven.Characteristics.Where(c => c.Different).Select(c => c.Id));
        Assert.Equal("lies elsewhere", proven.Characteristics[0].Word);
        Assert.InRange(proven.Characteristics[0].DifferenceInterval.Lower, 0.5, 1);
        Assert.Equal("scatters more", proven.Characteristics.Single(c => c.Id == "no-load-75").Word);
        Assert.Contains("  expected:\n    - { id: resistance-20, mean: 5", proven.Definition, StringComparison.Ordinal);
        Assert.Contains("origin: \"200 units at their first run, 3 rigs, until day 1\"", proven.Definition, StringComparison.Ordinal);
    }

    // One unit in twenty with a fault among them moves neither by more than a fifth of a standard deviation.
    [Fact]
    public void A_few_faulty_units_move_little()
    {
        var units = Drawn(400, 63).Select((u, n) => n % 20 == 0 ? u with { Values = u.Values.ToDictionary(v => v.Key, v => v.Key == "resistance-20" ? v.Value + 20 : v.Value) } : u).ToList();
        var c = DemoJudge.Judge.Proven(units, Rigs, Lots, "").Characteristics.Single(k => k.Id == "resistance-20");
        Assert.InRange(c.Difference / c.StandardDeviation, -0.2, 0.2);
        Assert.InRange(c.Scale / c.StandardDeviation, 0.9, 1.2);
    }

    [Fact]
    public void Says_what_is_missing()
    {
        var few = DemoJudge.Judge.Proven(Drawn(40, 64).Where(u => u.Rig != "rig-3").ToList(), Rigs, new Dictionary<string, int> { ["magnet"] = 1 }, "");
        Assert.Equal(["27 of 100 units", "0 of 10 units on rig-3", "1 of 3 lots of magnet"], few.Missing);
        Assert.Empty(few.Definition);
        Assert.NotEmpty(few.Characteristics);
        Assert.Empty(DemoJudge.Judge.Proven(Drawn(5, 65), Rigs, Lots, "").Characteristics);
    }

    // What a person approves is what judging then expects; what faults move stays the model's.
    [Fact]
    public void Proven_values_that_were_approved_take_the_models_place()
    {
        var plan = DemoPlan.Plan with { Expected = [new() { Id = "no-load-75", Mean = 18, StandardDeviation = 0.9, Origin = "test" }] };
        var (with, without) = (new LoadTestJudge(plan), DemoJudge.Judge);
        var (now, before) = (with.Limits.Single(l => l.Id == "no-load-75"), without.Limits.Single(l => l.Id == "no-load-75"));
        Assert.Equal(18, now.Expected, 12);
        Assert.Equal(0.81, now.StandardDeviation * now.StandardDeviation - Math.Pow(DemoJudge.Spread.Shared.Max(c => Math.Abs(c[4])), 2), 1e-6);
        Assert.Equal(before.ReadingUncertainty, now.ReadingUncertainty, 12);
        Assert.Equal(without.Limits.Where(l => l.Id != "no-load-75").Select(l => l.Expected), with.Limits.Where(l => l.Id != "no-load-75").Select(l => l.Expected));
        Assert.InRange(with.PredictedStopRate(Deviation.None).Rate, 0.0095, 0.016);
    }
}
