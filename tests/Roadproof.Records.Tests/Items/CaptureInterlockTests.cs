using Roadproof.Records.Items;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>A unit is judged by the captures of its own run and by no others.</summary>
public sealed class CaptureInterlockTests
{
    const string NotItsOwn = "The captures are of SH-2, not of SH-1.";

    [Fact]
    public async Task Captures_that_another_unit_has_named_are_refused()
    {
        await using var plant = await Ready();
        await plant.Build("SH-2", "load-test");
        await plant.Take("rig1", plant.Finish("SH-2", "load-test"));
        var no = await plant.Refused("rig2", OfSecond(plant));
        Assert.Equal((NotItsOwn, "Check which unit is at rig2 and send the captures of its own run.", "captures of SH-1", "captures of SH-2"), (no.Reason, no.Remedy, no.Needed, no.Found));
        await plant.Take("rig2", plant.Finish("SH-1", "load-test"));
    }

    [Fact]
    public async Task Captures_that_say_they_are_of_another_unit_are_refused()
    {
        await using var plant = await Ready();
        await plant.Arrive("SH-2");
        Assert.Equal(NotItsOwn, (await plant.Refused("rig2", OfSecond(plant), LoadTestOutcome.OfOtherUnit("SH-2"))).Reason);
    }

    [Fact]
    public async Task Reported_captures_of_another_unit_hold_the_unit_and_prove_nothing()
    {
        await using var plant = await Ready();
        await plant.Arrive("SH-2");
        var answer = await plant.Take("rig2", OfSecond(plant) with { Kind = "report" }, LoadTestOutcome.OfOtherUnit("SH-2"));
        Assert.Equal(("hold", true), (answer.Verdict, answer.Holds.Contains(NotItsOwn)));
        Assert.Equal("load-test", (await plant.ReleaseUnit("SH-1", "run it again")).Next);
        using var c = plant.Read();
        Assert.Equal("The captures are of SH-2, not of this unit.", Assert.Single(UnitQuery.Run(c, plant.Context, "SH-1")!.LoadTests).Problem);
    }

    [Fact]
    public async Task Files_of_a_run_have_the_names_of_its_tables_each_once()
    {
        await using var plant = await Ready();
        var errors = await plant.NotUnderstood("rig1", Named(plant, "slow.parquet", "slow", "fasst", "", "fast.csv", "fast.yaml"));
        Assert.Equal(
        [
            "message: captures[1].name: found 'slow' a second time, expected each file of the run once.",
            "message: captures[2].name: found 'fasst', expected a file of a run: slow, fast or vibration, with or without its ending. Did you mean 'fast'?",
            "message: captures[3].name: found '', expected a file of a run: slow, fast or vibration, with or without its ending. Known are: slow, fast, vibration.",
        ], errors.Select(e => e.ToString()));
        Assert.Equal("waiting", (await plant.Take("rig1", Named(plant, "run-7/slow.parquet", "fast.csv", "fast.yaml", "vibration"))).Verdict);
    }

    static StationMessage Named(TestPlant plant, params string[] names) => plant.Finish("SH-1", "load-test") with { Captures = [.. names.Select(n => new MessageCapture(TestPlant.Sha(n), n))] };

    static StationMessage OfSecond(TestPlant plant) => plant.Finish("SH-1", "load-test") with { Captures = [new(TestPlant.Sha("SH-2"), "slow")] };

    static async Task<TestPlant> Ready()
    {
        var plant = new TestPlant();
        await plant.ReceiveLots();
        await plant.Build("SH-1", "load-test");
        return plant;
    }
}
