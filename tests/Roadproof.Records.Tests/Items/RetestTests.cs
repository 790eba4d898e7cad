using Dapper;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>Tries of a test: how many, after which rest, how they combine, and that nobody gets a free one. How strict a plant is: common practice, no source.</summary>
public sealed class RetestTests
{
    static readonly RequirementLimit Torque = new() { Id = "torque-delivered-50-60", Name = "Torque at 50 N·m and 60 rpm", Unit = "N·m", Lower = 47.5, Upper = 52.5, Origin = "test" };
    static readonly RequirementLimit Stop = new() { Id = "stop-response", Name = "Torque gone after pedalling stops", Unit = "s", Upper = 0.288, StandardUncertainty = 0.002, Safety = true, Origin = "test" };

    /// <summary>A run that reads so much torque, with 0.1 N·m of it drawn anew by each run and 0.1 N·m of the rig.</summary>
    static LoadTestVerdict Run(double torqueNm, double stopS = 0.16, RunStart? start = null, params string[] notShown)
    {
        List<RequirementReading> read =
        [
            Requirement.Judge(Torque, torqueNm, Math.Sqrt(0.02)) with { UncertaintyOfRun = 0.1, UncertaintyOfRig = 0.1 },
            .. notShown.Length > 0 ? [] : (RequirementReading[])[Requirement.Judge(Stop, stopS)],
        ];
        var verdict = read.Any(r => r.Verdict == Verdict.Fail) ? RunVerdict.Fail : notShown.Length > 0 || read.Any(r => r.Verdict == Verdict.Undecided) ? RunVerdict.Hold : RunVerdict.Pass;
        return TestPlant.Verdict() with { Verdict = verdict, Requirements = read, Start = start ?? new(21, 20.5), NotShown = notShown };
    }

    static Func<RouteRevision, RouteRevision> Step(string id, Func<RouteStep, RouteStep> change) => r => r with { Steps = [.. r.Steps.Select(s => s.Id == id ? change(s) : s)] };

    static async Task<TestPlant> Plant(string until, Func<RouteRevision, RouteRevision>? change = null)
    {
        var plant = new TestPlant(context: new([(change ?? (r => r))(TestRoute.Revision)], _ => null));
        await plant.ReceiveLots();
        await plant.Build("SH-1", until);
        return plant;
    }

    static Task<Messages.MessageAnswer> Leak(TestPlant plant, double leak) => plant.Do("SH-1", "leak-check", m => m with { Readings = [new("leak", leak, "cm³/min")] });

    static Task<Messages.MessageAnswer> Test(TestPlant plant, LoadTestVerdict run, string? rig = null) => plant.Do("SH-1", "load-test", loadTest: LoadTestOutcome.Judged(run), station: rig);

    static Task<Refusal> NotReleased(TestPlant plant, string? backTo = null) => plant.RefusedAct(t => ReleaseUnit.Decide(t, new("release", "SH-1", plant.NextKey(), "again", plant.Now, BackTo: backTo), plant.Context));

    static UnitView Unit(TestPlant plant)
    {
        using var c = plant.Read();
        return UnitQuery.Run(c, plant.Context, "SH-1")!;
    }

    static async Task IsRebuiltEqual(TestPlant plant)
    {
        var before = plant.Derived();
        await plant.Ledger.Rebuild();
        Assert.Equal(before, plant.Derived());
    }

    // Once an undecided unit could be measured until it read a pass.
    [Fact]
    public async Task What_is_undecided_is_measured_again_as_often_as_what_failed()
    {
        await using var plant = await Plant("leak-check");
        Assert.Equal("hold", (await Leak(plant, 5.1)).Verdict);
        Assert.Equal("leak-check", (await plant.ReleaseUnit("SH-1", "the hose moved", "leak-check")).Next);
        Assert.Equal("hold", (await Leak(plant, 5.0)).Verdict);
        Assert.Equal("Unit SH-1 has not passed the same step twice: it is not tested again without repair.", (await NotReleased(plant, "leak-check")).Reason);
        Assert.False(Unit(plant).Retest!.Allowed);
        // A person may still decide: nothing failed.
        Assert.Equal("load-test", (await plant.ReleaseUnit("SH-1", "looked at by quality")).Next);
        await IsRebuiltEqual(plant);
    }

    // Once a unit that had failed could be let go on when it was undecided the second time.
    [Fact]
    public async Task What_failed_and_is_undecided_then_is_not_let_go_on()
    {
        await using var plant = await Plant("leak-check");
        await Leak(plant, 9);
        await plant.ReleaseUnit("SH-1", "hose was loose");
        Assert.Equal("hold", (await Leak(plant, 5.1)).Verdict);
        Assert.Equal(new Refusal("Leak check failed on SH-1 and cannot be decided now: it is not let go on.", "Send it back to Leak check if a try is left, to a step before for repair, or scrap it.", "two passes, or a repair", "a fail, then undecided"), await NotReleased(plant));
        Assert.Equal("Unit SH-1 has not passed the same step twice: it is not tested again without repair.", (await NotReleased(plant, "leak-check")).Reason);
        Assert.Equal("cover", (await plant.ReleaseUnit("SH-1", "new gasket", "cover")).Next);
    }

    [Fact]
    public async Task A_safety_function_that_cannot_be_decided_is_neither_tried_again_nor_let_go_on()
    {
        await using var plant = await Plant("functional-check");
        Assert.Equal("hold", (await plant.Do("SH-1", "functional-check", m => m with { Readings = [new("clutch-lock", 30.2, "N·m")] })).Verdict);
        const string sentence = "A safety function of SH-1 cannot be decided: it is neither tested again without repair nor let go on.";
        Assert.Equal(sentence, (await NotReleased(plant)).Reason);
        Assert.Equal(sentence, (await NotReleased(plant, "functional-check")).Reason);
        Assert.StartsWith(sentence, Unit(plant).Retest!.Why, StringComparison.Ordinal);
        Assert.Equal("gears-in", (await plant.ReleaseUnit("SH-1", "another clutch", "gears-in")).Next);
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task What_says_so_is_never_tried_again_although_it_is_no_safety_function()
    {
        await using var plant = await Plant("leak-check", Step("leak-check", s => s with { Readings = [s.Readings[0] with { NoRetest = true }] }));
        await Leak(plant, 9);
        Assert.Equal("A safety function failed on SH-1: it is not tested again without repair.", (await NotReleased(plant)).Reason);
    }

    [Fact]
    public async Task A_run_that_did_not_show_a_safety_function_is_run_again_and_costs_no_try()
    {
        await using var plant = await Plant("load-test");
        Assert.Equal("hold", (await Test(plant, Run(50, notShown: "Torque gone after pedalling stops"))).Verdict);
        Assert.Equal("Held: Load test: torque gone after pedalling stops was not shown.", Unit(plant).Sentence);
        Assert.Equal("Torque gone after pedalling stops: not shown in this run. A safety function is tested in every unit: run it again.", Unit(plant).LoadTests[^1].Problem);
        Assert.Equal((true, "The run could not be judged, or does not count: it is run again and costs no try."), (Unit(plant).Retest!.Allowed, Unit(plant).Retest!.Why));

        // No person lets it go on without: the release only lets it be run again.
        Assert.Equal("load-test", (await plant.ReleaseUnit("SH-1", "switch was unplugged")).Next);
        Assert.Equal("pass", (await Test(plant, Run(50))).Verdict);
        Assert.Equal("Waits for Label.", Unit(plant).Sentence.Replace("Passed its load test, w", "W", StringComparison.Ordinal));
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task After_a_fail_the_mean_of_both_runs_decides_where_the_step_says_so()
    {
        await using var plant = await Plant("load-test", Step("load-test", s => s with { RetestScheme = RetestScheme.Mean }));
        Assert.Equal("fail", (await Test(plant, Run(47.1))).Verdict);
        await plant.ReleaseUnit("SH-1", "once more");
        // Passes alone; the mean of 47.1 and 47.9 lies on the edge.
        Assert.Equal(("hold", "Load test: mean of 2 runs, torque at 50 N·m and 60 rpm cannot be decided"), await Test(plant, Run(47.9)) is var held ? (held.Verdict!, held.Holds.Single()) : default);
        var mean = Unit(plant).LoadTests[^1].Verdict!.Mean!;
        Assert.Equal(47.5, mean.Requirements[0].Value, 9);
        Assert.Equal(Math.Sqrt(0.01 / 2 + 0.01), mean.Requirements[0].StandardUncertainty, 9);
        Assert.Equal([47.1, 47.9], Unit(plant).LoadTests.Select(t => t.Verdict!.Requirements[0].Value));
        Assert.Equal("Load test failed on SH-1 and cannot be decided now: it is not let go on.", (await NotReleased(plant)).Reason);
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task A_mean_well_inside_passes_and_another_rig_makes_it_surer()
    {
        await using var plant = await Plant("load-test", Step("load-test", s => s with { RetestScheme = RetestScheme.Mean }));
        await Test(plant, Run(47.2), "rig1");
        await plant.ReleaseUnit("SH-1", "once more");
        var answer = await Test(plant, Run(48.4), "rig2");
        Assert.Equal(("pass", 0), (answer.Verdict!, answer.Holds.Count));
        Assert.Empty(answer.Warnings);
        var mean = Unit(plant).LoadTests[^1].Verdict!.Mean!;
        Assert.Equal(["rig1", "rig2"], mean.Rigs);
        Assert.Equal(Math.Sqrt(0.01 / 2 + 0.01 / 2), mean.Requirements[0].StandardUncertainty, 9);
        await plant.Do("SH-1", "label");
    }

    [Fact]
    public async Task A_failed_safety_function_is_not_averaged_away()
    {
        await using var plant = await Plant("load-test", Step("load-test", s => s with { RetestScheme = RetestScheme.Mean }));
        Assert.Equal("fail", (await Test(plant, Run(50, stopS: 0.4))).Verdict);
        Assert.Equal("A safety function failed on SH-1: it is not tested again without repair.", (await NotReleased(plant)).Reason);
        // A late report brings another run all the same: it is kept, and decides nothing.
        await plant.Arrive("SH-1");
        var report = await plant.Take("rig1", plant.Finish("SH-1", "load-test") with { Kind = "report" }, LoadTestOutcome.Judged(Run(50)));
        Assert.Equal("fail", report.Verdict);
        Assert.Equal("A safety function failed on SH-1: it is not tested again without repair.", (await NotReleased(plant)).Reason);
    }

    // Passes that nobody allowed once stood: a report is always kept.
    [Fact]
    public async Task Tries_beyond_the_rule_never_stand_however_they_come()
    {
        await using var plant = await Plant("leak-check");
        foreach (var leak in new[] { 9.0, 9.0, 1.0, 1.0, 1.0 })
        {
            var report = plant.Finish("SH-1", "leak-check") with { Kind = "report", Readings = [new("leak", leak, "cm³/min")] };
            await plant.Take("st100", report);
        }

        Assert.Equal("leak-check", (await plant.ReleaseUnit("SH-1", "five times")).Next);
        Assert.Equal("Unit SH-1 has failed the same step twice: it is not tested again without repair.", (await plant.Refused("st100", plant.Begin("SH-1", "leak-check"))).Reason);
        await plant.HoldUnit("SH-1", "to the bench");
        Assert.Equal("cover", (await plant.ReleaseUnit("SH-1", "new gasket", "cover")).Next);
        await plant.Do("SH-1", "cover");
        await Leak(plant, 1);
        Assert.Equal("Waits for Load test.", Unit(plant).Sentence);
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task A_test_begins_again_only_when_the_unit_has_cooled_down()
    {
        await using var plant = await Plant("load-test", Step("load-test", s => s with { CoolDownS = 300 }));
        await Test(plant, Run(47.1));
        await plant.ReleaseUnit("SH-1", "once more");
        plant.Wait(60);
        var ended = plant.Now.AddSeconds(-60);
        var no = await plant.Refused("rig2", plant.Begin("SH-1", "load-test"));
        Assert.Equal(new Refusal($"Load test of SH-1 may begin again at {ended.AddSeconds(300):HH:mm:ss}: it cools down for 5 min after {ended:HH:mm:ss}.", $"Let it stand until {ended.AddSeconds(300):HH:mm:ss}, then start again.", $"from {ended.AddSeconds(300):HH:mm:ss} on", $"{plant.Now:HH:mm:ss}"), no);
        plant.Wait(240);
        await plant.Take("rig2", plant.Begin("SH-1", "load-test"));
    }

    [Fact]
    public async Task A_run_that_began_too_warm_does_not_count_unless_a_safety_function_failed_in_it()
    {
        await using var plant = await Plant("load-test", Step("load-test", s => s with { CoolDownK = 3 }));
        // The first run is whatever it is: nothing ran before it.
        Assert.Equal("fail", (await Test(plant, Run(47.1, start: new(30, 20)))).Verdict);
        await plant.ReleaseUnit("SH-1", "once more");
        Assert.Equal(["Load test: the run began too warm"], (await Test(plant, Run(50, start: new(24.1, 21)))).Holds);
        Assert.Equal("The run began with the winding 3.1 K warmer than the shell, 3 K at most: it does not count. Let the unit cool down and run it again.", Unit(plant).LoadTests[^1].Problem);
        await plant.ReleaseUnit("SH-1", "left to cool");
        Assert.Equal(["Load test: the run began too warm"], (await Test(plant, Run(50) with { Start = null })).Holds);
        Assert.StartsWith("Nothing says whether the unit had cooled down", Unit(plant).LoadTests[^1].Problem, StringComparison.Ordinal);
        await plant.ReleaseUnit("SH-1", "sensor plugged in");

        Assert.Equal("pass", (await Test(plant, Run(50, start: new(23.9, 21)))).Verdict);
        Assert.Equal("Waits for Load test.", Unit(plant).Sentence);
        Assert.Equal("fail", (await Test(plant, Run(50, stopS: 0.4, start: new(30, 21)))).Verdict);
        Assert.Equal("A safety function failed on SH-1: it is not tested again without repair.", (await NotReleased(plant)).Reason);
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task The_page_says_before_a_retest_what_a_pass_will_mean()
    {
        await using var plant = await Plant("load-test", Step("load-test", s => s with { CoolDownS = 240, CoolDownK = 3 }));
        await Test(plant, Run(47.5 - 2 * Math.Sqrt(0.02)), "rig2");
        var retest = Unit(plant).Retest!;
        Assert.Equal((true, "Once more without repair. It then has to pass twice in a row.", 3.0), (retest.Allowed, retest.Why, retest.WithinK!.Value));
        Assert.Equal(["fail"], retest.Tries);
        Assert.Equal(plant.Now.AddSeconds(240), retest.From);
        var m = retest.Meaning!;
        Assert.Equal((2.0, 1.64, 0.5, 1.0, true), (Math.Round(m.DistanceU, 9), Math.Round(m.GuardFactor, 9), Math.Round(m.RedrawnShare!.Value, 9), Math.Round(m.RedrawnElsewhere!.Value, 9), m.IsBeyond));
        Assert.Equal(RetestRisk.Of(2, RetestScheme.TwoOfTwo, 0.5, 1.64).PassIfGood, m.ByRule.PassIfGood, 9);
        Assert.Equal(RetestRisk.Of(2, RetestScheme.TwoOfTwo, 1, 1.64).PassIfBad, m.Elsewhere!.PassIfBad, 9);
        Assert.Equal(
            [
                "Torque at 50 N·m and 60 rpm was read 2.0 standard uncertainties beyond its limit. Of 100 units truly as far outside, fewer than 1 passes by this rule; of 100 as far inside, 73 pass.",
                "Another run on rig2 draws 50 % of the uncertainty anew; what the instruments and the unit add comes again. On another rig 100 % is drawn anew, its own error too: fewer than 1 passes of 100 as far outside, 79 pass of 100 as far inside.",
            ],
            retest.Says);
    }

    [Fact]
    public async Task What_lies_far_out_is_repaired_and_not_tested_again()
    {
        await using var plant = await Plant("load-test");
        await Test(plant, Run(46));
        Assert.Contains("So far out no test is mistaken: another one will say the same. Repair it.", Unit(plant).Retest!.Says[0], StringComparison.Ordinal);
    }

    static LoadTestVerdict Along(double sigma, StatisticSpread? spread) => Run(50) with
    {
        Verdict = RunVerdict.Hold, NearestFault = new("motor-drag", "Bearing or rotor drag", sigma, 3.3) { Spread = spread },
    };

    // Load tests mostly stop by expectation limits: once a single pass was enough after one, with no word on what it means.
    [Fact]
    public async Task After_an_unusual_run_a_unit_passes_twice_and_the_page_says_what_that_means()
    {
        await using var plant = await Plant("load-test");
        Assert.Equal("hold", (await Test(plant, Along(3.9, new(0.95, 0.5, 0.3, 0.35)), "rig2")).Verdict);
        var retest = Unit(plant).Retest!;
        Assert.Equal((true, true, "Once more without repair. It then has to pass twice in a row."), (retest.Allowed, retest.AsksTwice, retest.Why));
        var m = retest.Meaning!;
        Assert.Equal((StopKind.Fault, 1.2, 0.36), (m.Statistic!.Kind, Math.Round(m.DistanceU, 9), Math.Round(m.RedrawnShare!.Value, 9)));
        Assert.Equal(RetestRisk.Of(1.2, RetestScheme.TwoOfTwo, 0.36).PassIfBad, m.ByRule.PassIfBad, 9);
        Assert.Equal(
            [
                "Along bearing or rotor drag it was read 3.9 σ of sound units out, 3.3 at most: 1.2 standard uncertainties of the reading beyond. Of 100 units with the fault as found, 13 pass by this rule; of 100 sound ones, more than 99 pass.",
                "Another run on rig2 draws 36 % of the reading's uncertainty anew, and 10 % of what scatters sound units: its parts, the instruments and the rig come again. On another rig 85 % is drawn anew, its own error too: 13 pass of 100 with the fault, more than 99 pass of 100 sound ones.",
            ],
            retest.Says);

        await plant.ReleaseUnit("SH-1", "once more", "load-test");
        Assert.Equal("pass", (await Test(plant, Run(50))).Verdict);
        Assert.Equal("Waits for Load test.", Unit(plant).Sentence);
        Assert.Equal("pass", (await Test(plant, Run(50))).Verdict);
        await plant.Do("SH-1", "label");
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task What_was_unusual_twice_is_decided_by_a_person_and_not_run_a_third_time()
    {
        await using var plant = await Plant("load-test");
        await Test(plant, Along(3.9, null));
        Assert.Equal(["It reads unlike sound units, and its verdict is from before it was kept how such a figure scatters: nobody can say what a pass would be worth."], Unit(plant).Retest!.Says);
        await plant.ReleaseUnit("SH-1", "once more", "load-test");
        await Test(plant, Along(3.8, null));
        Assert.Equal("Unit SH-1 has not passed the same step twice: it is not tested again without repair.", (await NotReleased(plant, "load-test")).Reason);
        Assert.Equal("label", (await plant.ReleaseUnit("SH-1", "looked at by quality")).Next);
    }

    [Fact]
    public async Task Where_the_mean_decides_an_unusual_run_holds_the_unit_and_the_page_says_so()
    {
        await using var plant = await Plant("load-test", Step("load-test", s => s with { RetestScheme = RetestScheme.Mean }));
        await Test(plant, Along(3.9, new(0.95, 0.5, 0.3, 0.35)));
        Assert.Equal(Unit(plant).Retest!.Meaning!.Once, Unit(plant).Retest!.Meaning!.ByRule);
        Assert.EndsWith("a run that was unusual holds the unit, whatever the next one says.", Unit(plant).Retest!.Says[0], StringComparison.Ordinal);
        await plant.ReleaseUnit("SH-1", "once more", "load-test");
        Assert.Equal("hold", (await Test(plant, Run(50))).Verdict);
    }

    // The reading of a station's own gauge: nobody has split its uncertainty up, and after an undecided try one pass is enough.
    [Fact]
    public async Task An_undecided_check_says_what_its_plain_second_chance_lets_through()
    {
        await using var plant = await Plant("leak-check");
        await Leak(plant, 5.1);
        var m = Unit(plant).Retest!.Meaning!;
        Assert.Equal((0.5, true, (double?)null), (Math.Round(m.DistanceU, 9), m.IsBeyond, m.RedrawnShare));
        Assert.Equal(RetestRisk.Of(0.5, RetestScheme.Free, 1, 1.64).PassIfBad, m.ByRule.PassIfBad, 9);
        Assert.Equal("Once more without repair. One pass is enough, because nothing failed.", Unit(plant).Retest!.Why);
        Assert.Equal("Nobody has split this uncertainty up: the figures take all of it to be drawn anew, which lets most bad units through.", Unit(plant).Retest!.Says[1]);
    }

    [Fact]
    public async Task First_figures_are_those_of_the_first_try()
    {
        await using var plant = await Plant("load-test");
        await Test(plant, TestPlant.Verdict(RunVerdict.Fail, fluxSigma: 1.5, Requirement.Judge(Torque, 47.1, 0.1)));
        await plant.ReleaseUnit("SH-1", "once more");
        await Test(plant, TestPlant.Verdict(fluxSigma: -0.5));
        await Test(plant, TestPlant.Verdict(fluxSigma: -0.5));
        await plant.Do("SH-1", "label");
        using var c = plant.Read();
        Assert.Contains("1.5", c.QuerySingle<string>("select sigmas from unit_residual where unit = 'SH-1'"), StringComparison.Ordinal);
        Assert.NotNull(c.QuerySingle<string?>("select stopped_at from unit where unit = 'SH-1'"));
        Assert.Equal(3, Unit(plant).LoadTests.Count);
    }
}
