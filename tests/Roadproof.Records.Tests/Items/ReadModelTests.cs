using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Genealogy;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>What pages show, made from records.</summary>
public sealed class ReadModelTests
{
    // R. G. Newcombe, Statistics in Medicine 17 (1998) 857–872, table I, method 3 (Wilson's score, no continuity correction); from memory.
    [Theory]
    [InlineData(81, 263, 0.2553, 0.3662), InlineData(15, 148, 0.0624, 0.1605), InlineData(0, 20, 0.0000, 0.1611), InlineData(1, 29, 0.0061, 0.1718)]
    public void The_interval_of_a_share_is_Wilsons(int hits, int of, double lower, double upper)
    {
        var interval = Figures.ShareInterval(hits, of);
        Assert.Equal((lower, upper), (Math.Round(interval.Lower, 4), Math.Round(interval.Upper, 4)));
    }

    // "Reads like A magnet missing or reversed" once stood on a page.
    [Fact]
    public async Task A_unit_unusual_along_a_fault_is_held_with_its_name_inside_a_sentence()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();
        await plant.Build("SH-1", "load-test");
        var verdict = TestPlant.Verdict() with { Verdict = RunVerdict.Hold, NearestFault = new("magnet-missing", "A magnet missing or reversed", 5, 3.3) };
        await plant.Do("SH-1", "load-test", loadTest: LoadTestOutcome.Judged(verdict));
        using var c = plant.Read();
        Assert.Equal("Load test: unusual along a magnet missing or reversed", Assert.Single(UnitQuery.Run(c, plant.Context, "SH-1")!.Holds).Reason);
    }

    // A page once said "reads like magnets too weak" above a diagnosis of "93 % nothing wrong".
    [Fact]
    public async Task The_headline_says_what_stopped_a_unit_and_then_what_the_evidence_says()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();
        await plant.Build("SH-1", "load-test");
        var verdict = TestPlant.Verdict() with
        {
            Verdict = RunVerdict.Hold, NearestFault = new("weak-flux", "Magnets too weak", 3.4, 3.3),
            Diagnosis = [new("sound", "Nothing wrong: a sound unit far out", 0.93, 0, new(0, 0, 0.95), "", [], "", ""), new("weak-flux", "Magnets too weak", 0.06, -2, new(-3, -1, 0.95), "%", [], "The rotor's lot.", "")],
        };
        await plant.Do("SH-1", "load-test", loadTest: LoadTestOutcome.Judged(verdict));
        using var c = plant.Read();
        const string headline = "Load test: unusual along magnets too weak, +3.4 σ against 3.3; most probably sound all the same, 93 %";
        var view = UnitQuery.Run(c, plant.Context, "SH-1")!;
        Assert.Equal($"Held: {headline}.", view.Sentence);
        Assert.Equal($"A look, then a decision. {headline}.", Roadproof.Records.Rework.ReworkQuery.Run(c, plant.Context, "SH-1")!.WaitsFor);
        Assert.Equal(["unusual along magnets too weak, +3.4 σ against 3.3"], view.Stops.Select(s => s.Says));
        // The hold itself holds no figure: equal reasons are counted.
        Assert.Equal("Load test: unusual along magnets too weak", Assert.Single(view.Holds).Reason);
    }

    // "Torque cannot be decided" once stood above a rotor angle 19.9 σ out.
    [Fact]
    public async Task The_worst_comes_first_in_a_headline()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();
        await plant.Build("SH-1", "load-test");
        var torque = Requirement.Judge(new RequirementLimit { Id = "torque", Name = "Torque at 50 N·m", Unit = "N·m", Lower = 47.5, Origin = "test" }, 47.6, 0.1);
        await plant.Do("SH-1", "load-test", loadTest: LoadTestOutcome.Judged(TestPlant.Verdict(RunVerdict.Hold, -19.9, torque)));
        using var c = plant.Read();
        var view = UnitQuery.Run(c, plant.Context, "SH-1")!;
        Assert.Equal("Held: Load test: flux linkage unusual, −19.9 σ against 4.0.", view.Sentence);
        Assert.Equal([Verdict.Unusual, Verdict.Unusual, Verdict.Undecided], view.Stops.Select(s => s.Reason.Verdict));
        Assert.Equal("torque at 50 N·m cannot be decided, 47.6 N·m against 47.5", view.Stops[^1].Says);

        // What failed, and a safety function that nobody may decide, come before anything unusual.
        var failed = TestPlant.Verdict(RunVerdict.Fail, -19.9, Requirement.Judge(new RequirementLimit { Id = "torque", Name = "Torque", Unit = "N·m", Lower = 47.5, Origin = "test" }, 40, 0.1));
        Assert.Equal("torque", StopReasons.Of(failed)[0].Id);
        var safety = TestPlant.Verdict(RunVerdict.Hold, -19.9, Requirement.Judge(new RequirementLimit { Id = "stop", Name = "Stop", Unit = "s", Upper = 0.288, Safety = true, Origin = "test" }, 0.287, 0.01));
        Assert.Equal("stop", StopReasons.Of(safety)[0].Id);
    }

    [Fact]
    public async Task A_station_shows_its_unit_what_it_needs_in_order_and_who_comes_next()
    {
        await using var plant = await Plant();
        await plant.Build("SH-1", "controller-in");
        await plant.Build("SH-2", "controller-in");
        await plant.Build("SH-3", "controller-in");
        await plant.HoldUnit("SH-3", "scratch");
        await plant.Take("st50", plant.Begin("SH-1", "controller-in"));

        using var c = plant.Read();
        var view = StationQuery.Run(c, plant.Context, "st50", plant.Now)!;
        Assert.Equal(("SH-1", plant.Now), (view.Unit, view.BeganAt));
        Assert.Equal(["controller", "thermal-paste", "phase", "paste-mass"], view.Needs.Select(n => n.Id));
        Assert.Equal(("part", true), (view.Needs[0].Kind, view.Needs[0].Serialised));
        Assert.Equal(["SH-2"], view.Next);
        Assert.Null(StationQuery.Run(c, plant.Context, "st999", plant.Now));
        Assert.Equal("capture", StationQuery.Run(c, plant.Context, "rig3", plant.Now)!.Needs.Single().Kind);
    }

    [Fact]
    public async Task A_refusal_stands_at_the_station_until_something_is_taken_there()
    {
        await using var plant = await Plant();
        await plant.Build("SH-1", "rotor-in");
        await plant.Refused("st30", plant.Finish("SH-1", "rotor-in") with { Readings = [] });
        using (var c = plant.Read())
        {
            Assert.Equal("Insertion force is missing.", StationQuery.Run(c, plant.Context, "st30", plant.Now)!.LastRefusal!.Reason);
            var note = Assert.Single(NotesQuery.Run(c, plant.Context, plant.Now));
            Assert.Equal(("refusal", "st30 was refused: Insertion force is missing"), (note.Kind, note.Title));
        }

        await plant.Do("SH-1", "rotor-in");
        using var after = plant.Read();
        Assert.Null(StationQuery.Run(after, plant.Context, "st30", plant.Now)!.LastRefusal);
        Assert.Empty(NotesQuery.Run(after, plant.Context, plant.Now));
        Assert.Equal(1, LineQuery.Run(after, plant.Context, TestRoute.Revision, plant.Now).Figures.Refusals);
    }

    [Fact]
    public async Task The_line_shows_what_runs_where_and_what_waits_ahead()
    {
        await using var plant = await Plant();
        await plant.Build("SH-1", "load-test");
        await plant.Build("SH-2", "load-test");
        await plant.Take("rig2", plant.Begin("SH-1", "load-test"));
        plant.Wait(30);
        using var c = plant.Read();
        var line = LineQuery.Run(c, plant.Context, TestRoute.Revision, plant.Now);
        Assert.Equal(16, line.Stations.Count);
        Assert.Equal([110, 110, 110], line.Stations.Where(s => s.Step == "load-test").Select(s => s.Number));
        var rig = line.Stations.Single(s => s.Station == "rig2");
        Assert.Equal(("running", "SH-1", plant.Now.AddSeconds(-30), 1), (rig.State, rig.Unit, rig.Since, rig.WaitingAhead));
        Assert.Equal(("waiting", null, 1), (line.Stations.Single(s => s.Station == "rig1").State, line.Stations.Single(s => s.Station == "rig1").Unit, line.Stations.Single(s => s.Station == "rig1").WaitingAhead));
        Assert.Null(line.Figures.FirstPassYield);
        Assert.Equal((plant.Ledger.Head.Size, plant.Ledger.Head.RootHash), (line.LedgerSize, line.LedgerHead));
    }

    [Fact]
    public async Task Yesterday_is_not_today()
    {
        await using var plant = await Plant();
        await plant.Build("SH-1");
        plant.Wait(24 * 3600);
        using var c = plant.Read();
        var figures = LineQuery.Run(c, plant.Context, TestRoute.Revision, plant.Now).Figures;
        Assert.Equal((0, 0, 0, null), (figures.Started, figures.Shipped, figures.FirstPassUnits, figures.BeatS));
    }

    [Fact]
    public async Task The_beat_is_the_time_between_units_that_leave()
    {
        await using var plant = await Plant();
        for (var i = 0; i < 4; i++)
        {
            await plant.Build($"SH-{i}");
            plant.Wait(i * 10);
        }

        // Fourteen steps of 40 s, then 0, 10 and 20 s: the middle one is 570 s.
        using var c = plant.Read();
        Assert.Equal(570, LineQuery.Run(c, plant.Context, TestRoute.Revision, plant.Now).Figures.BeatS);
    }

    [Fact]
    public async Task Notes_come_most_urgent_first_and_equal_holds_are_one_note()
    {
        await using var plant = await Plant();
        await plant.ReceiveLot("G-1", "grease", expiresAt: plant.Now.AddHours(1));
        foreach (var unit in new[] { "SH-1", "SH-2" })
        {
            await plant.Build(unit, "leak-check", m => m with { Parts = m.Parts.Select(p => p.Part == "grease" ? p with { Lot = "G-1" } : p).ToList() });
            await plant.Do(unit, "leak-check", m => m with { Readings = [new("leak", 8, "cm³/min")] });
        }

        await plant.Build("SH-3", "load-test");
        await plant.Take("rig1", plant.Finish("SH-3", "load-test"));
        await plant.Write(t => Quarantine.Keep(t, "st10", "{", [new InputError("message", 1, "", "half a message", "a station message as JSON")]));
        plant.Wait(3600);

        using var c = plant.Read();
        Assert.Equal(
            ["Grease lot G-1 has expired and is in use", "2 units are on hold. Leak check: leak too high", "Load test of SH-3 waits for 1 capture", "1 message could not be understood"],
            NotesQuery.Run(c, plant.Context, plant.Now).Select(n => n.Title));
    }

    [Fact]
    public async Task Genealogy_goes_both_ways_and_keeps_what_came_out()
    {
        await using var plant = await Plant();
        await plant.Build("SH-1", "controller-in");
        await plant.Build("SH-2");
        await plant.HoldUnit("SH-1", "scratch");
        await plant.ReleaseUnit("SH-1", "new rotor", "rotor-in");
        await plant.Take("st30", plant.Finish("SH-1", "rotor-in") with { Parts = [new("rotor", "L-rotor", "rotor-B")] });

        using var c = plant.Read();
        Assert.Equal([("SH-1", true), ("SH-2", false), ("SH-1", false)], GenealogyQuery.UnitsWithLot(c, "L-rotor").Select(u => (u.Unit, u.Replaced)));
        Assert.Equal(2, LotQuery.Run(c, plant.Context, "L-rotor")!.InUnits);
        Assert.Equal(["SH-2"], GenealogyQuery.UnitsWithPart(c, "rotor-of-SH-2").Select(u => u.Unit));
        var shipped = GenealogyQuery.UnitsWithPart(c, "rotor-of-SH-2").Single();
        Assert.Equal(("shipped", "Tarnbeck Cycles"), (shipped.State, shipped.Customer));
        Assert.Equal(["rotor-of-SH-1", "rotor-B"], GenealogyQuery.PartsOf(c, "SH-1").Where(p => p.Part == "rotor").Select(p => p.Serial));
        Assert.Equal(10, GenealogyQuery.PartsOf(c, shipped.UnitSerial!).Count);
    }

    [Fact]
    public async Task Units_are_found_by_state_and_by_anything_that_can_be_scanned()
    {
        await using var plant = await Plant();
        await plant.Build("SH-1");
        await plant.Build("SH-2", "gears-in");
        await plant.Build("SX-3", "rotor-in");
        await plant.HoldUnit("SX-3", "scratch");

        using var c = plant.Read();
        string[] Found(string? state, string? find) => UnitList.Run(c, state, find).Units.Select(u => u.Unit).ToArray();
        Assert.Equal(["SX-3", "SH-2", "SH-1"], Found(null, null));
        Assert.Equal(["SX-3"], Found("held", null));
        Assert.Equal(["SH-2", "SH-1"], Found(null, "SH-"));
        Assert.Equal(["SH-1"], Found(null, "AF8526"));
        Assert.Equal(["SH-2", "SH-1"], Found(null, "L-rotor"));
        Assert.Equal(["SH-2"], Found(null, "rotor-of-SH-2"));
        Assert.Equal("scratch", UnitList.Run(c, "held").Units.Single().Word);
        var page = UnitList.Run(c, from: 1, count: 1);
        Assert.Equal((3, "SH-2"), (page.Total, page.Units.Single().Unit));
    }

    [Fact]
    public async Task A_units_page_tells_its_story_in_order()
    {
        await using var plant = await Plant();
        await plant.Build("SH-1", "leak-check");
        await plant.Refused("st140", plant.Begin("SH-1", "pack"));
        await plant.Do("SH-1", "leak-check", m => m with { Readings = [new("leak", 4.9, "cm³/min")] });
        await plant.HoldLot("L-rotor", "reads low");
        await plant.ReleaseLot("L-rotor", "gauge was wrong");
        await plant.ReleaseUnit("SH-1", "measured again");

        using var c = plant.Read();
        var unit = UnitQuery.Run(c, plant.Context, "SH-1")!;
        Assert.Equal(
        [
            "Cover passed, 8 of 8.", "Refused: The record of SH-1 has gaps: Leak check, Load test, Label, Mark.", "Leak check begun.",
            "Lot L-rotor is on hold: reads low.", "Leak check on hold, 4.9 cm³/min. Held: Leak check: leak cannot be decided.", "Released: measured again.",
        ], unit.Events.TakeLast(6).Select(e => e.Text));
        var leak = unit.Steps.Single(s => s.Step == "leak-check");
        Assert.Equal(("undecided", "4.9 cm³/min, let go on by a person"), (leak.State, leak.Word));
        Assert.Equal("Waits for Load test.", unit.Sentence);
        Assert.Equal("before rig1, rig2 or rig3", unit.Where);
        Assert.Equal(["Carrier screws 1", "Carrier screws 6", "Phase screws 3", "Cover screws 8"], unit.Screws.Where(w => (w.Group, w.Number) is ("carrier", 1 or 6) or ("phase", 3) or ("cover", 8)).Select(w => $"{w.Name} {w.Number}"));
        Assert.All(unit.Screws, w => Assert.Equal((1, 5.5, 50.0, "pass"), (w.Attempt, w.TorqueNm, w.AngleDeg, w.Verdict)));
        Assert.Equal(17, unit.Screws.Count);
        Assert.Equal(["measured again", "gauge was wrong"], unit.Holds.Select(h => h.ReleaseReason));
    }

    [Fact]
    public async Task A_changed_record_shows_on_the_units_page()
    {
        var folder = new TestFolder();
        await using (var plant = new TestPlant(folder))
        {
            await plant.ReceiveLots();
            await plant.Build("SH-1", "rotor-in");
            folder.Tamper("drop trigger ledger_stays; update ledger set body = replace(body, '118', '119') where item = 'SH-1' and kind = 'step-done' and body like '%stator-in%'");
            using var c = plant.Read();
            var check = UnitQuery.Run(c, plant.Context, "SH-1")!.Check;
            Assert.False(check.Whole);
            Assert.EndsWith(": Changed: its content does not fit its hash.", check.Word, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task A_message_in_quarantine_is_mended_and_replayed_once()
    {
        await using var plant = await Plant();
        var id = await plant.Write(t => Quarantine.Keep(t, "st10", """{"key":"a"}""", [new("message", 0, "item", "nothing", "a shell code")]));
        Assert.Equal(id, await plant.Write(t => Quarantine.Keep(t, "st10", """{"key":"a"}""", [])));
        using var c = plant.Read();
        Assert.Equal("message: item: found nothing, expected a shell code.", Assert.Single(Quarantine.Open(c)).Errors.Single().ToString());
        await plant.Do("SH-1", "shell-in");
        Assert.Equal("replayed", (await plant.Write(t => Quarantine.Close(t, id, "key-00002", "q1"))).Done!.State);
        Assert.NotNull((await plant.Write(t => Quarantine.Close(t, id, null, "q1"))).Refused);
        Assert.Empty(Quarantine.Open(c));
    }

    [Fact]
    public void A_message_is_read_strictly()
    {
        var errors = Assert.Throws<InputException>(() => StationMessageJson.Read(
            """{"key":"k","kind":"request","itm":"SH-1","step":"rotor-in","occurredAt":"2031-03-04T07:12:55+01:00","readings":[{"id":"force","valu":3}]}""")).Errors;
        Assert.Equal(["itm", "readings[0].valu", "item"], errors.Select(e => e.Column));
        Assert.StartsWith("message:1:", Assert.Throws<InputException>(() => StationMessageJson.Read("{")).Message, StringComparison.Ordinal);
        Assert.Contains("item", Assert.Throws<InputException>(() => StationMessageJson.Read("""{"key":"k","kind":"request","step":"s","occurredAt":"2031-03-04T07:12:55+01:00"}""")).Message, StringComparison.Ordinal);
        var message = StationMessageJson.Read("""{"key":"k","kind":"request","item":"SH-1","step":"s","occurredAt":"2031-03-04T07:12:55.120+01:00","parts":null,"version":1}""");
        Assert.Equal(("finish", TimeSpan.FromHours(1), 0), (message.Stage, message.OccurredAt.Offset, message.Parts.Count));
    }

    static async Task<TestPlant> Plant()
    {
        var plant = new TestPlant();
        await plant.ReceiveLots();
        return plant;
    }
}
