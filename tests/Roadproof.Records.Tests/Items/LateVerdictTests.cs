using Roadproof.Engineering.Judging;
using Roadproof.Records.Items;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>Captures that come after the unit has gone another way: the verdict is kept and moves nothing that a person has undone.</summary>
public sealed class LateVerdictTests
{
    [Fact]
    public async Task A_run_that_was_undone_does_not_stand_when_its_captures_come_at_last()
    {
        await using var plant = await Waiting();
        plant.Wait(3600);
        Assert.Equal("Load test of SH-1 waits for 1 capture", Assert.Single(Notes(plant)).Title);
        Assert.Equal("cover", (await SentBack(plant, "cover")).Next);
        Assert.Empty(Notes(plant));

        Assert.Equal("pass", (await Late(plant)).Verdict);
        Assert.Equal("Waits for Cover.", Unit(plant).Sentence);
        await plant.Do("SH-1", "cover");
        await plant.Do("SH-1", "leak-check");
        Assert.Equal("Load test has not passed on SH-1; it comes before Label.", (await plant.Refused("st120", plant.Begin("SH-1", "label"))).Reason);
        await plant.Do("SH-1", "load-test");
        await plant.Do("SH-1", "label");
    }

    [Fact]
    public async Task A_run_whose_captures_are_lost_is_run_again_after_the_unit_was_sent_back()
    {
        await using var plant = await Waiting();
        var no = await plant.Refused("rig1", plant.Finish("SH-1", "load-test"));
        Assert.Equal("Send the captures of run 1; the verdict follows by itself. If they are lost, hold SH-1 and send it back to Load test.", no.Remedy);

        Assert.Equal("load-test", (await SentBack(plant, "load-test")).Next);
        await plant.Take("rig1", plant.Finish("SH-1", "load-test") with { Captures = [new(TestPlant.Sha("second run"), "slow")] });
    }

    [Fact]
    public async Task A_late_fail_before_a_repair_holds_nothing()
    {
        await using var plant = await Waiting();
        await SentBack(plant, "cover");
        await Late(plant, RunVerdict.Fail);
        Assert.Equal("building", Unit(plant).State);
    }

    [Fact]
    public async Task An_overtaken_run_that_cannot_be_judged_holds_nothing()
    {
        await using var plant = await Waiting();
        await SentBack(plant, "load-test");
        await Late(plant, LoadTestOutcome.CannotJudge("the file is cut short"));
        Assert.Equal(("building", "Waits for Load test."), (Unit(plant).State, Unit(plant).Sentence));
    }

    [Fact]
    public async Task A_late_fail_without_a_repair_holds_the_unit_and_leaves_its_way_as_it_is()
    {
        await using var plant = await Waiting();
        await SentBack(plant, "load-test");
        await plant.Arrive("second run");
        var second = await plant.Take("rig1", plant.Finish("SH-1", "load-test") with { Captures = [new(TestPlant.Sha("second run"), "slow")] }, LoadTestOutcome.Judged(TestPlant.Verdict()));
        Assert.Equal("pass", second.Verdict);

        await Late(plant, RunVerdict.Fail);
        Assert.Equal("held", Unit(plant).State);
        Assert.Equal("label", (await plant.ReleaseUnit("SH-1", "the second run is the one that counts")).Next);
    }

    /// <summary>A plant with SH-1 behind a load test whose captures have not come.</summary>
    static async Task<TestPlant> Waiting()
    {
        var plant = new TestPlant();
        await plant.ReceiveLots();
        await plant.Build("SH-1", "load-test");
        Assert.Equal("waiting", (await plant.Take("rig2", plant.Finish("SH-1", "load-test"))).Verdict);
        return plant;
    }

    static async Task<UnitActAnswer> SentBack(TestPlant plant, string step)
    {
        await plant.HoldUnit("SH-1", "look again");
        return await plant.ReleaseUnit("SH-1", "mended", step);
    }

    static Task<Messages.MessageAnswer> Late(TestPlant plant, RunVerdict verdict = RunVerdict.Pass) => Late(plant, LoadTestOutcome.Judged(TestPlant.Verdict(verdict)));

    static async Task<Messages.MessageAnswer> Late(TestPlant plant, LoadTestOutcome outcome)
    {
        var waiting = Assert.Single(await plant.Arrive("SH-1"));
        return await plant.Write(t => LateVerdict.Decide(t, waiting.StepSequence, outcome, plant.Context, "late"));
    }

    static IReadOnlyList<Note> Notes(TestPlant plant)
    {
        using var c = plant.Read();
        return NotesQuery.Run(c, plant.Context, plant.Now);
    }

    static UnitView Unit(TestPlant plant)
    {
        using var c = plant.Read();
        return UnitQuery.Run(c, plant.Context, "SH-1")!;
    }
}
