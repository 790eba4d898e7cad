using Dapper;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Orders;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>Production orders: who takes which, what a unit of one is judged by, how far it is.</summary>
public sealed class OrderTests
{
    [Fact]
    public async Task A_unit_takes_the_order_that_runs_and_keeps_it_through_a_changeover_and_a_repair()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.StartOrder("O-1");
        await plant.BuildAs("SH-1", "eu", "gears-in");
        await plant.StartOrder("O-2", instead: "O-1");
        await plant.BuildAs("SH-2", "us", "firmware");
        Assert.Equal(("O-1", "O-2"), (OrderOf(plant, "SH-1"), OrderOf(plant, "SH-2")));

        // st70 is set up for O-1 still: its units go on by its rules.
        await plant.Do("SH-1", "gears-in", m => m.As("eu"));
        await plant.HoldUnit("SH-1", "look");
        await plant.ReleaseUnit("SH-1", "greased anew", backTo: "gears-in");
        var no = await plant.Refused("st70", plant.Finish("SH-1", "gears-in").As("us"));
        Assert.Equal(new("Order O-1 (EU) takes Gear set, ratio 36.18; Gear set, ratio 33.9 was scanned.", "Put it back and take the right one; check what else lies in the tray.", "Gear set, ratio 36.18", "Gear set, ratio 33.9"), no);
        await plant.Do("SH-1", "gears-in", m => m.As("eu"));
        Assert.Equal("O-1", OrderOf(plant, "SH-1"));
    }

    [Fact]
    public async Task Without_an_order_no_unit_of_a_product_with_variants_starts_and_one_without_variants_does()
    {
        await using var plant = await OrderedPlant.Start();
        var no = await plant.Refused("st10", plant.Begin("SH-1", "shell-in"));
        Assert.Equal(("No order runs on Line 1, so nobody knows as what SH-1 is built.", "an order for EU or US", "no order running"), (no.Reason, no.Needed, no.Found));
        await plant.StartOrder("O-1");
        await plant.EndOrder("O-1", "not wanted");
        await plant.Refused("st10", plant.Begin("SH-1", "shell-in"));

        await using var plain = new TestPlant();
        await plain.ReceiveLots();
        await plain.Build("SH-1", "stator-in");
        await plain.OpenOrder("O-1", 1);
        await plain.StartOrder("O-1");
        await plain.Build("SH-2");
        await plain.Do("SH-1", "stator-in");
        Assert.Equal((null, "O-1"), (OrderOf(plain, "SH-1"), OrderOf(plain, "SH-2")));
    }

    [Fact]
    public async Task An_order_counts_its_units_and_takes_no_more_than_its_quantity_a_scrapped_one_is_replaced()
    {
        await using var plant = await OrderedPlant.Start(quantity: 2);
        await plant.StartOrder("O-1");
        await plant.BuildAs("SH-1", "eu");
        await plant.BuildAs("SH-2", "eu", "rotor-in");
        var full = await plant.Refused("st10", plant.Begin("SH-3", "shell-in"));
        Assert.Equal(("Order O-1 has all its 2 units under way or done.", "2 of 2"), (full.Reason, full.Found));
        Assert.Equal((1, 0, 1, 0), Counted(plant, "O-1"));

        var early = await plant.RefusedAct(t => EndOrder.Decide(t, new(plant.NextKey(), "O-1", plant.Now)));
        Assert.Equal(("Order O-1 has 1 of 2 units good.", "1 of 2"), (early.Reason, early.Found));
        await plant.ScrapUnit("SH-2", "dropped");
        Assert.Equal((1, 1, 0, 1), Counted(plant, "O-1"));
        await plant.BuildAs("SH-3", "eu");
        Assert.Equal("finished", (await plant.EndOrder("O-1")).State);
        Assert.Equal("Order O-1 is finished.", (await plant.RefusedAct(t => StartOrder.Decide(t, new(plant.NextKey(), "O-1", plant.Now), plant.Context))).Reason);
        var short2 = await plant.EndOrder("O-2", "customer withdrew");
        Assert.Equal(("ended", 0), (short2.State, short2.Good));
    }

    [Fact]
    public async Task What_is_through_its_route_and_on_hold_is_not_good()
    {
        await using var plant = new TestPlant(context: new([TestRoute.Revision with { Steps = [.. TestRoute.Revision.Steps.Take(2)] }], _ => null));
        await plant.ReceiveLots();
        await plant.OpenOrder("O-1", 1);
        await plant.StartOrder("O-1");
        await plant.Build("SH-1", "rotor-in");
        Assert.Equal((1, 0, 0, 0), Counted(plant, "O-1"));
        await plant.HoldUnit("SH-1", "look");
        Assert.Equal((0, 0, 1, 0), Counted(plant, "O-1"));
        Assert.Equal("Order O-1 has 0 of 1 units good.", (await plant.RefusedAct(t => EndOrder.Decide(t, new(plant.NextKey(), "O-1", plant.Now)))).Reason);
    }

    [Fact]
    public async Task A_wrong_region_says_what_was_found_what_the_order_wants_and_what_to_do()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.StartOrder("O-1");
        await plant.BuildAs("SH-1", "eu", "firmware");
        var answer = await plant.Do("SH-1", "firmware", m => m.As("us"));
        Assert.Equal("fail", answer.Verdict);
        Assert.Equal("Firmware: region US-20 found, order O-1 (EU) wants EU-25; load what the order wants and do it again", Assert.Single(answer.Holds));
    }

    [Fact]
    public async Task A_unit_is_packed_for_its_orders_customer()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.StartOrder("O-1");
        await plant.BuildAs("SH-1", "eu", "pack");
        var message = plant.Finish("SH-1", "pack").As("eu");
        var no = await plant.Refused("st140", message with { Readings = [.. message.Readings.Select(r => r.Id == "customer" ? r with { Text = "Ostermere Bikes" } : r)] });
        Assert.Equal(("Order O-1 is for Tarnbeck Cycles, not for Ostermere Bikes.", "Pack SH-1 for Tarnbeck Cycles."), (no.Reason, no.Remedy));
        await plant.Do("SH-1", "pack", m => m.As("eu"));
    }

    [Fact]
    public async Task Of_two_people_who_start_an_order_at_once_one_does_and_the_other_is_told()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.OpenOrder("O-3", 5, "us");
        await plant.StartOrder("O-1");
        var both = await Task.WhenAll(new[] { "O-2", "O-3" }.Select(o => plant.Write(t => StartOrder.Decide(t, new($"start-{o}", o, plant.Now, "O-1", "k7f2"), plant.Context))));
        var won = Assert.Single(both, b => b.Done is not null).Done!.Order;
        var lost = Assert.Single(both, b => b.Refused is not null).Refused!;
        Assert.Equal(($"Order {won} runs on Line 1.", "O-1", won), (lost.Reason, lost.Needed, lost.Found));

        // Sent again it is answered again; the same key for another is not.
        Assert.True((await plant.Write(t => StartOrder.Decide(t, new($"start-{won}", won, plant.Now, "O-1", "k7f2"), plant.Context))).Done!.Repeat);
        Assert.NotNull((await plant.Write(t => StartOrder.Decide(t, new($"start-{won}", "O-1", plant.Now, won, "k7f2"), plant.Context))).Refused);
        Assert.Equal(["O-1"], Of(plant, "interrupted"));
        Assert.Equal($"Order O-1 does not run on Line 1 any more.", (await Ended()).Reason);

        async Task<Refusal> Ended()
        {
            await plant.EndOrder(won, "enough");
            return await plant.RefusedAct(t => StartOrder.Decide(t, new(plant.NextKey(), won == "O-2" ? "O-3" : "O-2", plant.Now, "O-1"), plant.Context));
        }
    }

    [Fact]
    public async Task A_late_report_is_of_the_order_that_ran_when_it_happened()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.StartOrder("O-1");
        plant.Wait(60);
        var then = plant.Now;
        plant.Wait(60);
        await plant.StartOrder("O-2", instead: "O-1");
        plant.Wait(60);
        var late = await plant.Take("st10", plant.Finish("SH-1", "shell-in") with { Kind = "report", OccurredAt = then });
        Assert.Empty(late.Holds);
        Assert.Equal("O-1", OrderOf(plant, "SH-1"));

        // Before any order ran nobody knows its variant: kept, held, and it takes the running order when it goes on.
        var before = await plant.Take("st10", plant.Finish("SH-2", "shell-in") with { Kind = "report", OccurredAt = then.AddHours(-1) });
        Assert.Equal("No order runs on Line 1, so nobody knows as what SH-2 is built.", Assert.Single(before.Holds));
        Assert.Null(OrderOf(plant, "SH-2"));
        // What the variant asks and nobody knows the variant of cannot pass.
        Assert.Equal("fail", (await plant.Take("st60", plant.Finish("SH-2", "firmware") with { Kind = "report", OccurredAt = then.AddHours(-1) })).Verdict);
        await plant.ReleaseUnit("SH-2", "shift lead knows");
        await plant.Do("SH-2", "stator-in");
        Assert.Equal("O-2", OrderOf(plant, "SH-2"));
    }

    [Fact]
    public async Task A_unit_reported_without_order_with_parts_of_another_variant_in_it_takes_no_order_before_they_are_out()
    {
        await using var plant = await OrderedPlant.Start();
        var early = plant.Now;
        await plant.StartOrder("O-2");
        await plant.Take("st10", plant.Finish("SH-1", "shell-in") with { Kind = "report", OccurredAt = early.AddHours(-1) });
        foreach (var step in new[] { "gears-in" }) await plant.Take("st70", plant.Finish("SH-1", step).As("eu") with { Kind = "report", OccurredAt = early.AddHours(-1) });
        await plant.ReleaseUnit("SH-1", "all seen");
        var no = await plant.Refused("st20", plant.Begin("SH-1", "stator-in"));
        Assert.Equal("SH-1 has Gear set, ratio 36.18 in, which order O-2 (US) does not take.", no.Reason);
    }

    [Fact]
    public async Task What_cannot_be_an_order_is_told_at_once_and_a_known_code_is_refused()
    {
        await using var plant = await OrderedPlant.Start();
        var wrong = await Assert.ThrowsAsync<InputException>(() => plant.Write(t => OpenOrder.Decide(t, new("", "O 9", "af-58", 0, plant.Now, "uk", "Tarnbek Cycles"), plant.Context)));
        Assert.Equal(["key", "quantity", "order", "customer", "product"], wrong.Errors.Select(e => e.Column));
        var variant = await Assert.ThrowsAsync<InputException>(() => plant.OpenOrder("O-9", 1, "uk"));
        Assert.Equal("order: variant: found 'uk', expected a variant of af-85. Did you mean 'us'?", Assert.Single(variant.Errors).ToString());
        Assert.Equal("order: variant: found nothing, expected a variant of af-85. Known are: eu, us.", Assert.Single((await Assert.ThrowsAsync<InputException>(() => plant.OpenOrder("O-9", 1))).Errors).ToString());
        Assert.Equal("Order O-1 was opened before.", (await plant.RefusedAct(t => OpenOrder.Decide(t, new(plant.NextKey(), "O-1", "af-85", 1, plant.Now, "eu"), plant.Context))).Reason);
        Assert.Equal("Order O-8 is not known.", (await plant.RefusedAct(t => StartOrder.Decide(t, new(plant.NextKey(), "O-8", plant.Now), plant.Context))).Reason);
    }

    [Fact]
    public async Task Packing_shows_the_customer_and_what_the_label_says_and_a_gear_step_what_the_order_takes()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.StartOrder("O-1");
        await plant.BuildAs("SH-1", "eu", "gears-in");
        using var c = plant.Read();
        Assert.Equal("Tarnbeck Cycles. The label says AF EU.", StationQuery.Run(c, plant.Context, "st140", plant.Now)!.Needs.Single(n => n.Id == "customer").Hint);
        Assert.Equal("O-1 (EU) takes Gear set, ratio 36.18.", StationQuery.Run(c, plant.Context, "st70", plant.Now)!.Needs.Single(n => n.Id == "gear-set").Hint);
        Assert.Equal("AF EU", StationQuery.Run(c, plant.Context, "st120", plant.Now)!.Needs.Single(n => n.Id == "label-read").Hint);
    }

    [Fact]
    public async Task A_ledger_that_knows_no_orders_is_written_as_it_always_was_and_reads_on()
    {
        await using var plain = new TestPlant();
        await plain.ReceiveLots();
        await plain.BringLot("L-grease", "st70");
        await plain.Build("SH-1", "functional-check");
        using var c = plain.Read();
        var bodies = c.Query<string>("select body from ledger").ToList();
        Assert.All(bodies, b => Assert.DoesNotContain("rder\":", b, StringComparison.Ordinal));
        Assert.All(bodies, b => Assert.DoesNotContain("counted", b, StringComparison.Ordinal));
        Assert.Null(StationQuery.Run(c, plain.Context, "st70", plain.Now)!.Order);
        Assert.Empty(OrderQuery.Run(c, plain.Context).Orders);
    }

    [Fact]
    public async Task An_order_from_before_its_product_had_variants_starts_no_unit_more_and_those_under_way_go_on()
    {
        var standing = new List<RouteRevision> { TestRoute.Revision };
        await using var plant = new TestPlant(context: new(standing, _ => TestRoute.Revision));
        await plant.ReceiveLots();
        await plant.OpenOrder("O-1", 3);
        await plant.StartOrder("O-1");
        await plant.Build("SH-1", "gears-in");
        standing[0] = OrderedPlant.Revision with { Id = "af-85/2", Number = 2 };
        var no = await plant.Refused("st10", plant.Begin("SH-2", "shell-in"));
        Assert.Equal(("Order O-1 names no variant, and AF-85 mid-drive unit has some now.", "EU or US"), (no.Reason, no.Needed));
        await plant.Do("SH-1", "gears-in");
        Assert.Equal("Order O-1 names no variant, and AF-85 mid-drive unit has variants now.", (await RefusedAgain()).Reason);

        async Task<Refusal> RefusedAgain()
        {
            await plant.OpenOrder("O-2", 3, "eu");
            await plant.StartOrder("O-2", instead: "O-1");
            return await plant.RefusedAct(t => StartOrder.Decide(t, new(plant.NextKey(), "O-1", plant.Now, "O-2"), plant.Context));
        }
    }

    [Fact]
    public async Task A_start_before_the_last_change_is_a_wrong_clock()
    {
        await using var plant = await OrderedPlant.Start();
        await plant.StartOrder("O-1");
        var no = await plant.RefusedAct(t => StartOrder.Decide(t, new(plant.NextKey(), "O-2", plant.Now.AddMinutes(-1), "O-1"), plant.Context));
        Assert.Equal("Order O-1 ran on Line 1 at that time.", no.Reason);
    }

    internal static string? OrderOf(TestPlant plant, string unit)
    {
        using var c = plant.Read();
        return c.ExecuteScalar<string?>("select work_order from unit where unit = @unit", new { unit });
    }

    static (int Good, int Scrapped, int UnderWay, int ToStart) Counted(TestPlant plant, string order)
    {
        using var c = plant.Read();
        var o = OrderQuery.Of(c, plant.Context, order)!;
        return (o.Good, o.Scrapped, o.UnderWay, o.ToStart);
    }

    static IEnumerable<string> Of(TestPlant plant, string state)
    {
        using var c = plant.Read();
        return OrderQuery.Run(c, plant.Context, state).Orders.Select(o => o.Order).ToList();
    }
}
