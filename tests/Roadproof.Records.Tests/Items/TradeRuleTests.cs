using Dapper;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Gauges;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;
using Roadproof.Records.People;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>Open lots, first-expired-first-out, one lot in a unit, qualifications, zones, calibrations and repairs: a request is refused, a report is kept and holds.</summary>
/// <remarks>Which rules a plant keeps and how strict they are: common practice, no source.</remarks>
public sealed class TradeRuleTests
{
    [Fact]
    public async Task An_open_drum_is_refused_when_its_time_has_ended()
    {
        await using var plant = await Plant(Part("grease", p => p with { OpenH = 72 }));
        await plant.Build("SH-1");
        Assert.Empty(Notes(plant, "lot-open"));

        plant.Wait(64.1 * 3600);
        await plant.Build("SH-2", "gears-in");
        Assert.Equal("Grease lot L-grease lasts open until 7 Mar 06:04", Assert.Single(Notes(plant, "lot-open")).Title);
        await plant.Do("SH-2", "gears-in");

        plant.Wait(8 * 3600);
        await plant.Build("SH-3", "gears-in");
        var no = await plant.Refused("st70", plant.Finish("SH-3", "gears-in"));
        Assert.Equal(new Refusal("Lot L-grease was opened on 4 Mar 06:04 and lasts 72 h open; that ended on 7 Mar 06:04.", "Put it aside and open another lot of grease.", "opened within 72 h", "open for 72 h"), no);
        Assert.Equal(no, await plant.Refused("st70", Scan(plant, "SH-3", "gears-in", "grease")));
        Assert.Equal("Grease lot L-grease has been open too long", Assert.Single(Notes(plant, "lot-open")).Title);
        await Holds(plant, "SH-3", "gears-in", no.Reason);

        // Another drum is opened, and the note goes: what is in use is told, not what was put aside.
        await plant.ReceiveLot("G-2", "grease");
        await plant.Build("SH-4", "gears-in");
        await plant.Do("SH-4", "gears-in", m => WithLot(m, "grease", "G-2"));
        Assert.Empty(Notes(plant, "lot-open"));
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task A_late_report_of_an_earlier_use_moves_the_opening_back()
    {
        await using var plant = await Plant(Part("grease", p => p with { OpenH = 72 }));
        await plant.Build("SH-1", "gears-in");
        await plant.Build("SH-2", "gears-in");
        var early = plant.Finish("SH-1", "gears-in") with { Kind = "report" };
        plant.Wait(3600);
        await plant.Do("SH-2", "gears-in");
        await plant.Take("st70", early);
        using var c = plant.Read();
        Assert.Equal(Text(early.OccurredAt), c.QuerySingle<string>("select opened_at from lot_opening where lot = 'L-grease'"));
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task A_lot_while_another_ends_first_is_warned_of_and_refused_only_where_the_part_says_so()
    {
        await using var plant = await Plant(Part("grease", p => p with { OpenH = 72 }));
        await plant.ReceiveLot("G-2", "grease", expiresAt: plant.Now.AddDays(60));
        await plant.Build("SH-1", "gears-in");
        await plant.Do("SH-1", "gears-in");
        await plant.Build("SH-2", "gears-in");
        var second = WithLot(plant.Finish("SH-2", "gears-in"), "grease", "G-2");
        const string warning = "Lot L-grease is open at st70 and ends first, on 7 Mar 06:04: use it up before G-2.";
        Assert.Equal([warning], (await plant.Take("st70", WithLot(Scan(plant, "SH-2", "gears-in", "grease"), "grease", "G-2"))).Warnings);
        Assert.Equal([warning], (await plant.Take("st70", second)).Warnings);

        // The one that ends first is right, and so is any other once it lies elsewhere, is held or is past its time.
        await plant.Build("SH-3", "gears-in");
        Assert.Empty((await plant.Take("st70", Scan(plant, "SH-3", "gears-in", "grease"))).Warnings);
        await plant.HoldLot("L-grease", "smells");
        Assert.Empty((await plant.Take("st70", WithLot(Scan(plant, "SH-3", "gears-in", "grease"), "grease", "G-2"))).Warnings);

        await using var strict = await Plant(Part("grease", p => p with { OpenH = 72, FirstExpiredFirst = true }));
        await strict.ReceiveLot("G-2", "grease");
        await strict.Build("SH-1", "gears-in");
        await strict.Do("SH-1", "gears-in");
        await strict.Build("SH-2", "gears-in");
        var no = await strict.Refused("st70", WithLot(strict.Finish("SH-2", "gears-in"), "grease", "G-2"));
        Assert.Equal(new Refusal("Lot L-grease is open at st70 and ends before G-2.", "Use up L-grease first; if it is empty or spoiled, have it put on hold.", "L-grease", "G-2"), no);
        await Holds(strict, "SH-2", "gears-in", no.Reason, m => WithLot(m, "grease", "G-2"));
        await IsRebuiltEqual(strict);
    }

    [Theory]
    [InlineData("st71", 5000, 1)] // it lies at the other bench
    [InlineData("st70", 1, 1)] // it is used up
    [InlineData("st70", 5000, 73)] // it is past its time
    public async Task A_lot_that_ends_first_is_not_asked_for_where_it_cannot_be_taken(string station, int quantity, double laterH)
    {
        var second = new StationDefinition { Id = "st71", Name = "st71", Step = "gears-in" };
        await using var plant = await Plant(r => Part("grease", p => p with { OpenH = 72 })(r with { Line = r.Line with { Stations = [.. r.Line.Stations, second] } }));
        await plant.ReceiveLot("G-1", "grease", quantity);
        await plant.ReceiveLot("G-2", "grease");
        await plant.Build("SH-1", "gears-in");
        await plant.Do("SH-1", "gears-in", m => WithLot(m, "grease", "G-1"));
        await plant.Build("SH-2", "gears-in");
        plant.Wait(laterH * 3600);
        Assert.Empty((await plant.Take(station, WithLot(Scan(plant, "SH-2", "gears-in", "grease"), "grease", "G-2"))).Warnings);
    }

    [Fact]
    public async Task A_lot_whose_date_comes_before_its_open_time_is_told_by_its_date_alone()
    {
        await using var plant = await Plant(Part("grease", p => p with { OpenH = 72 }));
        await plant.ReceiveLot("G-1", "grease", expiresAt: plant.Now.AddHours(70));
        await plant.Build("SH-1", "gears-in");
        await plant.Do("SH-1", "gears-in", m => WithLot(m, "grease", "G-1"));
        plant.Wait(66 * 3600);
        Assert.Empty(Notes(plant, "lot-open"));
        Assert.Equal("Grease lot G-1 expires on 7 Mar 04:00", Assert.Single(Notes(plant, "lot-expiry")).Title);
    }

    [Fact]
    public async Task A_unit_stays_with_one_lot_until_it_is_repaired()
    {
        await using var plant = await Plant(Step("cover", s => s with { Parts = [s.Parts[0] with { OneLot = true }] }));
        await plant.ReceiveLot("CS-2", "cover-screw");
        await plant.Build("SH-1", "cover");
        var loose = plant.Finish("SH-1", "cover").Screws.Select(w => w with { TorqueNm = 2 }).ToList();
        await plant.Do("SH-1", "cover", m => m with { Screws = loose });
        await plant.ReleaseUnit("SH-1", "again");

        var no = await plant.Refused("st90", WithLot(plant.Finish("SH-1", "cover"), "cover-screw", "CS-2"));
        Assert.Equal(new Refusal("SH-1 holds cover screws of lot L-cover-screw, and all of it comes from one lot.", "Take lot L-cover-screw; if it has run out, have SH-1 sent back to Cover and all of it changed.", "L-cover-screw", "CS-2"), no);
        await Holds(plant, "SH-1", "cover", no.Reason, m => WithLot(m, "cover-screw", "CS-2"));
        await plant.ReleaseUnit("SH-1", "all eight come out", backTo: "cover");
        await plant.Do("SH-1", "cover", m => WithLot(m, "cover-screw", "L-cover-screw"));
    }

    [Fact]
    public async Task A_person_does_what_a_step_asks_a_qualification_for_only_while_it_holds()
    {
        await using var plant = await Plant(Step("cover", s => s with { Qualification = "sealing" }));
        await plant.Build("SH-1", "cover");
        var never = await plant.Refused("st90", plant.Begin("SH-1", "cover"));
        Assert.Equal(new Refusal("Cover needs the qualification sealing, and p1 has never had it.", "Call somebody who has it; the shift lead knows who.", "sealing", "p1"), never);
        Assert.Equal("Cover asks who does it: it needs the qualification sealing.", (await plant.Refused("st90", plant.Begin("SH-1", "cover") with { Person = null })).Reason);

        var before = plant.Now;
        plant.Wait(60);
        var granted = await Grant(plant, "sealing", plant.Now.AddDays(1));
        Assert.Equal(never.Reason, (await plant.Refused("st90", plant.Begin("SH-1", "cover") with { OccurredAt = before })).Reason);
        Assert.Equal(("granted", "p1"), (granted.State, granted.Person));
        await plant.Do("SH-1", "cover");
        await plant.Build("SH-2", "cover");
        plant.Wait(86_400);
        var ended = await plant.Refused("st90", plant.Finish("SH-2", "cover"));
        Assert.Equal("Cover needs the qualification sealing, and that of p1 ended on 5 Mar 2026.", ended.Reason);

        // What was done while it held and is told late is right.
        await plant.Take("st90", plant.Finish("SH-2", "cover") with { Kind = "report", OccurredAt = plant.Now.AddHours(-2) });
        Assert.Equal("building", State(plant, "SH-2"));
        await plant.Build("SH-3", "cover");
        await Holds(plant, "SH-3", "cover", ended.Reason);
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task A_qualification_that_is_withdrawn_ends_then()
    {
        await using var plant = await Plant(Step("cover", s => s with { Qualification = "sealing" }));
        await Grant(plant, "sealing", plant.Now.AddDays(300));
        await plant.Build("SH-1", "cover");
        plant.Wait(60);
        QualificationAct Withdrawal(string key) => new("withdraw", "p1", "sealing", null, key, "left the audit", plant.Now, "q1");
        Assert.Equal("withdrawn", (await plant.Write(t => WithdrawQualification.Decide(t, Withdrawal("w-1")))).Done!.State);
        Assert.True((await plant.Write(t => WithdrawQualification.Decide(t, Withdrawal("w-1")))).Done!.Repeat);
        Assert.Equal("Cover needs the qualification sealing, and that of p1 ended on 4 Mar 2026.", (await plant.Refused("st90", plant.Begin("SH-1", "cover"))).Reason);
        Assert.Equal("p1 does not have the qualification sealing.", (await plant.RefusedAct(t => WithdrawQualification.Decide(t, Withdrawal("w-2")))).Reason);
        Assert.Equal("Key w-1 was used before for something else; the first stands.", (await plant.RefusedAct(t => WithdrawQualification.Decide(t, Withdrawal("w-1") with { Reason = "other" }))).Reason);
        Assert.Equal("The qualification sealing would have ended before it is granted.", (await plant.RefusedAct(t => GrantQualification.Decide(t, new("grant", "p1", "sealing", plant.Now, "g-2", "course", plant.Now)))).Reason);
        var wrong = await Assert.ThrowsAsync<InputException>(() => plant.Write(t => GrantQualification.Decide(t, new("grant", "p1", "", null, "g-3", "course", plant.Now))));
        Assert.Equal(["qualification", "validUntil"], wrong.Errors.Select(e => e.Column));
        // Granted and withdrawn again: the first withdrawal stays where it was.
        plant.Wait(60);
        await Grant(plant, "sealing", plant.Now.AddDays(300));
        plant.Wait(60);
        await plant.Take("st90", plant.Begin("SH-1", "cover"));
        Assert.NotNull((await plant.Write(t => WithdrawQualification.Decide(t, Withdrawal("w-3")))).Done);
        using var c = plant.Read();
        Assert.Equal([plant.Now, plant.Now.AddSeconds(-120)], QualificationView.Of(c, "p1").Select(q => q.WithdrawnAt!.Value));
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task Whoever_works_in_a_zone_has_the_qualification_of_its_name()
    {
        await using var plant = await Plant(Station("st50", s => s with { Zone = "esd" }));
        await plant.Build("SH-1", "controller-in");
        var no = await plant.Refused("st50", plant.Begin("SH-1", "controller-in"));
        Assert.Equal(new Refusal("st50 needs the qualification esd, and p1 has never had it.", "Call somebody who has it; the shift lead knows who.", "esd", "p1"), no);
        await Holds(plant, "SH-1", "controller-in", no.Reason);
        await Grant(plant, "esd", plant.Now.AddDays(300));
        await plant.Build("SH-2", "firmware");
    }

    [Fact]
    public async Task A_station_is_refused_without_a_calibration_in_date_and_told_a_week_before()
    {
        await using var plant = await Plant(Station("st90", s => s with { Instruments = ["driver"] }));
        await plant.Build("SH-1", "cover");
        var none = await plant.Refused("st90", plant.Begin("SH-1", "cover"));
        Assert.Equal(new Refusal("No calibration of driver at st90 is on record.", "Have it calibrated and recorded, or take the unit to another station of this step.", "a calibration", "none"), none);
        Assert.Equal("driver at st90 has no calibration on record", Assert.Single(Notes(plant, "calibration")).Title);

        var before = plant.Now;
        plant.Wait(60);
        await Calibrate(plant, plant.Now.AddDays(300));
        plant.Wait(60);
        await Calibrate(plant, plant.Now.AddDays(10)); // the last one counts, also where it is due earlier
        Assert.Empty(Notes(plant, "calibration"));
        Assert.Equal(none.Reason, (await plant.Refused("st90", plant.Begin("SH-1", "cover") with { OccurredAt = before })).Reason);
        await plant.Do("SH-1", "cover");
        await plant.Build("SH-2", "cover");
        plant.Wait(3.5 * 86_400);
        Assert.Equal("driver at st90 is to be calibrated by 14 Mar", Assert.Single(Notes(plant, "calibration")).Title);
        plant.Wait(7 * 86_400);
        var over = await plant.Refused("st90", plant.Finish("SH-2", "cover"));
        Assert.Equal("The calibration of driver at st90 was due on 14 Mar 2026.", over.Reason);
        Assert.Equal("The calibration of driver at st90 was due on 14 Mar", Assert.Single(Notes(plant, "calibration")).Title);
        await Holds(plant, "SH-2", "cover", over.Reason);

        await Calibrate(plant, plant.Now.AddDays(365));
        Assert.Empty(Notes(plant, "calibration"));
        await plant.Build("SH-3", "leak-check");
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task A_calibration_names_a_station_and_one_of_its_instruments()
    {
        await using var plant = await Plant(Station("st90", s => s with { Instruments = ["driver"] }));
        async Task<string> Wrong(Calibration said) => Assert.Single((await Assert.ThrowsAsync<InputException>(() => plant.Write(t => RecordCalibration.Decide(t, said, plant.Context)))).Errors).ToString();
        var good = new Calibration("st90", "driver", plant.Now.AddDays(365), "c-1", "certificate 0815", plant.Now);
        Assert.Contains("expected a station of this plant", await Wrong(good with { Station = "st99" }), StringComparison.Ordinal);
        Assert.Contains("expected an instrument of st90: driver", await Wrong(good with { Instrument = "scale" }), StringComparison.Ordinal);
        Assert.Contains("expected an instrument of st10: its definition names none", await Wrong(good with { Station = "st10" }), StringComparison.Ordinal);
        Assert.Equal("The calibration of driver would have been due before it was done.", (await plant.RefusedAct(t => RecordCalibration.Decide(t, good with { DueAt = plant.Now }, plant.Context))).Reason);
        Assert.False((await plant.Write(t => RecordCalibration.Decide(t, good, plant.Context))).Done!.Repeat);
        Assert.True((await plant.Write(t => RecordCalibration.Decide(t, good, plant.Context))).Done!.Repeat);
    }

    [Fact]
    public async Task A_unit_is_repaired_twice_at_most_and_a_gear_change_brings_leak_check_and_load_test_again()
    {
        await using var plant = await Plant(r => r);
        await plant.Build("SH-1", "label");
        for (var repair = 1; repair <= 2; repair++)
        {
            await plant.HoldUnit("SH-1", "gears whine");
            Assert.Equal("gears-in", (await plant.ReleaseUnit("SH-1", "gears changed", backTo: "gears-in")).Next);
            foreach (var step in new[] { "gears-in", "functional-check", "cover", "leak-check", "load-test" }) await plant.Do("SH-1", step);
        }

        await plant.HoldUnit("SH-1", "gears whine still");
        var no = await plant.RefusedAct(t => ReleaseUnit.Decide(t, new("release", "SH-1", plant.NextKey(), "gears changed", plant.Now, BackTo: "gears-in"), plant.Context));
        Assert.Equal(new Refusal("Unit SH-1 has been repaired twice: it is not repaired again.", "Scrap it; the repair bench takes out what is still good.", "2 repairs at most", "another repair"), no);
        // The last step once more is no repair.
        Assert.Equal("load-test", (await plant.ReleaseUnit("SH-1", "run it once more", backTo: "load-test")).Next);
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task Sending_back_again_before_anything_was_done_is_the_same_repair()
    {
        await using var plant = await Plant(r => r);
        await plant.Build("SH-1", "leak-check");
        for (var times = 0; times < 4; times++)
        {
            await plant.HoldUnit("SH-1", "looked at again");
            await plant.ReleaseUnit("SH-1", "gears changed", backTo: "gears-in");
        }

        using var c = plant.Read();
        Assert.Equal(1, c.QuerySingle<long>("select repairs from unit where unit = 'SH-1'"));
    }

    [Theory]
    [InlineData(0, "Unit SH-1 has failed the same step once: it is not tested again without repair.")]
    [InlineData(2, "Unit SH-1 has failed the same step 3 times: it is not tested again without repair.")]
    public async Task A_check_is_tried_again_without_repair_as_often_as_it_says(int retests, string sentence)
    {
        await using var plant = await Plant(Step("leak-check", s => s with { RetestsAtMost = retests }));
        await plant.Build("SH-1", "leak-check");
        for (var retest = 0; retest <= retests; retest++)
        {
            await plant.Do("SH-1", "leak-check", m => m with { Readings = [new("leak", 9, "cm³/min")] });
            if (retest < retests) await plant.ReleaseUnit("SH-1", "again");
        }

        Assert.Equal(sentence, (await plant.RefusedAct(t => ReleaseUnit.Decide(t, new("release", "SH-1", plant.NextKey(), "again", plant.Now), plant.Context))).Reason);
    }

    [Fact]
    public void A_release_that_was_kept_before_repairs_were_counted_reads_as_none()
    {
        const string old = """
            {"decided":{"accepted":[],"causes":["person"],"good":false,"next":{"number":70,"step":"gears-in"},"undone":["gears-in","cover"],"unit":"SH-1"},"said":{"act":"release","backTo":"gears-in","key":"k","occurredAt":"2026-03-04T06:00:00+01:00","reason":"r","unit":"SH-1"}}
            """;
        Assert.False(RecordJson.Read<UnitActBody>(old).Decided.Repair);
    }

    static async Task<TestPlant> Plant(Func<RouteRevision, RouteRevision> change)
    {
        var plant = new TestPlant(context: new([change(TestRoute.Revision)], _ => null));
        await plant.ReceiveLots();
        return plant;
    }

    static Func<RouteRevision, RouteRevision> Part(string id, Func<PartDefinition, PartDefinition> change) => r => r with { Parts = [.. r.Parts.Select(p => p.Id == id ? change(p) : p)] };

    static Func<RouteRevision, RouteRevision> Step(string id, Func<RouteStep, RouteStep> change) => r => r with { Steps = [.. r.Steps.Select(s => s.Id == id ? change(s) : s)] };

    static Func<RouteRevision, RouteRevision> Station(string id, Func<StationDefinition, StationDefinition> change) =>
        r => r with { Line = r.Line with { Stations = [.. r.Line.Stations.Select(s => s.Id == id ? change(s) : s)] } };

    static StationMessage WithLot(StationMessage message, string part, string lot) => message with { Parts = [.. message.Parts.Select(p => p.Part == part ? p with { Lot = lot } : p)] };

    static StationMessage Scan(TestPlant plant, string unit, string step, string part)
    {
        var whole = plant.Finish(unit, step);
        return whole with { Stage = "scan", Parts = [.. whole.Parts.Where(p => p.Part == part)], Readings = [], Screws = [] };
    }

    static async Task<QualificationAnswer> Grant(TestPlant plant, string qualification, DateTimeOffset until) =>
        (await plant.Write(t => GrantQualification.Decide(t, new("grant", "p1", qualification, until, plant.NextKey(), "course passed", plant.Now, "q1")))).Done!;

    static Task Calibrate(TestPlant plant, DateTimeOffset due) =>
        plant.Write(t => RecordCalibration.Decide(t, new("st90", "driver", due, plant.NextKey(), "certificate 0815", plant.Now), plant.Context));

    static async Task Holds(TestPlant plant, string unit, string step, string reason, Func<StationMessage, StationMessage>? change = null)
    {
        var report = plant.Finish(unit, step) with { Kind = "report" };
        var answer = await plant.Take(TestPlant.StationOf(step), change is null ? report : change(report));
        Assert.Equal([reason], answer.Holds);
        Assert.Equal("held", State(plant, unit));
    }

    static List<Note> Notes(TestPlant plant, string kind)
    {
        using var c = plant.Read();
        return [.. NotesQuery.Run(c, plant.Context, plant.Now).Where(n => n.Kind == kind)];
    }

    static string State(TestPlant plant, string unit)
    {
        using var c = plant.Read();
        return c.QuerySingle<string>("select state from unit where unit = @unit", new { unit });
    }

    static string Text(DateTimeOffset time) => time.UtcDateTime.ToString("yyyy-MM-dd'T'HH:mm:ss.fffffff'Z'", System.Globalization.CultureInfo.InvariantCulture);

    static async Task IsRebuiltEqual(TestPlant plant)
    {
        var before = plant.Derived();
        await plant.Ledger.Rebuild();
        Assert.Equal(before, plant.Derived());
    }
}
