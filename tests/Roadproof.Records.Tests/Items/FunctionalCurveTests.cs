using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Curves;
using Roadproof.Records.Definitions;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>A step that takes its readings from slow turning: each against its limit, all against sound units, and what says nothing of the unit refused.</summary>
public sealed class FunctionalCurveTests
{
    static readonly RouteRevision Revision = FunctionalFolder.Revision;
    static readonly RouteStep Step = Revision.StepOf("functional-check")!;

    [Fact]
    public async Task One_capture_gives_every_reading_with_its_uncertainty_and_lies_among_sound_units()
    {
        await using var plant = await AtTheCheck();
        var answer = await Do(plant, SampleCurves.Functional("SH-1"));
        Assert.Equal("pass", answer.Verdict);
        Assert.Equal(["communication", "drag-forward", "drag-backward", "backlash", "clutch-lock", "clutch-free", "sensor-zero", "phase-balance"], answer.Readings.Select(r => r.Id));

        var unit = Unit(plant);
        foreach (var (id, value) in new[] { ("drag-forward", 0.20), ("drag-backward", 0.17), ("clutch-free", 0.13), ("backlash", 4.0), ("clutch-lock", 140.0), ("sensor-zero", 0.1) })
        {
            var read = unit.Readings.Single(r => r.Id == id).Reading!;
            Assert.True(Math.Abs(read.Value - value) < 0.01 + 0.12 * (id == "backlash" ? 3 : 0) && read is { StandardUncertainty: > 0, Verdict: Verdict.Pass }, $"{read}");
        }

        var curve = Assert.Single(unit.Curves);
        var sound = curve.Verdict!.SoundUnits!;
        Assert.Equal(("Slow turning", CurveKind.Functional), (curve.Name, curve.Verdict.Kind));
        Assert.Equal(6, sound.Readings.Count);
        Assert.True(!sound.TogetherUnusual() && sound.Readings.All(e => e.Verdict == Verdict.Usual), curve.Verdict.Reading);
        await Rebuilds(plant);
    }

    [Fact]
    public async Task A_drag_beyond_its_limit_fails_and_one_that_only_sound_units_tell_is_held()
    {
        await using var failing = await AtTheCheck();
        var dragging = await Do(failing, SampleCurves.Functional("SH-1", forward: 0.4));
        Assert.Equal("fail", dragging.Verdict);
        Assert.Contains("Functional check: drag forward too high", dragging.Holds);

        // Nothing limits the drag of gears and rotor; sound units do.
        await using var plant = await AtTheCheck();
        var rubbing = await Do(plant, SampleCurves.Functional("SH-1", driven: 3));
        Assert.Equal(("hold", "Functional check: drag of gears and rotor unusual"), (rubbing.Verdict, rubbing.Holds[0]));
        Assert.All(rubbing.Readings, r => Assert.NotEqual("fail", r.Verdict));
        Assert.Contains("σ", Unit(plant).Steps.Single(s => s.Step == Step.Id).Word, StringComparison.Ordinal);
        await Rebuilds(plant);
    }

    [Fact]
    public async Task Drags_that_are_each_usual_and_do_not_fit_together_are_held()
    {
        await using var plant = await AtTheCheck();
        var answer = await Do(plant, SampleCurves.Functional("SH-1", forward: 0.215, backward: 0.148));
        var sound = Assert.Single(Unit(plant).Curves).Verdict!.SoundUnits!;
        Assert.True(sound.TogetherUnusual(), $"{sound.Distance} of {sound.DistanceLimit}: {string.Join(", ", sound.Readings.Select(r => r.Sigma))}");
        Assert.All(sound.Readings, e => Assert.Equal(Verdict.Usual, e.Verdict));
        Assert.Equal(("hold", "Functional check: readings unusual together"), (answer.Verdict, Assert.Single(answer.Holds)));
    }

    [Fact]
    public async Task A_clutch_that_let_go_fails_as_a_safety_function()
    {
        await using var plant = await AtTheCheck();
        var rows = SampleCurves.Functional("SH-1").Text.Split('\n').Select(l => Slipped(l.Split(',')));
        var answer = await Do(plant, new("functional", System.Text.Encoding.UTF8.GetBytes(string.Join('\n', rows))));
        Assert.Equal("fail", answer.Verdict);
        Assert.Equal("fail", answer.Readings.Single(r => r.Id == "clutch-lock").Verdict);
        Assert.Equal(100, Unit(plant).Readings.Single(r => r.Id == "clutch-lock").Reading!.Value, 0.5);

        // At 100 N·m the shaft turns on and half the torque is gone.
        static string Slipped(string[] row) => row is [var t, "4", _, var nm, .. var rest] && double.Parse(nm, System.Globalization.CultureInfo.InvariantCulture) is var torque && torque < -100
            ? FormattableString.Invariant($"{t},4,{0.1 * torque + 8:0.000},-50,{string.Join(',', rest)}") : string.Join(',', row);
    }

    public static TheoryData<string, string> None { get; } = new()
    {
        { "early", "functional.csv:3642: section: found no section 6 (Still), expected all six sections. Was the file cut short?" },
        { "ramp", "functional.csv: torque: found a ramp that ended at 100 N·m while the clutch held, expected a ramp to 140 N·m. Was it cut short?" },
        { "phases", "functional.csv:1: found no phase_current_u_a, phase_current_v_a and phase_current_w_a, expected phase_current_u_a, phase_current_v_a and phase_current_w_a, which Functional check is judged by." },
        { "speed", "functional.csv: angle: found section 1 turned at 90 °/s, expected 60 °/s within 10 %." },
    };

    [Theory]
    [MemberData(nameof(None))]
    public async Task What_says_nothing_of_the_unit_is_refused_in_words(string slip, string found)
    {
        await using var plant = await AtTheCheck();
        var curve = slip switch
        {
            "early" => new SampleCurve("functional", System.Text.Encoding.UTF8.GetBytes(string.Join('\n', SampleCurves.Functional().Text.Split('\n').TakeWhile(l => !l.Contains(",6,", StringComparison.Ordinal))))),
            "ramp" => SampleCurves.Functional(rampNm: 100),
            "phases" => SampleCurves.Functional(phases: false),
            _ => SampleCurves.Functional(degPerS: 90),
        };
        var refusal = await plant.Refused("st80", Finish(plant, curve), curves: Judged(curve));
        Assert.Equal("Functional check: the curve of slow turning could not be judged.", refusal.Reason);
        Assert.StartsWith(found, refusal.Found, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Of_another_unit_without_a_capture_or_with_a_number_beside_it_is_refused_and_the_station_asks_for_the_capture()
    {
        await using var plant = await AtTheCheck();
        var good = SampleCurves.Functional("SH-1");
        var other = await plant.Refused("st80", Finish(plant, good), curves: [CurveOutcome.OfOtherUnit("functional", good.Sha256, "SH-9")]);
        Assert.Equal("The captures are of SH-9, not of SH-1.", other.Reason);
        var none = await plant.Refused("st80", Finish(plant, good) with { Captures = [] });
        Assert.Equal(("Functional check of SH-1 names no curve of slow turning.", "Send the curve and name it functional by its hash."), (none.Reason, none.Remedy));
        var said = Finish(plant, good);
        var errors = await plant.NotUnderstood("st80", said with { Readings = [.. said.Readings, new("drag-forward", 0.2, "N·m")] });
        Assert.Equal("message: readings[1].id: found 'drag-forward', expected no value: it is read from its curve. Send the capture of slow turning and name it functional.", Assert.Single(errors).ToString());

        using var c = plant.Read();
        Assert.Equal([("capture", "functional"), ("reading", "communication")], StationQuery.Run(c, plant.Context, "st80", plant.Now)!.Needs.Select(n => (n.Kind, n.Id)));
    }

    static async Task<TestPlant> AtTheCheck()
    {
        var plant = new TestPlant(context: new([Revision], _ => null));
        foreach (var part in Revision.Parts.Where(p => !p.Shell)) await plant.ReceiveLot($"L-{part.Id}", part.Id);
        foreach (var step in Revision.Steps.TakeWhile(s => s.Id != Step.Id))
            Assert.Equal("pass", (await plant.Take(Revision.Line.Stations.First(s => s.Step == step.Id).Id, Finish(plant, step))).Verdict);
        return plant;
    }

    static async Task<MessageAnswer> Do(TestPlant plant, SampleCurve curve)
    {
        await plant.Write(t => t.Append(new($"capture-kept-{curve.Sha256}-1", RecordKinds.CaptureKept, curve.Sha256, "", t.Now, "", """{"bytes":1000}""")));
        return await plant.Take("st80", Finish(plant, curve), curves: Judged(curve));
    }

    static StationMessage Finish(TestPlant plant, SampleCurve curve) => Finish(plant, Step) with { Captures = [new(curve.Sha256, curve.Name)] };

    static StationMessage Finish(TestPlant plant, RouteStep step) => new()
    {
        Key = plant.NextKey(), Kind = "request", Item = "SH-1", Step = step.Id, OccurredAt = plant.Now, Person = "p1",
        Parts = [.. step.Parts.Where(p => p.Part != "shell").Select(p => new MessagePart(p.Part, $"L-{p.Part}", Revision.Parts.First(d => d.Id == p.Part).Serialised ? $"{p.Part}-1" : null))],
        Readings = [.. step.Readings.Where(r => !step.IsFromCurve(r)).Select(r => r.Text ? new MessageReading(r.Id, Text: r.Equal ?? "ok") : new MessageReading(r.Id, r.UsualValue, r.Unit))],
        Screws = [.. step.Screws.SelectMany(g => Enumerable.Range(1, g.Count).Select(n => new MessageScrew(g.Id, n, (g.TorqueLowerNm + g.TorqueUpperNm) / 2, 50)))],
    };

    static IReadOnlyList<CurveOutcome> Judged(SampleCurve curve)
    {
        var check = Assert.Single(CurveCheck.Of(Revision, Step));
        try
        {
            return [CurveOutcome.Judged(check.Judge(curve.Octets, curve.Sha256))];
        }
        catch (InputException e)
        {
            return [CurveOutcome.CannotJudge(check.Id, curve.Sha256, e.Message)];
        }
    }

    static async Task Rebuilds(TestPlant plant)
    {
        var before = plant.Derived();
        await plant.Ledger.Rebuild();
        Assert.Equal(before, plant.Derived());
    }

    static UnitView Unit(TestPlant plant)
    {
        using var c = plant.Read();
        return UnitQuery.Run(c, plant.Context, "SH-1")!;
    }
}
