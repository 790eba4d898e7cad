using Dapper;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Genealogy;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;
using Roadproof.Records.Rework;

namespace Roadproof.Records.Tests.Items;

/// <summary>A repairer takes parts out and puts others in: what was in the unit when, what has to be passed again, and what is refused.</summary>
public sealed class ReworkTests
{
    static readonly DiagnosisLine WeakFlux = new("weak-flux", "Magnets too weak", 0.8, 3, new(2, 4, 0.95), "%", [], "The rotor lot.", "");

    [Fact]
    public async Task A_part_that_was_swapped_was_in_the_unit_from_and_to()
    {
        await using var plant = await Plant();
        await plant.ReceiveLot("R-2", "rotor");
        await Stopped(plant, "SH-1");
        var into = plant.Now;
        plant.Wait(600);
        var out1 = plant.Now;
        var answer = await Swap(plant, "SH-1", new("rotor", "L-rotor", "rotor-of-SH-1"), "scrap", new("rotor", "R-2", "RT-9"));
        Assert.Equal("rotor-in", answer.BackTo);
        Assert.Equal(["rotor-in", "carrier-screws", "controller-in", "firmware", "gears-in", "functional-check", "cover", "leak-check", "load-test"], answer.Again);

        using (var c = plant.Read())
        {
            var rotors = GenealogyQuery.PartsOf(c, "SH-1").Where(p => p.Part == "rotor").ToList();
            Assert.Equal((true, out1.ToUniversalTime(), "scrap"), (rotors[0].Replaced, rotors[0].OutAt!.Value.ToUniversalTime(), rotors[0].Place));
            Assert.Equal(("RT-9", null), (rotors[1].Serial, rotors[1].OutAt));
            Assert.Equal(["rotor-of-SH-1"], rotors.Where(r => r.WasIn(into)).Select(r => r.Serial));
            Assert.Equal(["RT-9"], rotors.Where(r => r.WasIn(plant.Now)).Select(r => r.Serial));

            // The old lot is still found in it, as one that has come out.
            Assert.Equal(("SH-1", true), (GenealogyQuery.UnitsWithLot(c, "L-rotor").Select(u => (u.Unit, u.OutAt is not null)).Single()));
        }

        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task A_hold_of_a_lot_that_came_out_does_not_stop_the_unit_and_still_finds_it()
    {
        await using var plant = await Plant();
        await plant.ReceiveLot("R-2", "rotor");
        await Stopped(plant, "SH-1");
        await Swap(plant, "SH-1", new("rotor", "L-rotor", "rotor-of-SH-1"), "scrap", new("rotor", "R-2", "RT-9"));
        Assert.Empty((await plant.HoldLot("L-rotor", "weak")).UnitsHeld);
        using (var c = plant.Read()) Assert.NotNull(GenealogyQuery.UnitsWithLot(c, "L-rotor").Single().OutAt);
        Assert.Equal(["SH-1"], (await plant.HoldLot("R-2", "weak as well")).UnitsHeld);
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task A_unit_held_for_its_lot_goes_on_once_the_lot_has_come_out()
    {
        await using var plant = await Plant();
        await plant.ReceiveLot("R-2", "rotor");
        await plant.Build("SH-1", "load-test");
        await plant.HoldLot("L-rotor", "weak");
        await Swap(plant, "SH-1", new("rotor", "L-rotor", null), "hold", new("rotor", "R-2", "RT-9"));
        Assert.Equal("building", (await plant.ReleaseUnit("SH-1", "another rotor", backTo: "rotor-in")).State);
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task A_unit_that_was_opened_stays_stopped_when_its_lot_is_released()
    {
        await using var plant = await Plant();
        await plant.Build("SH-1", "load-test");
        await plant.HoldLot("L-rotor", "weak");
        await Swap(plant, "SH-1", new("gear-set", "L-gear-set"), "scrap", new("gear-set", "L-gear-set"));
        await plant.ReleaseLot("L-rotor", "measured, sound");
        Assert.Equal("Unit SH-1 is on hold. Gear set was changed: from Gears in on it is passed again.", (await plant.Refused("rig1", plant.Begin("SH-1", "load-test"))).Reason);
        Assert.Equal("building", (await plant.ReleaseUnit("SH-1", "gears changed", backTo: "gears-in")).State);
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task Everything_from_the_swapped_part_on_is_passed_again_and_the_unit_can_be_shipped()
    {
        await using var plant = await Plant();
        await plant.ReceiveLot("G-2", "gear-set");
        await Stopped(plant, "SH-1");
        await Swap(plant, "SH-1", new("gear-set", "L-gear-set"), "scrap", new("gear-set", "G-2"));

        const string why = "A part of Gears in was swapped in SH-1: everything from there on is passed again.";
        Assert.Equal(why, (await Refused(plant, "SH-1", backTo: null)).Reason);
        Assert.Equal(why, (await Refused(plant, "SH-1", backTo: "cover")).Reason);
        await plant.ReleaseUnit("SH-1", "another gear set", backTo: "gears-in");

        // The gears of the repair are scanned once more at their station and stay: one piece was used, not two.
        foreach (var step in new[] { "gears-in", "functional-check", "cover", "leak-check", "load-test", "label", "mark", "pack" })
            await plant.Do("SH-1", step, m => m with { Parts = [.. m.Parts.Select(p => p.Part == "gear-set" ? p with { Lot = "G-2" } : p)] });
        using (var c = plant.Read())
        {
            Assert.Equal("shipped", c.QuerySingle<string>("select state from unit where unit = 'SH-1'"));
            Assert.Equal(1, c.QuerySingle<long>("select used from lot where lot = 'G-2'"));
            Assert.Equal(1, c.QuerySingle<long>("select repairs from unit where unit = 'SH-1'"));

            // A number that is scanned again is the same part, in it all the time.
            Assert.Single(GenealogyQuery.PartsOf(c, "SH-1"), p => p.Part == "controller");
        }

        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task The_new_part_passes_the_interlocks_of_the_first_assembly()
    {
        await using var plant = await Plant(r => r with { Steps = [.. r.Steps.Select(s => s.Id == "gears-in" ? s with { Parts = [.. s.Parts.Select(p => p with { OneLot = true })] } : s)] });
        await plant.ReceiveLot("G-held", "gear-set");
        await plant.ReceiveLot("G-old", "gear-set", expiresAt: plant.Now.AddMinutes(-1));
        await plant.ReceiveLot("G-2", "gear-set");
        await plant.HoldLot("G-held", "burrs");
        await Stopped(plant, "SH-1");
        await plant.Build("SH-2", "load-test");
        var gears = new MessagePart("gear-set", "L-gear-set");
        var rotor = new MessagePart("rotor", Serial: "rotor-of-SH-1");

        Assert.Equal("Lot G-held is on hold: burrs.", (await RefusedSwap(plant, "SH-1", gears, new("gear-set", "G-held"))).Reason);
        Assert.StartsWith("Lot G-old expired on", (await RefusedSwap(plant, "SH-1", gears, new("gear-set", "G-old"))).Reason, StringComparison.Ordinal);
        Assert.Equal("Wrong gear set: ratio 36.18 needed, ratio 33.9 found.", (await RefusedSwap(plant, "SH-1", gears, new("gear-set-339", "L-gear-set-339"))).Reason);
        Assert.Equal("Rotor rotor-of-SH-2 is already in unit SH-2.", (await RefusedSwap(plant, "SH-1", rotor, new("rotor", "L-rotor", "rotor-of-SH-2"))).Reason);
        Assert.Equal("The number of the rotor is missing.", (await RefusedSwap(plant, "SH-1", rotor, new("rotor", "L-rotor"))).Reason);
        Assert.Equal("rotor-of-SH-1 is the part that came out.", (await RefusedSwap(plant, "SH-1", rotor, new("rotor", "L-rotor", "rotor-of-SH-1"))).Reason);
        Assert.Equal("Gear set G-2 is not in SH-1.", (await RefusedSwap(plant, "SH-1", new("gear-set", "G-2"), null)).Reason);
        Assert.Equal("The shell is the unit itself.", (await RefusedSwap(plant, "SH-1", new("shell", Serial: "SH-1"), null)).Reason);
        Assert.Equal("Unit SH-2 is not stopped.", (await RefusedSwap(plant, "SH-2", gears, new("gear-set", "G-2"))).Reason);

        // One lot in a unit: the repair that changes it may change it.
        await Swap(plant, "SH-1", gears, "stock", new("gear-set", "G-2"));
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task A_part_that_was_scrapped_goes_in_nowhere_one_on_hold_when_a_person_lets_it()
    {
        await using var plant = await Plant();
        await Stopped(plant, "SH-1");
        await Swap(plant, "SH-1", new("rotor", Serial: "rotor-of-SH-1"), "scrap", new("rotor", "L-rotor", "RT-9"));
        await Swap(plant, "SH-1", new("controller", Serial: "controller-of-SH-1"), "hold", null);
        await plant.Build("SH-2", "rotor-in");
        Assert.Equal("Rotor rotor-of-SH-1 was scrapped when it came out of SH-1: seen on the bench.", (await plant.Refused("st30", With(plant.Finish("SH-2", "rotor-in"), "rotor", "rotor-of-SH-1"))).Reason);
        await plant.Do("SH-2", "rotor-in");
        await plant.Do("SH-2", "carrier-screws");
        var controller = With(plant.Finish("SH-2", "controller-in"), "controller", "controller-of-SH-1");
        Assert.StartsWith("Controller controller-of-SH-1 is on hold since it came out of SH-1", (await plant.Refused("st50", controller)).Reason, StringComparison.Ordinal);

        Assert.NotNull((await plant.Write(t => PlacePart.Decide(t, new(plant.NextKey(), "SH-1", new("controller", Serial: "controller-of-SH-1"), "stock", "measured, sound", plant.Now)))).Done);
        Assert.NotNull((await plant.Write(t => PlacePart.Decide(t, new(plant.NextKey(), "SH-1", new("controller", Serial: "controller-of-SH-1"), "stock", "again", plant.Now)))).Refused);
        await plant.Take("st50", controller with { Key = plant.NextKey() });
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task What_goes_back_to_stock_is_counted_as_there_again()
    {
        await using var plant = await Plant();
        await Stopped(plant, "SH-1");
        await Swap(plant, "SH-1", new("cover-screw", "L-cover-screw"), "stock", null);
        using var c = plant.Read();
        Assert.Equal(0, c.QuerySingle<long>("select used from lot where lot = 'L-cover-screw'"));
    }

    [Fact]
    public async Task A_unit_past_its_repairs_is_not_opened_again()
    {
        await using var plant = await Plant(r => r with { Product = r.Product with { RepairsAtMost = 0 } });
        await Stopped(plant, "SH-1");
        Assert.Equal("Unit SH-1 has been repaired 0 times: it is not repaired again.", (await RefusedSwap(plant, "SH-1", new("gear-set", "L-gear-set"), null)).Reason);
    }

    [Fact]
    public async Task The_cause_found_is_kept_beside_the_one_the_diagnosis_named()
    {
        await using var plant = await Plant();
        await Stopped(plant, "SH-1");
        await plant.Write(t => ReleaseUnit.Decide(t, new("release", "SH-1", plant.NextKey(), "magnets measured", plant.Now, "p7", "rotor-in", "weak-flux"), plant.Context));
        using (var c = plant.Read())
        {
            Assert.Equal(("load-test", "weak-flux", "weak-flux", 0.8), c.QuerySingle<(string, string, string, double)>("select step, cause, named, probability from rework_finding"));
        }

        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task A_measurement_is_kept_and_wrong_ones_are_said_at_once()
    {
        await using var plant = await Plant();
        await Stopped(plant, "SH-1");
        var said = new UnitMeasurement(plant.NextKey(), "SH-1", "grease-mass", null, 11.9, "g", null, plant.Now, "p7");
        var first = await plant.Write(t => MeasureUnit.Decide(t, said, plant.Context));
        Assert.Equal(("Grease mass", false), (first.Done!.Name, first.Done.Repeat));
        Assert.True((await plant.Write(t => MeasureUnit.Decide(t, said, plant.Context))).Done!.Repeat);
        Assert.Contains("used before", (await plant.Write(t => MeasureUnit.Decide(t, said with { Value = 3 }, plant.Context))).Refused!.Reason, StringComparison.Ordinal);
        await plant.Write(t => MeasureUnit.Decide(t, new(plant.NextKey(), "SH-1", null, "Spin-down of the rotor", 3.2, "s", null, plant.Now), plant.Context));

        foreach (var wrong in new[] { said with { UnitWord = "kg" }, said with { Id = "greasemass" }, said with { Value = null }, said with { Value = double.NaN }, said with { Id = null } })
            await Assert.ThrowsAsync<InputException>(() => plant.Write(t => MeasureUnit.Decide(t, wrong with { Key = plant.NextKey() }, plant.Context)));
        using (var c = plant.Read()) Assert.Equal(2, c.QuerySingle<long>("select count(*) from rework_measurement"));
        await IsRebuiltEqual(plant);
    }

    [Fact]
    public async Task A_swap_sent_twice_counts_once_and_one_that_means_nothing_is_kept_nowhere()
    {
        await using var plant = await Plant();
        await Stopped(plant, "SH-1");
        var swap = new PartSwap(plant.NextKey(), "SH-1", new("gear-set", "L-gear-set"), "scrap", null, "worn", plant.Now);
        await plant.Write(t => SwapPart.Decide(t, swap, plant.Context));
        Assert.True((await plant.Write(t => SwapPart.Decide(t, swap, plant.Context))).Done!.Repeat);
        Assert.NotNull((await plant.Write(t => SwapPart.Decide(t, swap with { Place = "hold" }, plant.Context))).Refused);
        foreach (var wrong in new[] { swap with { Place = "floor" }, swap with { Out = new("gears", "L-gear-set") }, swap with { Out = new("gear-set") }, swap with { Reason = "" } })
            await Assert.ThrowsAsync<InputException>(() => plant.Write(t => SwapPart.Decide(t, wrong with { Key = plant.NextKey() }, plant.Context)));
        using var c = plant.Read();
        Assert.Equal(1, c.QuerySingle<long>("select count(*) from part_out"));
    }

    [Fact]
    public async Task The_repairer_sees_what_failed_what_may_be_wrong_and_what_has_to_be_passed_again()
    {
        await using var plant = await Plant();
        await plant.ReceiveLot("R-2", "rotor");
        await Stopped(plant, "SH-1");
        using (var c = plant.Read())
        {
            var view = ReworkQuery.Run(c, plant.Context, "SH-1")!;
            Assert.Equal(("load-test", "fail"), (view.StoppedAt!.Step, view.StoppedAt.Verdict));
            Assert.StartsWith("A repair. Load test:", view.WaitsFor, StringComparison.Ordinal);
            Assert.Equal(["Gears in", "Functional check", "Cover", "Leak check", "Load test"], view.Ways.Single(w => w.Step == "gears-in").Again);
            Assert.Equal(5 * 45, view.Ways.Single(w => w.Step == "gears-in").TimeS);
            Assert.False(view.Ways.Single(w => w.Step == "load-test").Repair);
            Assert.Null(view.Back);
            Assert.True(view.MayRepair);
            Assert.DoesNotContain(view.Parts, p => p.Part == "shell");
        }

        await Swap(plant, "SH-1", new("rotor", Serial: "rotor-of-SH-1"), "hold", new("rotor", "R-2", "RT-9"));
        using (var c = plant.Read())
        {
            var view = ReworkQuery.Run(c, plant.Context, "SH-1")!;
            Assert.Equal(("rotor-in", "RT-9", "hold"), (view.Back!.Step, view.Swapped[0].NewSerial, view.Swapped[0].Place));
            Assert.Equal("A part was swapped: finish it and send it back to Rotor in.", view.WaitsFor);
            var list = ReworkList.Run(c, plant.Context);
            Assert.Equal((1, "SH-1"), (list.Total, list.Units.Single().Unit));
            Assert.Equal("rotor-of-SH-1", list.Parts.Single().Serial);
        }

        await plant.Write(t => ReleaseUnit.Decide(t, new("release", "SH-1", plant.NextKey(), "another rotor", plant.Now, "p7", "rotor-in", "weak-flux"), plant.Context));
        using (var c = plant.Read())
        {
            var list = ReworkList.Run(c, plant.Context);
            Assert.Equal((0, 1, 1), (list.Total, list.Findings.Single().Confirmed, list.Findings.Single().Of));
            Assert.Equal("Not stopped: Rotor in comes next.", ReworkQuery.Run(c, plant.Context, "SH-1")!.WaitsFor);
            Assert.Equal("rotor-of-SH-1", ReadModel.UnitQuery.Run(c, plant.Context, "SH-1")!.Was.Single().Serial);
            Assert.Null(ReworkQuery.Run(c, plant.Context, "SH-9"));
        }
    }

    [Fact]
    public async Task A_failed_check_names_the_lot_that_goes_with_it_and_not_the_others()
    {
        await using var plant = await Plant();
        await plant.ReceiveLot("S-bad", "cover-screw");
        for (var i = 0; i < 24; i++)
        {
            var bad = i % 4 == 0;
            await plant.Build($"SH-{i}", "cover");
            await plant.Do($"SH-{i}", "cover", m => bad ? m with { Parts = [new("cover-screw", "S-bad")] } : m);
            await plant.Do($"SH-{i}", "leak-check", m => bad ? m with { Readings = [new("leak", 9, "cm³/min")] } : m);
        }

        using var c = plant.Read();
        var view = ReworkQuery.Run(c, plant.Context, "SH-0")!;
        Assert.Equal(9, view.Requirements.Single().Value);
        var first = view.Causes[0];
        Assert.Equal(("lot", "S-bad", true), (first.Kind, first.Id, first.Likely));
        Assert.StartsWith("6 of 6 with it were stopped for this, 0 of 18 without: by chance once in", first.Word, StringComparison.Ordinal);
        Assert.Equal(new FailShare(6, 6, 0, 18, first.Looks.Single().Lots!.P), first.Looks.Single().Lots);
        Assert.All(view.Causes.Skip(1), cause => Assert.False(cause.Likely));
        Assert.Contains(view.Causes, cause => cause is { Kind: "station", Id: "st100" });
    }

    [Fact]
    public async Task A_screw_that_was_out_says_which_and_how()
    {
        await using var plant = await Plant();
        await plant.Build("SH-1", "cover");
        await plant.Do("SH-1", "cover", m => m with { Screws = [.. m.Screws.Select(w => w.Number == 3 ? w with { TorqueNm = 3, AngleDeg = 95 } : w)] });
        using var c = plant.Read();
        var first = ReworkQuery.Run(c, plant.Context, "SH-1")!.Causes[0];
        Assert.Equal(("screw", "cover-3"), (first.Kind, first.Id));
        Assert.Equal("3.0 N·m at 95°: turned far and never tight, as with a stripped thread, a missing part or a soft gasket", first.Word);
    }

    [Fact]
    public async Task Nothing_and_very_much_are_lists_too()
    {
        await using var plant = await Plant();
        using (var c = plant.Read()) Assert.Equal((0, 0, 0), (ReworkList.Run(c, plant.Context) is var none ? (none.Total, none.Units.Count, none.Parts.Count) : default));
        for (var i = 0; i < 60; i++)
        {
            await plant.Build($"SH-{i}", "stator-in");
            plant.Wait(60);
            await plant.HoldUnit($"SH-{i}", "scratched");
        }

        using var all = plant.Read();
        var first = ReworkList.Run(all, plant.Context);
        Assert.Equal((60, 50, "SH-0"), (first.Total, first.Units.Count, first.Units[0].Unit));
        Assert.Equal("SH-59", ReworkList.Run(all, plant.Context, from: 50).Units[^1].Unit);
    }

    static async Task<TestPlant> Plant(Func<RouteRevision, RouteRevision>? change = null)
    {
        var plant = new TestPlant(context: new([change is null ? TestRoute.Revision : change(TestRoute.Revision)], _ => null));
        await plant.ReceiveLots();
        return plant;
    }

    /// <summary>A unit that its load test has stopped.</summary>
    static async Task Stopped(TestPlant plant, string unit)
    {
        await plant.Build(unit, "load-test");
        await plant.Do(unit, "load-test", loadTest: LoadTestOutcome.Judged(TestPlant.Verdict(RunVerdict.Fail) with { Diagnosis = [WeakFlux] }));
        using var c = plant.Read();
        if (c.QuerySingle<string>("select state from unit where unit = @unit", new { unit }) != "held") await plant.HoldUnit(unit, "stopped");
    }

    static async Task<PartSwapAnswer> Swap(TestPlant plant, string unit, MessagePart old, string place, MessagePart? into)
    {
        var outcome = await plant.Write(t => SwapPart.Decide(t, new(plant.NextKey(), unit, old, place, into, "seen on the bench", plant.Now, "p7"), plant.Context));
        return outcome.Done ?? throw new InvalidOperationException(outcome.Refused!.Reason);
    }

    static Task<Refusal> RefusedSwap(TestPlant plant, string unit, MessagePart old, MessagePart? into) =>
        plant.RefusedAct(t => SwapPart.Decide(t, new(plant.NextKey(), unit, old, "scrap", into, "seen on the bench", plant.Now, "p7"), plant.Context));

    static Task<Refusal> Refused(TestPlant plant, string unit, string? backTo) =>
        plant.RefusedAct(t => ReleaseUnit.Decide(t, new("release", unit, plant.NextKey(), "done", plant.Now, "p7", backTo), plant.Context));

    static StationMessage With(StationMessage message, string part, string serial) =>
        message with { Parts = [.. message.Parts.Select(p => p.Part == part ? p with { Serial = serial } : p)] };

    static async Task IsRebuiltEqual(TestPlant plant)
    {
        var before = plant.Derived();
        await plant.Ledger.Rebuild();
        Assert.Equal(before, plant.Derived());
    }
}
