using Dapper;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Ledger;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.Tests.Items;

/// <summary>What a drifted rig had judged is judged again once a person approves it: only what passes whatever the drift was goes on, and nothing that was said before is changed.</summary>
public sealed class RejudgeTests
{
    // Two standard deviations of the ripple over sound units.
    static readonly double Ripple = 2 * RigPlant.Judge.Limits.First(l => l.Id == "ripple-6").StandardDeviation;

    [Fact]
    public async Task Only_what_passes_whatever_the_drift_was_is_let_go()
    {
        await using var line = await RigPlant.Ready(Seldom);
        await line.BuildToRig("SH-1", "SH-2", "SH-3", "SH-4", "SH-5");
        await line.LoadTest("SH-1", "rig1", RigPlant.Whole());
        await line.LoadTest("SH-2", "rig1", RigPlant.Whole(("ripple-6", -Ripple)));
        await line.LoadTest("SH-3", "rig1", RigPlant.Whole(("torque-delivered-85-60", -20)));
        await line.LoadTest("SH-4", "rig1", RigPlant.Whole() with { Verdict = Engineering.Judging.RunVerdict.Hold });
        await line.Plant.ReleaseUnit("SH-4", "again", "load-test");
        await line.LoadTest("SH-4", "rig1", RigPlant.Whole());
        await line.LoadTest("SH-5", "rig1", RigPlant.Whole());
        foreach (var step in (string[])["label", "mark", "pack"]) await line.Plant.Do("SH-5", step);
        await line.RunSound("rig1", ("ripple-6", Ripple));
        Assert.Equal(["SH-1", "SH-2", "SH-3", "SH-4"], line.HeldFor("rig1"));

        var again = Again(line, "rig1");
        Assert.Equal(
            [
                ("SH-1", RejudgedAs.Passes, "It passes whatever the drift was."), ("SH-2", RejudgedAs.CannotTell, "It may be unusual by what the drift was."),
                ("SH-3", RejudgedAs.Fails, "Torque at 85 N·m and 60 rpm fails whatever the drift was."), ("SH-4", RejudgedAs.CannotTell, "Its verdict rests on more than one run."),
                ("SH-5", RejudgedAs.Passes, "It passes whatever the drift was."),
            ],
            again.Select(u => (u.Unit, u.Rejudged.Outcome, u.Rejudged.Reason)));
        Assert.Equal("SH-5", Assert.Single(again, u => u.Left is not null).Unit);

        using var c = line.Plant.Read();
        var untouched = FirstVerdicts(line);
        var act = new RejudgeAct("rig1", line.Plant.NextKey(), "The ripple gauge was looked at.", line.Plant.Now, "q1");
        var done = await Decide(line, act, again);
        Assert.Equal(["SH-1"], done.Done!.Released);
        Assert.Equal(["SH-2: It may be unusual by what the drift was.", "SH-3: Torque at 85 N·m and 60 rpm fails whatever the drift was.", "SH-4: Its verdict rests on more than one run."], done.Done.StayHeld);
        Assert.Equal(["SH-2", "SH-3", "SH-4"], line.HeldFor("rig1"));
        Assert.Equal(("passed", "label"), c.QuerySingle<(string, string)>("select state, next_step from unit where unit = 'SH-1'"));
        Assert.Equal(untouched, FirstVerdicts(line));
        Assert.Equal(("q1", "The ripple gauge was looked at."), c.QuerySingle<(string, string)>("select released_by, release_reason from hold where unit = 'SH-1'"));
        Assert.Equal(4, LedgerRows.OfKinds(c, [RecordKinds.UnitRejudged]).Count());

        // The form sent again says the same; a new one finds nothing left; another run that is out does not stop again what was let go.
        Assert.Equal(done.Done.Released, (await Decide(line, act, again)).Done!.Released);
        Assert.StartsWith("No unit that is on hold because of rig1 is left", (await Decide(line, act with { Key = line.Plant.NextKey() }, again)).Refused!.Reason, StringComparison.Ordinal);
        await line.RunSound("rig1", ("ripple-6", Ripple));
        Assert.Equal(["SH-2", "SH-3", "SH-4"], line.HeldFor("rig1"));
        var before = line.Plant.Derived();
        await line.Plant.Ledger.Rebuild();
        Assert.Equal(before, line.Plant.Derived());
    }

    [Fact]
    public async Task A_safety_function_that_moved_on_the_reference_sends_every_unit_to_its_test_again()
    {
        await using var line = await RigPlant.Ready(Seldom);
        await line.BuildToRig("SH-1");
        await line.LoadTest("SH-1", "rig1", RigPlant.Whole());
        await line.RunSound("rig1", ("ripple-6", Ripple), ("cut-off-speed", 0.3));

        Assert.Equal((RejudgedAs.CannotTell, "Cut-off speed has moved on the reference, and is never corrected."), Only(line, "rig1"));
        Assert.Empty((await Decide(line, new("rig1", line.Plant.NextKey(), "try", line.Plant.Now), Again(line, "rig1"))).Done!.Released);
        Assert.Equal(["SH-1"], line.HeldFor("rig1"));
    }

    [Fact]
    public async Task A_rig_whose_drift_nothing_shows_cannot_be_corrected()
    {
        await using var line = await RigPlant.Ready(Seldom);
        await line.BuildToRig("SH-1", "SH-2");
        await line.LoadTest("SH-1", "rig1", RigPlant.Whole());
        await line.RunBad("rig1", stopped: false);
        Assert.Equal((RejudgedAs.CannotTell, "The run that found the rig wrong does not show by how much."), Only(line, "rig1"));

        // Calibrated, and out at once: nothing says what it read of the reference since.
        await line.LoadTest("SH-2", "rig2", RigPlant.Whole());
        await line.Calibrate("rig2");
        await line.RunSound("rig2", ("ripple-6", 3 * Ripple));
        Assert.Equal((RejudgedAs.CannotTell, "Reference A had not run on it before: what it moved by is not known."), Only(line, "rig2"));
    }

    // Looked at, then run again on another rig before the decision comes: it rests on that other run now.
    [Fact]
    public async Task A_unit_that_was_run_again_meanwhile_is_left_alone()
    {
        await using var line = await RigPlant.Ready(Seldom);
        await line.BuildToRig("SH-1");
        await line.LoadTest("SH-1", "rig1", RigPlant.Whole());
        await line.RunSound("rig1", ("ripple-6", Ripple));
        var looked = Again(line, "rig1");
        await line.Plant.ReleaseUnit("SH-1", "again", "load-test");
        await line.LoadTest("SH-1", "rig2", RigPlant.Whole());
        Assert.NotNull((await Decide(line, new("rig1", line.Plant.NextKey(), "late", line.Plant.Now), looked)).Refused);
        Assert.Empty(Again(line, "rig1"));
    }

    static RigReferences Seldom(RigReferences r) => r with { EveryRuns = 100, EveryH = 100, KnownBadEveryH = 100, ColdAfterMin = 10_000 };

    static IReadOnlyList<string> FirstVerdicts(RigPlant line)
    {
        using var c = line.Plant.Read();
        return [.. c.Query<string>("select unit || verdict || sequence from unit_step order by 1"), .. c.Query<string>("select unit || coalesce(judgement, '') from load_test order by sequence")];
    }

    static IReadOnlyList<RejudgedUnit> Again(RigPlant line, string rig)
    {
        using var c = line.Plant.Read();
        return RejudgedRuns.Of(c, line.Plant.Context, rig, _ => RigPlant.Judge)!;
    }

    static (RejudgedAs, string) Only(RigPlant line, string rig) => Assert.Single(Again(line, rig)).Rejudged is var r ? (r.Outcome, r.Reason) : default;

    static Task<Outcome<RejudgeAnswer>> Decide(RigPlant line, RejudgeAct act, IReadOnlyList<RejudgedUnit> judged) => line.Plant.Write(t => RejudgeHeld.Decide(t, act, [.. judged.Where(u => u.Left is null)]));
}
