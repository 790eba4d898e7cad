using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Lots;
using Roadproof.Records.Orders;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>Between two orders nothing of the last one goes into the next: stations are cleared by a named person before they take a unit of it.</summary>
public sealed class LineClearanceTests
{
    [Fact]
    public async Task Only_stations_whose_parts_firmware_or_label_differ_are_cleared_and_take_nothing_of_the_new_order_before()
    {
        await using var plant = await OrderedPlant.Start();
        Assert.Empty((await plant.StartOrder("O-1")).ToClear);
        foreach (var (lot, station) in new[] { ("L-gear-set", "st70"), ("L-grease", "st70"), ("L-label", "st120") }) await plant.BringLot(lot, station);
        await plant.BuildAs("SH-1", "eu", "gears-in");
        Assert.Equal(["st60", "st70", "st120"], (await plant.StartOrder("O-2", instead: "O-1")).ToClear);

        await plant.BuildAs("SH-2", "us", "firmware");
        var no = await plant.Refused("st60", plant.Begin("SH-2", "firmware"));
        Assert.Equal(new("st60 is not cleared for order O-2 (US).", "Clear it first: the page of st60 says what to take away.", "cleared for O-2", "set up for O-1 (EU)"), no);
        await plant.Clear("st60", "O-2");
        await plant.Do("SH-2", "firmware", m => m.As("us"));

        // The gears of the last order still lie there.
        var left = await plant.RefusedAct(t => ClearStation.Decide(t, new(plant.NextKey(), "st70", "O-2", plant.Now, "p1"), plant.Context));
        Assert.Equal(("L-gear-set (Gear set, ratio 36.18) still lies at st70, and order O-2 (US) takes none of it.", "L-gear-set"), (left.Reason, left.Found));
        Assert.Equal(["L-gear-set"], Clearing(plant, "st70")!.Lots.Select(l => l.Lot));
        await plant.BringLot("L-gear-set", null);
        await plant.Clear("st70", "O-2");
        await plant.BringLot("L-gear-set-339", "st70");
        await plant.Do("SH-2", "gears-in", m => m.As("us"));
        Assert.Equal([("st60", "cleared", "p1"), ("st70", "cleared", "p1"), ("st120", "to-clear", null)], Changeover(plant));
    }

    [Fact]
    public async Task A_station_that_is_cleared_takes_no_unit_of_the_old_order_until_it_is_cleared_for_that_again()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.StartOrder("O-1");
        await plant.BuildAs("SH-1", "eu", "gears-in");
        await plant.StartOrder("O-2", instead: "O-1");
        await plant.Clear("st70", "O-2");
        var no = await plant.Refused("st70", plant.Begin("SH-1", "gears-in"));
        Assert.Equal(new("st70 is set up for O-2 (US), and SH-1 is built for O-1 (EU).", "Put it aside until st70 is cleared for O-1 again; the page of the orders leads there.", "set up for O-1", "set up for O-2 (US)"), no);

        await plant.Clear("st70", "O-1");
        await plant.Do("SH-1", "gears-in", m => m.As("eu"));
        Assert.Contains(("st70", "to-clear", "p1"), Changeover(plant));
        await plant.BuildAs("SH-2", "us", "firmware");
        await plant.Clear("st60", "O-2");
        await plant.Do("SH-2", "firmware", m => m.As("us"));
        Assert.Equal("st70 is not cleared for order O-2 (US).", (await plant.Refused("st70", plant.Begin("SH-2", "gears-in"))).Reason);
        Assert.Contains("L-gear-set", (await plant.RefusedAct(t => ClearStation.Decide(t, new(plant.NextKey(), "st70", "O-2", plant.Now, "p1"), plant.Context))).Reason, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_unit_of_an_interrupted_order_is_refused_where_its_station_was_never_cleared_for_it()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.OpenOrder("O-3", 2, "eu");
        await plant.StartOrder("O-1");
        await plant.StartOrder("O-2", instead: "O-1");
        await plant.Clear("st60", "O-2");
        await plant.BuildAs("SH-2", "us", "gears-in");
        await plant.StartOrder("O-3", instead: "O-2");
        Assert.Equal("st70 is set up for O-1 (EU), and SH-2 is built for O-2 (US).", (await plant.Refused("st70", plant.Begin("SH-2", "gears-in"))).Reason);
    }

    [Fact]
    public async Task What_a_station_is_not_set_up_for_is_not_brought_there()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.StartOrder("O-1");
        await plant.StartOrder("O-2", instead: "O-1");
        var no = await plant.RefusedAct(t => BringLot.Decide(t, new(plant.NextKey(), "L-gear-set-339", "st70", plant.Now), plant.Context));
        Assert.Equal(("st70 is set up for O-1 (EU), which takes no Gear set, ratio 33.9.", "Clear st70 for O-2 first."), (no.Reason, no.Remedy));
        await plant.BringLot("L-gear-set", "st70");
    }

    [Fact]
    public async Task What_lay_there_before_the_first_order_is_cleared_too_and_a_lot_lies_where_it_was_used_last()
    {
        await using var plant = new TestPlant(context: new([OrderedPlant.Revision], id => id == "af-85/0" ? TestRoute.Revision : OrderedPlant.Revision));
        await plant.ReceiveLots();
        await plant.OpenOrder("O-1", 9, "eu");
        await plant.OpenOrder("O-2", 9, "us");
        await plant.BringLot("L-gear-set-339", "st70");
        Assert.Equal(["st70"], (await plant.StartOrder("O-1")).ToClear);
        await plant.BringLot("L-gear-set-339", null);
        await plant.Clear("st70", "O-1");
        await plant.BuildAs("SH-1", "eu", "functional-check");

        // Never brought, only used: it lies there all the same, until its label is scanned out.
        await plant.StartOrder("O-2", instead: "O-1");
        Assert.Equal(["L-gear-set"], Clearing(plant, "st70")!.Lots.Select(l => l.Lot));
        await plant.Write(t => BringLot.Decide(t, new(plant.NextKey(), "L-gear-set", null, plant.Now, "p1", Counted: 40), plant.Context));
        Assert.Empty(Clearing(plant, "st70")!.Lots);
        using var c = plant.Read();
        Assert.Equal(40, LotQuery.Run(c, plant.Context, "L-gear-set") is { } lot ? lot.Quantity - lot.Used : -1);
        Assert.Equal("L-gear-set had 5000 pieces in all; 5001 cannot be left of it.", (await plant.RefusedAct(t => BringLot.Decide(t, new(plant.NextKey(), "L-gear-set", null, plant.Now, Counted: 5001), plant.Context))).Reason[4..]);
    }

    [Fact]
    public async Task Of_lots_that_are_used_up_by_the_count_only_the_last_tray_is_asked_for()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.StartOrder("O-1");
        foreach (var (lot, unit) in new[] { ("G-1", "SH-1"), ("G-2", "SH-2") })
        {
            await plant.ReceiveLot(lot, "gear-set", quantity: 1);
            await plant.BuildAs(unit, "eu", "gears-in");
            await plant.Do(unit, "gears-in", m => m with { Parts = [.. m.Parts.Select(p => p.Part == "gear-set" ? p with { Lot = lot } : p)], Readings = m.As("eu").Readings });
        }

        await plant.StartOrder("O-2", instead: "O-1");
        Assert.Equal(["G-2"], Clearing(plant, "st70")!.Lots.Select(l => l.Lot));
    }

    [Fact]
    public async Task A_station_that_came_with_a_later_revision_is_cleared_before_it_takes_the_order()
    {
        var later = OrderedPlant.Revision with { Line = OrderedPlant.Revision.Line with { Stations = [.. OrderedPlant.Revision.Line.Stations, new() { Id = "st71", Name = "st71", Step = "gears-in" }] } };
        var standing = new List<RouteRevision> { OrderedPlant.Revision };
        await using var plant = new TestPlant(context: new(standing, _ => OrderedPlant.Revision));
        await plant.ReceiveLots();
        await plant.OpenOrder("O-1", 3, "eu");
        await plant.StartOrder("O-1");
        standing[0] = later;
        await plant.BuildAs("SH-1", "eu", "gears-in");
        var no = await plant.Refused("st71", plant.Begin("SH-1", "gears-in"));
        Assert.Equal(("st71 is not cleared for order O-1 (EU).", "not set up for any order"), (no.Reason, no.Found));
        Assert.Equal("O-1", Clearing(plant, "st71")!.Order);
        using (var c = plant.Read()) Assert.Equal([("st71", "to-clear")], OrderQuery.Changeover(c, later).Select(s => (s.Station, s.State)));
        await plant.Clear("st71", "O-1");
        await plant.Do("SH-1", "gears-in", station: "st71");
    }

    [Fact]
    public async Task Nobody_clears_without_a_name_with_a_unit_there_or_for_what_is_not_built()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.StartOrder("O-1");
        await plant.BuildAs("SH-1", "eu", "gears-in");
        await plant.Take("st70", plant.Begin("SH-1", "gears-in"));
        await plant.StartOrder("O-2", instead: "O-1");
        var nobody = await Assert.ThrowsAsync<InputException>(() => plant.Write(t => ClearStation.Decide(t, new(plant.NextKey(), "st71", "O-2", plant.Now), plant.Context)));
        Assert.Equal(["person", "station"], nobody.Errors.Select(e => e.Column));
        Assert.Equal("st70 is busy with SH-1.", (await Refused("st70", "O-2")).Reason);
        Assert.Equal("st20 does the same for every order.", (await Refused("st20", "O-2")).Reason);
        Assert.Equal("st70 is set up for O-1 (EU) already.", (await Refused("st70", "O-1")).Reason);
        await plant.OpenOrder("O-3", 1, "eu");
        Assert.Equal("Nothing of order O-3 is under way.", (await Refused("st60", "O-3")).Reason);
        // The unit that had begun finishes under its own order.
        Assert.Equal("pass", (await plant.Take("st70", plant.Finish("SH-1", "gears-in").As("eu"))).Verdict);

        Task<Refusal> Refused(string station, string order) => plant.RefusedAct(t => ClearStation.Decide(t, new(plant.NextKey(), station, order, plant.Now, "p1"), plant.Context));
    }

    [Fact]
    public async Task Orders_of_the_same_variant_follow_one_another_without_clearing_and_a_pending_one_stays_pending()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.OpenOrder("O-3", 2, "eu");
        await plant.StartOrder("O-1");
        Assert.Empty((await plant.StartOrder("O-3", instead: "O-1")).ToClear);
        Assert.Equal(3, (await plant.StartOrder("O-2", instead: "O-3")).ToClear.Count);
        // Somebody may have begun to clear for O-2: back again it is looked at once more.
        Assert.Equal(3, (await plant.StartOrder("O-1", instead: "O-2")).ToClear.Count);
        await plant.BuildAs("SH-1", "eu", "firmware");
        Assert.Equal("st60 is not cleared for order O-1 (EU).", (await plant.Refused("st60", plant.Begin("SH-1", "firmware"))).Reason);
        await plant.Clear("st60", "O-1");
        await plant.Do("SH-1", "firmware", m => m.As("eu"));
    }

    [Fact]
    public async Task A_report_of_what_was_right_before_the_clearance_holds_nothing_and_one_from_after_it_does()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.StartOrder("O-1");
        await plant.BuildAs("SH-1", "eu", "gears-in");
        await plant.BuildAs("SH-2", "eu", "gears-in");
        plant.Wait(60);
        var before = plant.Now;
        plant.Wait(60);
        await plant.StartOrder("O-2", instead: "O-1");
        await plant.Clear("st70", "O-2");
        plant.Wait(60);
        Assert.Empty((await plant.Take("st70", plant.Finish("SH-1", "gears-in").As("eu") with { Kind = "report", OccurredAt = before })).Holds);
        Assert.Single((await plant.Take("st70", plant.Finish("SH-2", "gears-in").As("eu") with { Kind = "report" })).Holds);
    }

    [Fact]
    public async Task A_rebuild_gives_the_same_orders_and_set_ups_and_the_ledger_is_whole()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.StartOrder("O-1");
        await plant.BringLot("L-gear-set", "st70");
        await plant.BuildAs("SH-1", "eu", "functional-check");
        await plant.StartOrder("O-2", instead: "O-1");
        await plant.BringLot("L-gear-set", null);
        foreach (var station in new[] { "st60", "st70", "st120" }) await plant.Clear(station, "O-2");
        await plant.BuildAs("SH-2", "us");
        await plant.BringLot("L-label-us", null);
        await plant.Clear("st120", "O-1");
        await plant.EndOrder("O-1", "late");
        var before = plant.Derived();
        Assert.Contains("station_setup: ", before, StringComparison.Ordinal);
        await plant.Ledger.Rebuild();
        Assert.Equal(before, plant.Derived());
    }

    static StationClearing? Clearing(TestPlant plant, string station)
    {
        using var c = plant.Read();
        return StationQuery.Run(c, plant.Context, station, plant.Now)!.Clearing;
    }

    static IEnumerable<(string, string, string?)> Changeover(TestPlant plant)
    {
        using var c = plant.Read();
        return OrderQuery.Changeover(c, OrderedPlant.Revision).Select(s => (s.Station, s.State, s.Person)).ToList();
    }
}
