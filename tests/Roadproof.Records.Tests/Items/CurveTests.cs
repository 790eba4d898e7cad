using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Curves;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>Steps that are judged from curves: their readings and screws come from the curve, and what is no curve of theirs is refused or holds.</summary>
public sealed class CurveTests
{
    static readonly RouteRevision Revision = CurveFolder.Revision;

    [Fact]
    public async Task A_step_takes_its_screws_and_readings_from_the_curve_and_keeps_every_feature()
    {
        await using var plant = Plant();
        await At(plant, "SH-1", "cover");
        var answer = await Do(plant, "st30", "cover", SampleCurves.Cover());
        Assert.Equal("pass", answer.Verdict);

        var unit = Unit(plant, "SH-1");
        Assert.Equal("8 of 8", unit.Steps.Single(s => s.Step == "cover").Word);
        Assert.All(unit.Screws, s => Assert.True(s.Verdict == "pass" && Math.Abs(s.TorqueNm - 5.5) < 0.02 && Math.Abs(s.AngleDeg!.Value - 47) < 1));
        Assert.Equal(8, unit.Screws.Count);

        Assert.Equal("pass", (await Do(plant, "st40", "leak-check", SampleCurves.Leak())).Verdict);
        var leak = Unit(plant, "SH-1").Readings.Single(r => r.Id == "leak").Reading!;
        Assert.True(Math.Abs(leak.Value - 1.2) < 0.3 && leak.StandardUncertainty > 0.05, $"{leak}");

        var curves = Unit(plant, "SH-1").Curves;
        Assert.Equal(["bearing-force", "cover", "leak"], curves.Select(c => c.Check));
        var cover = curves.Single(c => c.Check == "cover");
        Assert.Equal(SampleCurves.Crosswise, cover.Verdict!.Screws.Select(s => s.Number));
        Assert.Contains(cover.Verdict.Screws[0].Features, f => f is { Id: "slope", StandardUncertainty: > 0, Verdict: Verdict.Pass });
        Assert.Equal(0.4 / 4.7, cover.Verdict.Features.Single(f => f.Id == "relaxation").Value!.Value, 0.02);
        await Rebuilds(plant);
    }

    [Fact]
    public async Task A_stripped_thread_fails_although_its_torque_was_once_reached_and_says_why()
    {
        await using var plant = Plant();
        await At(plant, "SH-1", "cover");
        var curve = SampleCurves.Cover(stripped: 3);
        var answer = await Do(plant, "st30", "cover", curve);
        Assert.Equal("fail", answer.Verdict);
        Assert.Contains("Cover: cover screws, thread or head has let go", answer.Holds);
        Assert.Equal("fail", Assert.Single(Unit(plant, "SH-1").Screws, s => s.Number == 3).Verdict);
    }

    [Fact]
    public async Task A_leak_that_temperature_hides_is_held_and_the_verdict_is_the_commands()
    {
        await using var plant = Plant();
        await At(plant, "SH-1", "leak-check");
        var curve = SampleCurves.Leak(cm3PerMin: 4, wallKPerS: 0.02);
        var answer = await Do(plant, "st40", "leak-check", curve);
        Assert.Equal("hold", answer.Verdict);
        Assert.Equal(["Leak check: leak cannot be decided"], answer.Holds);
        Assert.Equal("undecided", Assert.Single(answer.Readings).Verdict);
    }

    [Fact]
    public async Task A_request_is_refused_without_its_curve_with_one_cut_short_and_with_one_of_another_unit()
    {
        await using var plant = Plant();
        await At(plant, "SH-1", "cover");
        var good = SampleCurves.Cover();
        var none = await plant.Refused("st30", Finish(plant, "SH-1", "cover", good) with { Captures = [] });
        Assert.Equal(("Cover of SH-1 names no curve of cover screws.", "Send the curve and name it cover by its hash."), (none.Reason, none.Remedy));

        var half = Named("cover", new("cover", good.Octets[..(good.Octets.Length / 2)]));
        var cut = await plant.Refused("st30", Finish(plant, "SH-1", "cover", half), curves: Judged("cover", half));
        Assert.Equal("Cover: the curve of cover screws could not be judged.", cut.Reason);
        Assert.Contains("cover.csv", cut.Found, StringComparison.Ordinal);

        var other = await plant.Refused("st30", Finish(plant, "SH-1", "cover", good), curves: [CurveOutcome.OfOtherUnit("cover", good.Sha256, "SH-9")]);
        Assert.Equal("The captures are of SH-9, not of SH-1.", other.Reason);

        var early = SampleCurves.Cover(finalNm: new Dictionary<int, double> { [7] = 5.2 });
        var driver = Finish(plant, "SH-1", "cover", early) with { Screws = [.. Enumerable.Range(1, 8).Select(n => new MessageScrew("cover", n, 5.5, 47))] };
        var differs = await plant.Refused("st30", driver, curves: Judged("cover", early));
        Assert.StartsWith("The curve of screw 7 ends at 5.2", differs.Found, StringComparison.Ordinal);

        // The driver counts its angle from elsewhere: where a curve is asked for, the curve decides.
        await Arrive(plant, good);
        var own = Finish(plant, "SH-1", "cover", good) with { Screws = [.. Enumerable.Range(1, 8).Select(n => new MessageScrew("cover", n, 5.5, 95))] };
        Assert.Equal("pass", (await plant.Take("st30", own, curves: Judged("cover", good))).Verdict);
    }

    [Fact]
    public async Task A_report_without_a_curve_that_can_be_judged_holds_once_and_is_recorded_again()
    {
        await using var plant = Plant();
        await At(plant, "SH-1", "leak-check");
        await Arrive(plant, SampleCurves.Leak());
        var answer = await plant.Take("st40", Finish(plant, "SH-1", "leak-check", SampleCurves.Leak()) with { Kind = "report" }, curves: [CurveOutcome.CannotJudge("leak", SampleCurves.Leak().Sha256, "leak.csv:1: no pressure")]);
        Assert.Equal("hold", answer.Verdict);
        Assert.Equal(["Leak check: the curve of leak could not be judged"], answer.Holds);
        Assert.Equal("leak-check", (await plant.ReleaseUnit("SH-1", "recorded again")).Next);
    }

    [Fact]
    public async Task A_report_that_names_no_curve_holds_and_does_not_wait_for_ever()
    {
        await using var plant = Plant();
        await At(plant, "SH-1", "leak-check");
        var answer = await plant.Take("st40", Finish(plant, "SH-1", "leak-check", SampleCurves.Leak()) with { Kind = "report", Captures = [] });
        Assert.Equal("hold", answer.Verdict);
        Assert.Contains("Leak check: the curve of leak could not be judged", answer.Holds);
        await Rebuilds(plant);
    }

    [Fact]
    public async Task A_reading_that_comes_from_a_curve_is_not_sent_as_a_number()
    {
        await using var plant = Plant();
        await At(plant, "SH-1", "leak-check");
        var errors = await plant.NotUnderstood("st40", Finish(plant, "SH-1", "leak-check", SampleCurves.Leak()) with { Readings = [new("leak", 1.2, "cm³/min")] });
        Assert.Equal("message: readings[0].id: found 'leak', expected no value: it is read from its curve. Send the curve as a capture of this name.", Assert.Single(errors).ToString());
    }

    [Fact]
    public async Task A_curve_that_comes_later_completes_its_step()
    {
        await using var plant = Plant();
        await At(plant, "SH-1", "leak-check");
        var curve = SampleCurves.Leak(cm3PerMin: 9);
        var answer = await plant.Take("st40", Finish(plant, "SH-1", "leak-check", curve));
        Assert.Equal("waiting", answer.Verdict);
        var waiting = Assert.Single(await Arrive(plant, curve));
        var late = await plant.Write(t => LateVerdict.Decide(t, waiting.StepSequence, null, plant.Context, "late", Judged("leak-check", curve)));
        Assert.Equal(("fail", "Leak check: leak too high"), (late.Verdict, Assert.Single(late.Holds)));
        var unit = Unit(plant, "SH-1");
        Assert.Equal(9, unit.Readings.Single(r => r.Id == "leak").Reading!.Value, 0.5);
        Assert.Equal("fail", unit.Steps.Single(s => s.Step == "leak-check").State);
        await Rebuilds(plant);
    }

    [Fact]
    public async Task A_station_asks_nobody_for_a_number_that_its_tester_sends_as_a_curve()
    {
        await using var plant = Plant();
        using var c = plant.Read();
        var need = Assert.Single(StationQuery.Run(c, plant.Context, "st40", plant.Now)!.Needs);
        Assert.Equal(("capture", "leak", "Measure leak"), (need.Kind, need.Id, need.Say));
    }

    [Fact]
    public async Task Curves_retire_by_the_plants_rule_each_step_for_itself()
    {
        await using var plant = Plant();
        for (var n = 1; n <= 4; n++) await At(plant, $"SH-{n}", "leak-check");
        using var c = plant.Read();
        var kept = c.CreateCommand();
        kept.CommandText = "select group_concat(n, ' ') from (select step || ' ' || count(*) n from capture_ref where state = 'kept' group by step order by step)";
        Assert.Equal("bearing-in 2 cover 2", kept.ExecuteScalar());
        await Rebuilds(plant);
    }

    static async Task<MessageAnswer> Do(TestPlant plant, string station, string step, SampleCurve curve)
    {
        await Arrive(plant, curve);
        return await plant.Take(station, Finish(plant, "SH-1", step, curve), curves: Judged(step, curve));
    }

    static TestPlant Plant() => new(context: new([Revision], _ => null));

    static IReadOnlyList<CurveOutcome> Judged(string step, SampleCurve curve)
    {
        var check = Assert.Single(CurveCheck.Of(Revision, Revision.StepOf(step)!));
        try
        {
            return [CurveOutcome.Judged(check.Judge(curve.Octets, curve.Sha256))];
        }
        catch (InputException e)
        {
            return [CurveOutcome.CannotJudge(check.Id, curve.Sha256, e.Message)];
        }
    }

    static SampleCurve Named(string name, SampleCurve curve) => curve with { Name = name };

    static StationMessage Finish(TestPlant plant, string unit, string step, SampleCurve curve) => new()
    {
        Key = plant.NextKey(), Kind = "request", Item = unit, Step = step, OccurredAt = plant.Now, Person = "p1",
        Parts = [.. Revision.StepOf(step)!.Parts.Where(p => p.Part != "shell").Select(p => new MessagePart(p.Part, $"L-{p.Part}"))],
        Captures = [new(curve.Sha256, curve.Name)],
    };

    /// <summary>A unit in front of a step, everything before it passed; each unit has curves of its own.</summary>
    static async Task At(TestPlant plant, string unit, string until)
    {
        if (unit == "SH-1")
        {
            await plant.ReceiveLot("L-bearing", "bearing");
            await plant.ReceiveLot("L-cover-screw", "cover-screw");
        }

        await plant.Take("st10", Finish(plant, unit, "shell-in", SampleCurves.Press()) with { Captures = [] });
        foreach (var (station, step, curve) in new[] { ("st20", "bearing-in", SampleCurves.Press(unit)), ("st30", "cover", SampleCurves.Cover(unit)) })
        {
            if (step == until) return;
            await Arrive(plant, curve);
            Assert.Equal("pass", (await plant.Take(station, Finish(plant, unit, step, curve), curves: Judged(step, curve))).Verdict);
        }
    }

    static async Task<IReadOnlyList<WaitingStep>> Arrive(TestPlant plant, SampleCurve curve)
    {
        await plant.Write(t => t.Append(new($"capture-kept-{curve.Sha256}-1", RecordKinds.CaptureKept, curve.Sha256, "", t.Now, "", """{"bytes":1000}""")));
        using var c = plant.Read();
        return WaitingSteps.Naming(c, curve.Sha256);
    }

    static async Task Rebuilds(TestPlant plant)
    {
        var before = plant.Derived();
        await plant.Ledger.Rebuild();
        Assert.Equal(before, plant.Derived());
    }

    static UnitView Unit(TestPlant plant, string unit)
    {
        using var c = plant.Read();
        return UnitQuery.Run(c, plant.Context, unit)!;
    }
}
