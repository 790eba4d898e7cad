using CsCheck;
using Dapper;
using Roadproof.Engineering.Judging;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.Tests.Items;

/// <summary>A rig judges only while its reference units say so, and what it judged since they last did is stopped: those units and no others.</summary>
/// <remarks>Reference units, intervals and warm-up: common practice, no source.</remarks>
public sealed class RigReferenceTests
{
    [Fact]
    public async Task A_rig_warms_up_shows_both_references_and_judges()
    {
        await using var line = new RigPlant();
        await line.Plant.ReceiveLots();
        await line.Calibrate("rig1");
        await line.BuildToRig("SH-1");
        Assert.Equal("rig1 is cold.", (await Refused(line, "SH-1", "rig1")).Reason);

        Assert.Contains("does not count", Assert.Single((await line.RunSound("rig1")).Warnings), StringComparison.Ordinal);
        Assert.Equal("rig1 is cold.", (await Refused(line, "SH-1", "rig1")).Reason);
        await line.RunSound("rig1");
        var no = await Refused(line, "SH-1", "rig1");
        Assert.Equal(("rig1 has not stopped REF-B, which is known to be bad, since it was put right.", "Run REF-B on it."), (no.Reason, no.Remedy));
        await line.RunBad("rig1");

        Assert.Equal("pass", (await line.LoadTest("SH-1", "rig1")).Verdict);
        await IsRebuiltEqual(line);
    }

    [Fact]
    public async Task A_route_without_reference_units_asks_for_none()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();
        await plant.Build("SH-1", "label");
        using var c = plant.Read();
        Assert.Null(c.ExecuteScalar<string>("select rig_standing from load_test"));
    }

    [Fact]
    public async Task After_its_interval_of_runs_or_hours_a_rig_waits_for_its_reference()
    {
        await using var line = await RigPlant.Ready(r => r with { EveryH = 24 });
        await line.BuildToRig("SH-1", "SH-2", "SH-3", "SH-4", "SH-5");
        foreach (var unit in (string[])["SH-1", "SH-2", "SH-3"]) await line.LoadTest(unit, "rig1");
        Assert.Equal("rig1 has run 3 units since its last reference.", (await Refused(line, "SH-4", "rig1")).Reason);
        await line.RunSound("rig1");
        await line.LoadTest("SH-4", "rig1");

        // Few runs, and no reference for two hours.
        await using var slow = await RigPlant.Ready(r => r with { EveryRuns = 100 });
        await slow.BuildToRig("SH-1", "SH-2", "SH-3", "SH-4");
        await slow.RunSound("rig1");
        foreach (var unit in (string[])["SH-1", "SH-2", "SH-3"])
        {
            slow.Plant.Wait(2300);
            await slow.LoadTest(unit, "rig1");
        }

        slow.Plant.Wait(400);
        Assert.Equal("The last reference of rig1 is older than 2 h.", (await Refused(slow, "SH-4", "rig1")).Reason);
    }

    // Its grease may have settled: what such a run reads is as unsure as a drift. The record of it says when it was turned, so that the next one counts.
    [Fact]
    public async Task A_reference_that_stood_nobody_knows_how_long_says_nothing_yet()
    {
        await using var line = await RigPlant.Ready();
        var run = RigPlant.Sound();
        var unsure = run with { Verdict = run.Verdict! with { Kind = new(Engineering.LoadTest.SampleRates.Usual, IdleIsKnown: false) } };
        var answer = (await line.Send("rig1", line.Said("REF-A"), unsure)).Answer!;
        Assert.Equal("hold", answer.Verdict);
        Assert.Contains("how long it had stood is not known", Assert.Single(answer.Holds), StringComparison.Ordinal);
        line.Plant.Wait(3600);
        using var c = line.Plant.Read();
        Assert.InRange(IdleTime.Hours(c, "REF-A", line.Plant.Context.Standing[0], line.Plant.Now)!.Value, 0.9, 1.1);
    }

    [Fact]
    public async Task How_long_a_unit_stood_counts_from_its_last_run_or_from_a_step_that_turns_its_gears()
    {
        await using var line = await RigPlant.Ready(r => r with { EveryH = 100, ColdAfterMin = 10_000 });
        await line.BuildToRig("SH-1");
        var revision = line.Plant.Context.Standing[0];
        var turning = revision with { Steps = [.. revision.Steps.Select(s => s.Id == "functional-check" ? s with { TurnsGears = true } : s)] };
        line.Plant.Wait(7200);
        using var c = line.Plant.Read();
        Assert.Null(IdleTime.Hours(c, "SH-1", revision, line.Plant.Now));
        Assert.Null(IdleTime.Hours(c, "SH-1", turning, null));
        Assert.InRange(IdleTime.Hours(c, "SH-1", turning, line.Plant.Now)!.Value, 1.99, 2.1);
        await line.LoadTest("SH-1", "rig1");
        line.Plant.Wait(1800);
        Assert.InRange(IdleTime.Hours(c, "SH-1", revision, line.Plant.Now)!.Value, 0.49, 0.55);
        // A clock that was set back: the run is not known to lie before.
        Assert.Null(IdleTime.Hours(c, "SH-1", revision, line.Plant.Now.AddHours(-3)));
    }

    [Fact]
    public async Task A_rig_that_has_stood_is_cold_again()
    {
        await using var line = await RigPlant.Ready(r => r with { ColdAfterMin = 60 });
        await line.BuildToRig("SH-1");
        line.Plant.Wait(3700);
        Assert.Equal("rig1 is cold.", (await Refused(line, "SH-1", "rig1")).Reason);
        await line.RunSound("rig1");
        await line.RunSound("rig1");
        await line.LoadTest("SH-1", "rig1");
    }

    [Fact]
    public async Task A_run_that_began_in_time_is_taken_when_it_ends_late()
    {
        await using var line = await RigPlant.Ready();
        await line.BuildToRig("SH-1");
        await line.Plant.Take("rig1", line.Plant.Begin("SH-1", "load-test"));
        line.Plant.Wait(3 * 3600);
        await line.Plant.Arrive("SH-1");
        Assert.Equal("pass", (await line.Plant.Take("rig1", line.Plant.Finish("SH-1", "load-test"), LoadTestOutcome.Judged(TestPlant.Verdict()))).Verdict);
    }

    [Fact]
    public async Task A_report_from_a_rig_that_may_not_judge_is_kept_and_holds()
    {
        await using var line = await RigPlant.Ready();
        await line.BuildToRig("SH-1");
        await line.RunSound("rig1", off: 30);
        await line.Plant.Arrive("SH-1");
        var answer = await line.Plant.Take("rig1", line.Plant.Finish("SH-1", "load-test") with { Kind = "report" }, LoadTestOutcome.Judged(TestPlant.Verdict()));
        Assert.Contains(answer.Holds, h => h.StartsWith("rig1 reads its reference wrong", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Exactly_the_units_since_the_last_good_reference_are_stopped()
    {
        await using var line = await RigPlant.Ready(r => r with { EveryRuns = 100, EveryH = 24 });
        await line.BuildToRig("SH-1", "SH-2", "SH-3", "SH-4", "SH-5", "SH-6", "SH-7", "SH-8", "SH-9");
        await line.LoadTest("SH-1", "rig2");
        await line.RunSound("rig2");
        await line.LoadTest("SH-2", "rig2");
        await line.LoadTest("SH-3", "rig1");

        // Undecided here and measured again elsewhere: the verdict rests on the other rig. The other way round it rests on this one.
        await line.LoadTest("SH-4", "rig2", RunVerdict.Hold);
        await line.Plant.ReleaseUnit("SH-4", "again", "load-test");
        await line.LoadTest("SH-4", "rig3");
        await line.LoadTest("SH-5", "rig3", RunVerdict.Hold);
        await line.Plant.ReleaseUnit("SH-5", "again", "load-test");
        await line.LoadTest("SH-5", "rig2");

        // Failed, then two passes of two, one of them here.
        await line.LoadTest("SH-6", "rig3", RunVerdict.Fail);
        await line.Plant.ReleaseUnit("SH-6", "again", "load-test");
        await line.LoadTest("SH-6", "rig2");
        await line.LoadTest("SH-6", "rig1");

        // Shipped and scrapped ones cannot be stopped any more; one that is sent back runs again anyway.
        await line.LoadTest("SH-7", "rig2");
        foreach (var step in (string[])["label", "mark", "pack"]) await line.Plant.Do("SH-7", step);
        await line.LoadTest("SH-8", "rig2", RunVerdict.Fail);
        await line.Plant.ScrapUnit("SH-8", "beyond repair");
        await line.LoadTest("SH-9", "rig2", RunVerdict.Fail);
        await line.Plant.ReleaseUnit("SH-9", "gears", "gears-in");

        var answer = await line.RunSound("rig2", off: 30);

        Assert.Equal("fail", answer.Verdict);
        Assert.Equal(["SH-2", "SH-5", "SH-6"], line.HeldFor("rig2"));
        Assert.Contains("1 more have left: SH-7.", answer.Warnings);
        using var c = line.Plant.Read();
        Assert.Equal(["SH-2", "SH-5", "SH-6", "SH-7"], c.Query<string>("select unit from rig_suspect where rig = 'rig2' order by unit"));
        Assert.Equal("shipped", c.ExecuteScalar<string>("select state from unit where unit = 'SH-7'"));

        // The same answer of the rig again stops nobody twice.
        await line.RunSound("rig2", off: 30);
        Assert.Equal(3, c.ExecuteScalar<int>("select count(*) from hold where cause = 'rig:rig2'"));
        await IsRebuiltEqual(line);
    }

    // A clock that is two hours ahead, then set back: the order in which the line heard it decides. A late report counts by the rig's own clock.
    [Fact]
    public async Task A_clock_that_is_set_hides_no_run_and_adds_none()
    {
        await using var line = await RigPlant.Ready(r => r with { EveryRuns = 100, EveryH = 100, ColdAfterMin = 10_000 });
        await line.BuildToRig("SH-1", "SH-2", "SH-3", "SH-4");
        await line.LoadTest("SH-1", "rig1", clockH: 2);
        var reportOfEarlier = line.Plant.Finish("SH-2", "load-test") with { Kind = "report" };
        var reportOfLater = line.Plant.Finish("SH-3", "load-test") with { Kind = "report", OccurredAt = line.Plant.Now.AddMinutes(10) };
        await line.RunSound("rig1");
        foreach (var report in (StationMessage[])[reportOfEarlier, reportOfLater])
        {
            await line.Plant.Arrive(report.Item);
            line.Plant.Wait(700);
            await line.Plant.Take("rig1", report, LoadTestOutcome.Judged(TestPlant.Verdict()));
        }

        await line.LoadTest("SH-4", "rig1", clockH: -3.0 / 3600);
        await line.RunSound("rig1", off: 30);

        Assert.Equal(["SH-3", "SH-4"], line.HeldFor("rig1"));
    }

    [Fact]
    public async Task A_rig_that_passes_a_known_bad_unit_may_not_judge()
    {
        await using var line = await RigPlant.Ready();
        await line.BuildToRig("SH-1", "SH-2");
        await line.LoadTest("SH-1", "rig1");
        var answer = await line.RunBad("rig1", stopped: false);

        Assert.Equal("fail", answer.Verdict);
        Assert.Equal(["SH-1"], line.HeldFor("rig1"));
        Assert.Equal("rig1 has passed REF-B, which is known to be bad.", (await Refused(line, "SH-2", "rig1")).Reason);
    }

    [Fact]
    public async Task Put_right_and_good_again_a_rig_s_units_are_run_again_and_keep_their_label_and_mark()
    {
        await using var line = await RigPlant.Ready();
        await line.BuildToRig("SH-1", "SH-2", "SH-3");
        await line.LoadTest("SH-1", "rig1");
        await line.Plant.Do("SH-1", "label");
        await line.LoadTest("SH-2", "rig1", RunVerdict.Fail);
        await line.RunSound("rig1", off: 30);
        Assert.Equal(["SH-1", "SH-2"], line.HeldFor("rig1"));

        var no = await line.Plant.RefusedAct(t => ReleaseUnit.Decide(t, new("release", "SH-1", line.Plant.NextKey(), "looks fine", line.Plant.Now), line.Plant.Context));
        Assert.Equal("SH-1 was judged by rig1, which read its reference wrong.", no.Reason);
        await line.Calibrate("rig1");
        Assert.Equal("rig1 has run no sound reference since it was calibrated.", (await Refused(line, "SH-3", "rig1")).Reason);
        await line.RunSound("rig1");
        await line.RunBad("rig1");

        var done = await line.Plant.Write(t => DecideOnRigsUnits.Decide(t, new("retest", "rig1", line.Plant.NextKey(), "The torque gauge was put right.", line.Plant.Now, "q1"), line.Plant.Context));
        Assert.Equal(["SH-1", "SH-2"], done.Done!.Released);
        Assert.Empty(line.HeldFor("rig1"));

        // One run is enough: what the rig said before counts no more, a fail of it included.
        await line.LoadTest("SH-1", "rig1");
        Assert.Equal("pass", (await line.LoadTest("SH-2", "rig1")).Verdict);
        using var c = line.Plant.Read();
        Assert.Equal(("mark", "label"), c.QuerySingle<(string, string)>("select (select next_step from unit where unit = 'SH-1'), (select next_step from unit where unit = 'SH-2')"));
        Assert.Equal(0, c.ExecuteScalar<int>("select sum(repairs) from unit"));
        Assert.Equal(4, c.ExecuteScalar<int>("select count(*) from load_test"));
        await IsRebuiltEqual(line);
    }

    [Fact]
    public async Task Verdicts_stand_where_the_rig_shows_that_it_was_right_all_along()
    {
        await using var line = await RigPlant.Ready();
        await line.BuildToRig("SH-1");
        await line.LoadTest("SH-1", "rig1");
        await line.RunSound("rig1", off: 30);
        await line.RunSound("rig1");
        var done = await line.Plant.Write(t => DecideOnRigsUnits.Decide(t, new("keep", "rig1", line.Plant.NextKey(), "The reference was clamped askew.", line.Plant.Now, "q1"), line.Plant.Context));
        Assert.Equal(["SH-1"], done.Done!.Released);
        using var c = line.Plant.Read();
        Assert.Equal("label", c.ExecuteScalar<string>("select next_step from unit"));
    }

    [Fact]
    public async Task A_reference_is_no_unit_of_the_line_and_counts_nowhere()
    {
        await using var line = await RigPlant.Ready();
        var shell = line.Plant.Finish("REF-A", "shell-in");
        Assert.StartsWith("REF-A is a reference unit", (await line.Plant.Refused("st10", shell)).Reason, StringComparison.Ordinal);
        Assert.StartsWith("REF-A is a reference unit", (await line.Plant.Refused("st140", line.Plant.Finish("REF-A", "pack", "x"))).Reason, StringComparison.Ordinal);
        using var c = line.Plant.Read();
        var view = LineQuery.Run(c, line.Plant.Context, line.Plant.Context.Standing[0], line.Plant.Now);
        Assert.Equal((0, 0, 0), (view.Figures.Started, view.Figures.InProgress, view.Figures.FirstPassUnits));
        Assert.Equal(0, c.ExecuteScalar<int>("select (select count(*) from unit) + (select count(*) from unit_step) + (select count(*) from load_test)"));
    }

    [Fact]
    public async Task The_same_key_gets_the_first_answer_again()
    {
        await using var line = await RigPlant.Ready();
        var said = line.Said("REF-A");
        var first = await line.Send("rig1", said, RigPlant.Sound());
        var again = await line.Send("rig1", said, RigPlant.Sound(off: 30));
        Assert.Equal(first.Answer! with { Repeat = true, Holds = [], Warnings = [] }, again.Answer! with { Holds = [], Warnings = [] }, (a, b) => a.Sequence == b.Sequence && a.Verdict == b.Verdict && a.Repeat == b.Repeat);
        var other = await line.Send("rig1", said with { Remark = "other" }, RigPlant.Sound());
        Assert.Contains("was used before", other.Refused!.Refusal.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_verdict_keeps_what_its_rig_could_show_for_itself()
    {
        await using var line = await RigPlant.Ready();
        await line.BuildToRig("SH-1");
        await line.LoadTest("SH-1", "rig1");
        using var c = line.Plant.Read();
        var standing = RecordJson.Read<RigStanding>(c.ExecuteScalar<string>("select rig_standing from load_test")!);
        Assert.True(standing.MayJudge);
        Assert.Equal("sound", standing.Reference);
        Assert.InRange(standing.FarthestSigma!.Value, 0, 0.01);
    }

    // Against a plain model: which runs were on the rig after its last good reference, and are the units' last.
    [Fact]
    public Task Random_days_stop_exactly_what_a_plain_model_stops() => Gen.Select(Gen.Int[0, 5], Gen.Int[1, 3]).Array[4, 14].SampleAsync(async day =>
    {
        await using var line = await RigPlant.Ready(r => r with { EveryRuns = 1000, EveryH = 1000, KnownBadEveryH = 1000, ColdAfterMin = 100_000 });
        var (last, sinceGood, number) = (new Dictionary<string, int>(StringComparer.Ordinal), new Dictionary<int, List<string>> { [1] = [], [2] = [], [3] = [] }, 0);
        var wrong = new HashSet<int>();

        // A good reference lets no unit go on: what was stopped stays so until it is run again.
        var stopped = new Dictionary<int, HashSet<string>> { [1] = [], [2] = [], [3] = [] };
        foreach (var (what, rig) in day)
        {
            if (what == 5 && !wrong.Contains(rig))
            {
                await line.RunSound($"rig{rig}", off: 30);
                stopped[rig].UnionWith(sinceGood[rig].Where(u => last[u] == rig));
                Assert.Equal(stopped[rig].Order(StringComparer.Ordinal), line.HeldFor($"rig{rig}").Order(StringComparer.Ordinal));
                wrong.Add(rig);
            }
            else if (what == 4)
            {
                await line.RunSound($"rig{rig}");
                sinceGood[rig].Clear();
                wrong.Remove(rig);
            }
            else if (!wrong.Contains(rig))
            {
                var again = what == 3 ? last.Keys.FirstOrDefault(u => Held(line, u)) : null;
                var unit = again ?? $"SH-{++number}";
                if (again is null) await line.BuildToRig(unit);
                else await line.Plant.ReleaseUnit(unit, "again", "load-test");
                await line.LoadTest(unit, $"rig{rig}", what == 0 ? RunVerdict.Hold : RunVerdict.Pass);
                last[unit] = rig;
                foreach (var list in sinceGood.Values) list.Remove(unit);
                foreach (var set in stopped.Values) set.Remove(unit);
                sinceGood[rig].Add(unit);
            }
        }

        await IsRebuiltEqual(line);
    }, iter: 12, threads: 1);

    static bool Held(RigPlant line, string unit)
    {
        using var c = line.Plant.Read();
        return c.ExecuteScalar<string>("select state from unit where unit = @unit", new { unit }) == "held";
    }

    static Task<Engineering.Quantities.Refusal> Refused(RigPlant line, string unit, string rig) => line.Plant.Refused(rig, line.Plant.Begin(unit, "load-test"));

    static async Task IsRebuiltEqual(RigPlant line)
    {
        var before = line.Plant.Derived();
        await line.Plant.Ledger.Rebuild();
        Assert.Equal(before, line.Plant.Derived());
    }
}
