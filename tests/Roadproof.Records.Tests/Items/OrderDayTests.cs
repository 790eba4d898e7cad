using CsCheck;
using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Lots;
using Roadproof.Records.Orders;

namespace Roadproof.Records.Tests.Items;

/// <summary>Whatever a day of orders, changeovers and clearances brings: no unit holds a part of another variant than its order's, none is built at a station set up for another, no order grows, and a rebuild says the same.</summary>
public sealed class OrderDayTests
{
    enum Deed
    {
        Next, OtherVariant, StartOrder, EndOrder, Clear, ClearOld, Bring, Back, Hold, SendBack, Scrap,
    }

    static readonly Gen<Deed> Deeds = Gen.Frequency(
        (40, Gen.Const(Deed.Next)), (4, Gen.Const(Deed.OtherVariant)), (3, Gen.Const(Deed.StartOrder)), (1, Gen.Const(Deed.EndOrder)), (6, Gen.Const(Deed.Clear)), (2, Gen.Const(Deed.ClearOld)),
        (3, Gen.Const(Deed.Bring)), (4, Gen.Const(Deed.Back)), (1, Gen.Const(Deed.Hold)), (2, Gen.Const(Deed.SendBack)), (1, Gen.Const(Deed.Scrap)));

    static readonly Gen<(Deed Deed, int Unit, int Choice)[]> Days = Gen.Select(Deeds, Gen.Int[0, 4], Gen.Int[0, 2]).Array[60, 160];
    static readonly string[] Stations = ["st60", "st70", "st120"];
    static readonly string[] Orders = ["O-1", "O-2", "O-3"];

    [Fact]
    public void Nothing_of_one_order_goes_into_another() => Days.Sample(day => Check(day).GetAwaiter().GetResult(), iter: 12, threads: 2);

    static async Task Check((Deed Deed, int Unit, int Choice)[] day)
    {
        await using var plant = await OrderedPlant.Start(quantity: 3);
        await plant.OpenOrder("O-3", 2, "eu");
        await plant.StartOrder("O-1");
        foreach (var (deed, unit, choice) in day) await Act(plant, deed, $"SH-{unit}", choice);

        using (var c = plant.Read())
        {
            Assert.Empty(c.Query<string>(
                """
                select p.unit from part_use p join unit u on u.unit = p.unit join work_order o on o.work_order = u.work_order
                where p.replaced is null and (o.variant = 'eu' and p.part in ('gear-set-339', 'label-us') or o.variant = 'us' and p.part in ('gear-set', 'label'))
                """));
            Assert.Empty(c.Query<string>("select o.work_order from work_order o join unit u on u.work_order = o.work_order and u.state <> 'scrapped' group by o.work_order having count(*) > o.quantity"));
            Assert.Empty(c.Query<string>("select product from order_run where ended_at is null group by product having count(*) > 1"));
            Assert.Equal(0, c.ExecuteScalar<int>("select count(*) from unit where work_order is null"));
            WasSetUp(c);
        }

        var before = plant.Derived();
        await plant.Ledger.Rebuild();
        Assert.Equal(before, plant.Derived());
    }

    // The slow way: what the station was set up for just before each step's record.
    static void WasSetUp(SqliteConnection c)
    {
        var wrong = c.Query<string>(
            """
            select s.unit || ' ' || s.station from unit_step s join unit u on u.unit = s.unit join work_order o on o.work_order = u.work_order
            where s.step in ('firmware', 'gears-in', 'label') and s.ended_at is not null
              and (select p.variant from station_setup p where p.station = s.station and p.sequence < s.sequence order by p.sequence desc limit 1) is not o.variant
            """);
        Assert.Empty(wrong);
    }

    static async Task Act(TestPlant plant, Deed deed, string unit, int choice)
    {
        plant.Wait(20);
        var (station, order) = (Stations[choice], Orders[choice]);
        switch (deed)
        {
            case Deed.Next or Deed.OtherVariant:
                var (step, variant) = Next(plant, unit);
                if (step is null) return;
                var place = TestPlant.StationOf(step);
                var begun = await plant.Send(place, plant.Begin(unit, step));
                if (step == "load-test") await plant.Arrive(unit);
                var variantBuilt = deed == Deed.Next ? variant : variant == "us" ? "eu" : "us";
                await plant.Send(place, plant.Finish(unit, step, begun.Answer?.Serial).As(variantBuilt), step == "load-test" ? Records.Items.LoadTestOutcome.Judged(TestPlant.Verdict()) : null);
                return;
            case Deed.StartOrder:
                await plant.Write(t => StartOrder.Decide(t, new(plant.NextKey(), order, plant.Now, Running(plant), "k7f2"), plant.Context));
                return;
            case Deed.EndOrder: await plant.Write(t => EndOrder.Decide(t, new(plant.NextKey(), order, plant.Now, choice == 0 ? "enough" : null))); return;
            case Deed.Clear or Deed.ClearOld:
                var asked = deed == Deed.Clear ? Running(plant) : order;
                if (asked is not null) await plant.Write(t => ClearStation.Decide(t, new(plant.NextKey(), station, asked, plant.Now, "p1"), plant.Context));
                return;
            case Deed.Bring: await plant.Write(t => BringLot.Decide(t, new(plant.NextKey(), new[] { "L-gear-set", "L-gear-set-339", "L-label" }[choice], choice == 2 ? "st120" : "st70", plant.Now), plant.Context)); return;
            case Deed.Back:
                foreach (var lot in new[] { "L-gear-set", "L-gear-set-339", "L-label", "L-label-us" }.Skip(choice)) await plant.BringLot(lot, null);
                return;
            case Deed.Hold: await plant.Write(t => Records.Items.HoldUnit.Decide(t, new("hold", unit, plant.NextKey(), "look", plant.Now), plant.Context)); return;
            case Deed.SendBack:
                await plant.Write(t => Records.Items.ReleaseUnit.Decide(t, new("release", unit, plant.NextKey(), "mended", plant.Now, BackTo: new[] { "firmware", "gears-in", null }[choice]), plant.Context));
                return;
            case Deed.Scrap when choice == 0: await plant.Write(t => Records.Items.ScrapUnit.Decide(t, new("scrap", unit, plant.NextKey(), "dropped", plant.Now), plant.Context)); return;
            default: return;
        }
    }

    /// <summary>A unit's next step and the variant of the order that it has or would take.</summary>
    static (string? Step, string Variant) Next(TestPlant plant, string unit)
    {
        using var c = plant.Read();
        var known = c.QueryFirstOrDefault<(string? Next, string? Variant)>("select u.next_step, o.variant from unit u left join work_order o on o.work_order = u.work_order where u.unit = @unit", new { unit });
        if (known != default) return (known.Next, known.Variant ?? "eu");
        return ("shell-in", c.ExecuteScalar<string?>("select variant from work_order where state = 'running'") ?? "eu");
    }

    static string? Running(TestPlant plant)
    {
        using var c = plant.Read();
        return c.ExecuteScalar<string?>("select work_order from work_order where state = 'running'");
    }
}
