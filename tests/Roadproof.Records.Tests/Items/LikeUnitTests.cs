using Roadproof.Engineering.Judging;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>Rigs held against each other by the ordinary units on record, and by what passed there only on retest.</summary>
public sealed class LikeUnitTests
{
    static readonly double Sd = RigPlant.Judge.Limits.First(l => l.Id == "ripple-6").StandardDeviation;

    // Ten units each that scatter by a tenth of a standard deviation; rig2 reads the ripple one standard deviation higher. Too few ran on rig3.
    [Fact]
    public async Task A_rig_that_reads_ordinary_units_higher_is_flagged_before_any_reference_is_run()
    {
        await using var line = await RigPlant.Ready(r => r with { EveryRuns = 100, EveryH = 100, KnownBadEveryH = 100, ColdAfterMin = 10_000 });
        for (var n = 0; n < 21; n++)
        {
            await line.BuildToRig($"SH-{n}");
            var (rig, off) = n == 20 ? ("rig3", 0) : n % 2 == 0 ? ("rig1", 0) : ("rig2", Sd);
            await line.LoadTest($"SH-{n}", rig, RigPlant.Whole(("ripple-6", off + 0.1 * Sd * (n / 2 % 3 - 1))));
        }

        using var c = line.Plant.Read();
        var found = Assert.Single(RigQuery.Compare(c, line.Plant.Context));
        var ripple = Assert.Single(found.LikeUnits, p => p.Id == "ripple-6");
        Assert.Equal(("rig1", "rig2", 10, 10, true), (ripple.Of.First, ripple.Of.Second, ripple.Of.UnitsOfFirst, ripple.Of.UnitsOfSecond, ripple.Of.Differs));
        Assert.Equal(Sd, ripple.Of.Difference, 0.05 * Sd);
        Assert.InRange(Sd, ripple.Of.Interval.Lower, ripple.Of.Interval.Upper);
        Assert.DoesNotContain(found.LikeUnits, p => p.Id != "ripple-6" && p.Of.Differs);
        Assert.Equal([("rig1", "rig3", 10, 1), ("rig2", "rig3", 10, 1)], found.Untold.Select(u => (u.First, u.Second, u.UnitsOfFirst, u.UnitsOfSecond)));

        // Put right: what it read before says nothing of it now.
        await line.Calibrate("rig2");
        Assert.Empty(Assert.Single(RigQuery.Compare(c, line.Plant.Context)).LikeUnits);
    }

    [Fact]
    public async Task Units_that_passed_only_on_retest_count_for_the_rig_that_had_stopped_them()
    {
        await using var line = await RigPlant.Ready(r => r with { EveryRuns = 100, EveryH = 100, KnownBadEveryH = 100, ColdAfterMin = 10_000 });
        await line.BuildToRig("SH-1", "SH-2", "SH-3", "SH-4", "SH-5");
        await line.LoadTest("SH-1", "rig1");
        await line.LoadTest("SH-2", "rig1", RunVerdict.Fail);
        await line.Plant.ReleaseUnit("SH-2", "again", "load-test");
        await line.LoadTest("SH-2", "rig2");
        await line.LoadTest("SH-2", "rig2");
        // Repaired in between: its pass says nothing of the rig. Failed for good: neither.
        await line.LoadTest("SH-3", "rig1", RunVerdict.Fail);
        await line.Plant.ReleaseUnit("SH-3", "gears", "gears-in");
        foreach (var step in (string[])["gears-in", "functional-check", "cover", "leak-check"]) await line.Plant.Do("SH-3", step);
        await line.LoadTest("SH-3", "rig1");
        await line.LoadTest("SH-4", "rig1", RunVerdict.Fail);

        using var c = line.Plant.Read();
        var retests = Assert.Single(RigQuery.Compare(c, line.Plant.Context)).Retests;
        Assert.Equal([("rig1", 4, 3, 1), ("rig2", 0, 0, 0), ("rig3", 0, 0, 0)], retests.Select(r => (r.Rig, r.FirstRuns, r.NotPassed, r.PassedOnRetest)));
        // Wilson's score for one of four: 4.6 to 69.9 % (printed by scipy's binomtest(1, 4).proportion_ci(method="wilson")).
        Assert.Equal(0.0456, retests[0].Interval!.Lower, 0.0001);
        Assert.Equal(0.6994, retests[0].Interval!.Upper, 0.0001);
    }
}
