using Dapper;
using Roadproof.App.Line;
using Roadproof.App.Unit;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Records.Gauges;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;
using Roadproof.Records.Rigs;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>Rigs: what the page says of them, and a unit in doubt that is run again by keyboard.</summary>
[Collection("whole plant")]
public sealed class RigTests(ServedLine line, WholePlant plant)
{
    [Fact]
    public async Task A_rig_that_reads_wrong_is_told_put_right_and_its_unit_run_again_by_keyboard()
    {
        await using (var morning = await ServedDemo.Start(new() { Seed = 4, Units = 6 }, DemoFolder.Whole))
        {
            var cold = await line.Open(morning.Address + "/rigs");
            await Expect(cold.Locator("h1")).ToContainTextAsync("is cold.");
            await Accessibility.Check(cold);
        }

        await using var demo = await plant.WithPassedUnit();
        var (unit, rig) = PassedUnit(demo);
        var page = await line.Open(demo.Address + "/rigs");
        await page.GotoAsync($"{demo.Address}/stations/{rig}");
        await Expect(page.Locator("#rig-note")).ToHaveCountAsync(0);
        await Reference(demo, rig, off: 40);
        await Expect(page.Locator("#rig-note")).ToContainTextAsync("This rig may not judge.");
        await page.GotoAsync($"{demo.Address}/rigs");
        await Expect(page.Locator("h1")).ToContainTextAsync("reads its reference wrong");
        await Expect(page.Locator($"#{rig} .rig-again tr[data-key='{unit}']")).ToContainTextAsync("Test again");
        await Expect(page.Locator($"#{rig} .drift.is-out").First).ToBeVisibleAsync();
        await Expect(page.Locator($"#decide-{rig}")).ToHaveCountAsync(0);
        await Accessibility.Check(page);
        Assert.Equal(0, await page.SidewaysScroll());

        var at = demo.Line.Clock.GetLocalNow();
        await demo.Line.Ledger.Write(t => RecordCalibration.Decide(t, new(rig, "torque-transducer", at.AddDays(90), $"browser-cal-{rig}", "put right", at), demo.Line.Plant));
        await Reference(demo, rig, off: 0);
        await KnownBad(demo, rig);
        await page.TabTo($"#reason-{rig}");
        await page.Keyboard.TypeAsync("gauge put right");
        await page.TabTo($"#decide-{rig} button[value=retest]");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator($"#{rig} .rig-again")).ToHaveCountAsync(0);
        using var c = demo.Line.Ask();
        Assert.Equal(("building", "load-test"), c.QuerySingle<(string, string)>("select state, next_step from unit where unit = @unit", new { unit }));

        var narrow = await line.Open(demo.Address + "/rigs", width: 390);
        Assert.Equal(0, await narrow.SidewaysScroll());
        await Accessibility.Check(narrow);
    }

    [Fact]
    public async Task A_unit_that_passes_whatever_the_drift_was_is_let_go_by_keyboard()
    {
        await using var demo = await plant.WithPassedUnit();
        var (unit, rig) = PassedUnit(demo);
        await Drifted(demo, rig);
        var page = await line.Open(demo.Address + "/rigs");
        var row = page.Locator($"#{rig} .rig-again tr[data-key='{unit}']");
        await Expect(row).ToContainTextAsync("It passes whatever the drift was.");
        await Accessibility.Check(page);
        Assert.Equal(0, await page.SidewaysScroll());

        await page.TabTo($"#reason-{rig}");
        await page.Keyboard.TypeAsync("the ripple gauge had moved");
        await page.TabTo($"#decide-{rig} button[value=rejudge]");
        await page.Keyboard.PressAsync("Enter");
        await Expect(row).ToHaveCountAsync(0);
        using var c = demo.Line.Ask();
        Assert.Equal("passed", c.QuerySingle<string>("select state from unit where unit = @unit", new { unit }));
        await page.GotoAsync($"{demo.Address}/units/{unit}");
        await Expect(page.Locator("body")).ToContainTextAsync($"Its run on {rig} judged again for the rig's drift: the ripple gauge had moved. It passes whatever the drift was. It goes on.");
    }

    [Fact]
    public async Task The_last_run_of_a_reference_on_the_same_rig_is_laid_over_a_units_run()
    {
        await using var demo = await plant.WithPassedUnit();
        var (unit, rig) = PassedUnit(demo);
        var run = AskLine.Unit(unit, demo.Line)!.LoadTests[^1];
        var reference = ListOtherRuns.Run(unit, run.Attempt, demo.Line).Done!.References[0];
        Assert.True(reference.SameRig);
        Assert.Contains(References(demo).Units, u => u.Code == reference.Unit);

        var page = await line.Open($"{demo.Address}/units/{unit}");
        var canvas = page.Locator("canvas[data-trace]");
        await canvas.ScrollIntoViewIfNeededAsync();
        await Expect(page.Locator(".trace .hint output")).ToContainTextAsync("samples a channel");
        var other = page.Locator("[data-trace-other]");
        await other.FocusAsync();
        await Expect(other.Locator("optgroup[label='References on this rig'] option").First).ToContainTextAsync(reference.Name);
        var before = await canvas.EvaluateAsync<string>("c => c.toDataURL()");
        await other.SelectOptionAsync($"{reference.Unit}/{reference.Attempt}");
        await Expect(page.Locator("[data-trace-other-word]")).ToContainTextAsync($"{reference.Unit} on {rig}, dashed:");
        await page.WaitForFunctionAsync("before => document.querySelector('canvas[data-trace]').toDataURL() !== before", before);
        await canvas.FocusAsync();
        await page.Keyboard.PressAsync("m");
        await Expect(page.Locator("[data-trace-figures] tbody tr")).ToHaveCountAsync(8);
        var turn = page.Locator("details[data-turn]");
        await turn.Locator("> summary").PressAsync("Enter");
        await Expect(turn.Locator("[data-beside]")).ToContainTextAsync($"Dashed: {reference.Unit}.");
        await Accessibility.Check(page);
    }

    /// <summary>The rig's newest good reference run once more, with the ripple two standard deviations of sound units off.</summary>
    static async Task Drifted(ServedDemo demo, string rig)
    {
        using var ask = demo.Line.Ask();
        var good = RecordJson.Read<ReferenceRunBody>(ask.QueryFirst<string>("select l.body from ledger l join reference_run r on r.sequence = l.sequence where r.rig = @rig and r.outcome = 'good' order by r.sequence desc", new { rig })).Decided;
        var wrong = good.Run! with { Expectations = [.. good.Run.Expectations.Select(e => e.Id == "ripple-6" ? e with { Value = e.Value + 2 * e.StandardDeviation } : e)] };
        await Run(demo, rig, References(demo).Units.First(u => u.Id == good.Reference), wrong);
    }

    /// <summary>The unit that has passed its load test and not left yet, and the rig that it ran on.</summary>
    static (string Unit, string Rig) PassedUnit(ServedDemo demo)
    {
        using var c = demo.Line.Ask();
        return c.QueryFirst<(string, string)>("select u.unit, l.rig from unit u join load_test l on l.unit = u.unit where u.state = 'passed' and u.product = 'af-85' order by l.sequence desc");
    }

    static RigReferences References(ServedDemo demo) => demo.Line.Standing[0].Product.References!;

    static Task Reference(ServedDemo demo, string rig, double off)
    {
        var unit = References(demo).Sound.First();
        var expectations = unit.Expected.Select(e => new ExpectationReading(e.Id, e.Id, "", e.Value + off * e.StandardDeviation, 0, e.Value, 1, 0, 0, 0, Verdict.Usual)).ToList();
        return Run(demo, rig, unit, new(RunVerdict.Pass, [], expectations, 0, 0, 0, [], [], "test", []));
    }

    static Task KnownBad(ServedDemo demo, string rig) => Run(demo, rig, References(demo).KnownBad.First(), new(RunVerdict.Fail, [], [], 0, 0, 0, [], [], "test", []));

    static async Task Run(ServedDemo demo, string rig, ReferenceUnit unit, LoadTestVerdict verdict)
    {
        var revision = demo.Line.Standing[0];
        using var ask = demo.Line.Ask();
        var person = ask.QueryFirst<string>("select person from unit_step where station = @rig", new { rig });
        var said = new StationMessage
        {
            Key = $"browser-{rig}-{Guid.NewGuid():N}", Kind = "request", Item = unit.Code, Step = "load-test", OccurredAt = demo.Line.Clock.GetLocalNow(), Person = person,
            Captures = [new(Convert.ToHexStringLower(System.Security.Cryptography.RandomNumberGenerator.GetBytes(32)), "slow")],
        };
        var outcome = await demo.Line.Ledger.Write(t =>
        {
            // The folder was kept in the middle of a day: the rig may be at work.
            t.Connection.Execute("update station_state set unit = null where station = @rig", new { rig }, t.Transaction);
            return TakeMessage.Decide(t, rig, said, demo.Line.Plant, reference: new(verdict, "", unit.Kind == ReferenceKind.Sound ? demo.Line.JudgeOf(revision).JudgeOf(unit) : null));
        });
        Assert.Null(outcome.Refused);
    }
}
