using System.Globalization;
using System.Text.RegularExpressions;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>Rigs held against each other by the ordinary units that each was given.</summary>
public sealed partial class LikeUnitsTests
{
    // Source: RobustReference/make.py with scipy's Huber loss (recipe and versions beside it); nine digits owed, scipy's own steps end there.
    [Fact]
    public void The_robust_offset_is_scipy_s()
    {
        var lines = File.ReadAllLines(Path.Combine(Checkout.Root, "tests/Roadproof.Engineering.Tests/RobustReference/units.csv"));
        var told = Told().Matches(lines[0]).Select(m => double.Parse(m.Value, CultureInfo.InvariantCulture)).ToArray();
        var rows = lines.Skip(2).Select(l => l.Split(',')).ToList();
        var found = RobustOffset.Of(
            [.. rows.Select(r => double.Parse(r[3], CultureInfo.InvariantCulture))], [.. rows.Select(r => r[0] == "rig2")],
            [[.. rows.Select(r => r[1])], [.. rows.Select(r => r[2])]])!;
        Assert.Equal(told[0], found.Offset, 1e-6);
        Assert.Equal(told[1], found.StandardError, 1e-6);
        Assert.Equal(told[2], found.Scale, 1e-6);
        Assert.Equal(60 - 6, found.Freedom);
    }

    // 2,000 draws with lots that shift the readings and one unit in twelve far out: a 95 % interval misses in 5 %; four standard errors are 2 %. Wild values only widen it.
    [Fact]
    public void Intervals_hold_the_true_difference_as_often_as_they_say()
    {
        var (noise, missed, flagged) = (new SeededNoise(1, "like units"), 0, 0);
        const int tries = 2_000;
        for (var n = 0; n < tries; n++)
        {
            var found = LikeUnits.Compare("a", "b", Drawn(noise, units: 60, offset: 0.3), asked: 26)!;
            if (found.Interval.Lower > 0.3 || found.Interval.Upper < 0.3) missed++;
            if (LikeUnits.Compare("a", "b", Drawn(noise, units: 60, offset: 0), asked: 26)!.Differs) flagged++;
        }

        Assert.InRange(missed / (double)tries, 0.02, 0.07);
        // Asked 26 times, one of twenty rigs without a difference may be flagged: each asks for a 26th of it.
        Assert.InRange(flagged / (double)tries, 0, 0.05 / 26 + 4 * Math.Sqrt(0.002 / tries));
    }

    // What it is for: a hundred units each and a difference of nine tenths of their scatter, six standard errors, are flagged nearly always.
    [Fact]
    public void A_rig_that_reads_higher_is_flagged()
    {
        var (noise, flagged) = (new SeededNoise(2, "flagged"), 0);
        for (var n = 0; n < 100; n++)
        {
            var found = LikeUnits.Compare("a", "b", Drawn(noise, units: 200, offset: 0.9), asked: 26)!;
            if (found.Differs) flagged++;
            Assert.InRange(found.Difference, 0.2, 1.6);
        }

        Assert.InRange(flagged, 95, 100);
    }

    [Fact]
    public void Lots_that_went_to_one_rig_only_cannot_be_told_from_it()
    {
        LikeUnit Unit(string rig, string lot, double value) => new(rig, new Dictionary<string, string>(StringComparer.Ordinal) { ["grease"] = lot }, value);
        var confounded = Enumerable.Range(0, 40).Select(i => i % 2 == 0 ? Unit("a", "g1", i % 7) : Unit("b", "g2", i % 5)).ToList();
        Assert.Null(LikeUnits.Compare("a", "b", confounded, asked: 1));
        // One unit of each lot on the other rig: next to nothing to tell by.
        Assert.Null(LikeUnits.Compare("a", "b", [.. confounded, Unit("b", "g1", 3), Unit("a", "g2", 3)], asked: 1));
        Assert.NotNull(LikeUnits.Compare("a", "b", [.. confounded.Select((u, i) => Unit(u.Rig, i % 4 < 2 ? "g1" : "g2", u.Value))], asked: 1));
    }

    [Fact]
    public void Too_few_units_cannot_be_told() => Assert.Null(LikeUnits.Compare("a", "b", Drawn(new(3, "few"), units: 14, offset: 5), asked: 1));

    [Fact]
    public void Units_that_all_read_the_same_differ_by_exactly_what_the_rigs_do()
    {
        var units = Enumerable.Range(0, 20).Select(i => new LikeUnit(i % 2 == 0 ? "a" : "b", new Dictionary<string, string>(), i % 2 == 0 ? 17 : 17.25)).ToList();
        Assert.Equal(0.25, LikeUnits.Compare("a", "b", units, asked: 1)!.Difference, 12);
    }

    static List<LikeUnit> Drawn(SeededNoise noise, int units, double offset) =>
    [
        .. Enumerable.Range(0, units).Select(i =>
        {
            var (rig, grease, rotor) = (noise.Share() < 0.5 ? "a" : "b", i * 3 / units, (i * 4 / units + 1) % 4);
            var wild = noise.Share() < 1.0 / 12 ? 8 * noise.Normal() : 0;
            return new LikeUnit(rig, new Dictionary<string, string>(StringComparer.Ordinal) { ["grease"] = $"g{grease}", ["rotor"] = $"r{rotor}" }, 1.5 * grease - 0.8 * rotor + (rig == "b" ? offset : 0) + noise.Normal() + wild);
        }),
    ];

    [GeneratedRegex(@"(?<=offset |error |scale )[\d.]+")]
    private static partial Regex Told();
}
