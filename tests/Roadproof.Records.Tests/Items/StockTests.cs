using System.Text;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Lots;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>What comes in by file, where it lies, and which of it is taken first.</summary>
public sealed class StockTests
{
    static readonly TimeZoneInfo Zone = TimeZoneInfo.CreateCustomTimeZone("plant", TimeSpan.FromHours(1), "plant", "plant");

    [Fact]
    public async Task A_file_with_mistakes_is_told_all_of_them_with_line_and_column_and_nothing_of_it_is_kept()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLot("G-1", "gear-set");
        var before = plant.Ledger.Head;
        var errors = (await Assert.ThrowsAsync<InputException>(() => Receive(plant, "k", """
            lot,part,quantity,expires
            D-1,grease,200,2031-03-04
            D-2,greese,200,
            D-3,grease,-5,4.3.2031
            D-1,grease,10,
            G-1,gear-set,10,
            ,grease,10,
            D-4,grease
            D 5,grease,10,2031-03-04T10:00
            """))).Errors;
        Assert.Equal(
            [
                (3, "part", "'greese'"), (4, "quantity", "'-5'"), (4, "expires", "'4.3.2031'"), (5, "lot", "'D-1' twice"), (6, "lot", "'G-1', which was received before"), (7, "lot", "nothing"),
                (8, "", "a row of length 2"), (9, "expires", "'2031-03-04T10:00'"), (9, "lot", "'D 5'"),
            ],
            errors.Select(e => (e.Line, e.Column, e.Found)));
        Assert.Equal("Did you mean 'grease'?", errors[0].Hint);
        Assert.All(errors, e => Assert.Equal("delivery.csv", e.Source));
        Assert.Equal(before, plant.Ledger.Head);

        Assert.Equal(["D-1", "D-2"], (await Receive(plant, "k", "lot;quantity;part\nD-1;200;grease\nD-2;40;grease\n\n")).Lots);
        Assert.True((await Receive(plant, "k", "lot;quantity;part\nD-1;200;grease\nD-2;40;grease\n\n")).Repeat);
        Assert.Equal(before.Size + 2, plant.Ledger.Head.Size);
        Assert.Equal([(2, "a key never used before")], (await Assert.ThrowsAsync<InputException>(() => Receive(plant, "k", "lot,quantity,part\nD-9,200,grease\n"))).Errors.Select(e => (e.Line, e.Expected)));
    }

    [Theory]
    [InlineData("", "an empty file")]
    [InlineData("lot,part,quantity", "no rows")]
    [InlineData("lot,part\nD-1,grease", "no such column")]
    [InlineData("lot,part,quantity,expiry\nD-1,grease,1,2031-03-04", "a column 'expiry'")]
    [InlineData("lot,part,quantity,lot\nD-1,grease,1,D-1", "the column twice")]
    [InlineData("PK\0\0", "no text")]
    public void A_file_that_is_no_delivery_is_refused_whole(string text, string found) => Assert.Equal([found], Read(text).Errors.Select(e => e.Found));

    [Fact]
    public void A_day_lasts_until_its_end_at_the_plant()
    {
        Assert.Equal(new DateTimeOffset(2031, 3, 4, 23, 59, 59, TimeSpan.FromHours(1)), Read("lot,part,quantity,expires\nD-1,grease,1,2031-03-04").Rows[0].ExpiresAt);
        Assert.Equal(new DateTimeOffset(2031, 3, 4, 10, 0, 0, TimeSpan.Zero), Read("lot,part,quantity,expires\nD-1,grease,1,2031-03-04T10:00Z").Rows[0].ExpiresAt);
    }

    [Fact]
    public async Task A_station_shows_what_lies_there_and_which_is_taken_first()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();
        await plant.ReceiveLot("D-1", "grease", 1, plant.Now.AddDays(20));
        await plant.ReceiveLot("D-2", "grease", 50, plant.Now.AddDays(10));
        await plant.ReceiveLot("D-3", "grease", 50, plant.Now.AddDays(5));
        await plant.ReceiveLot("D-4", "grease", 50, plant.Now.AddDays(-5));
        Assert.Equal("D-3", (await plant.BringLot("D-1", "st70")).TakeFirst);
        Assert.Equal("D-3", (await plant.BringLot("D-2", "st70")).TakeFirst);
        Assert.Equal([("D-2", true, "D-3"), ("D-1", false, null)], Stock().Select(s => (s.Lot, s.TakeFirst, s.EarlierInStore)));

        Assert.Null((await plant.BringLot("D-3", "st70")).TakeFirst);
        await plant.HoldLot("D-3", "wet");
        Assert.Equal([("D-3", "held", false), ("D-2", "open", true), ("D-1", "open", false)], Stock().Select(s => (s.Lot, s.State, s.TakeFirst)));
        await plant.BringLot("D-3", null);
        await plant.BringLot("D-2", null);

        // Used up by the count, it is still named until the next is brought.
        await plant.Build("SH-1", "gears-in");
        var message = plant.Finish("SH-1", "gears-in");
        await plant.Take("st70", message with { Parts = [.. message.Parts.Select(p => p.Part == "grease" ? p with { Lot = "D-1" } : p)] });
        Assert.Equal([("D-1", 0, "used-up")], Stock().Select(s => (s.Lot, s.Left, s.State)));
        await plant.BringLot("D-2", "st70");
        Assert.Equal(["D-2"], Stock().Select(s => s.Lot));

        Assert.Equal("Gear set does not belong to Stator in.", (await Refused("L-gear-set", "st20")).Reason);
        Assert.Equal("Lot D-3 is on hold: wet.", (await Refused("D-3", "st70")).Reason);
        Assert.StartsWith("Lot D-4 expired on", (await Refused("D-4", "st70")).Reason, StringComparison.Ordinal);
        Assert.Equal("Lot D-9 is not known.", (await Refused("D-9", "st70")).Reason);
        await Assert.ThrowsAsync<InputException>(() => plant.BringLot("D-2", "st99"));

        var before = plant.Derived();
        await plant.Ledger.Rebuild();
        Assert.Equal(before, plant.Derived());

        IReadOnlyList<StationStock> Stock()
        {
            using var c = plant.Read();
            return StationQuery.Run(c, plant.Context, "st70", plant.Now)!.Stock;
        }

        Task<Refusal> Refused(string lot, string station) => plant.RefusedAct(t => BringLot.Decide(t, new(plant.NextKey(), lot, station, plant.Now), plant.Context));
    }

    [Fact]
    public async Task The_list_of_lots_goes_by_part_and_by_what_is_used_up_first()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLot("G-1", "gear-set", 10);
        await plant.ReceiveLot("D-1", "grease", 10);
        await plant.ReceiveLot("D-2", "grease", 10, plant.Now.AddDays(10));
        await plant.ReceiveLot("D-3", "grease", 10, plant.Now.AddDays(-1));
        await plant.ReceiveLot("D-4", "grease", 10);
        await plant.SplitLot("D-4", "D-4a", 10);
        await plant.HoldLot("G-1", "burrs");
        using var c = plant.Read();
        Assert.Equal([("G-1", "held"), ("D-3", "expired"), ("D-2", "open"), ("D-1", "open"), ("D-4", "used-up"), ("D-4a", "open")], List().Lots.Select(l => (l.Lot, l.State)));
        Assert.Equal((6, 1), (List().Total, List(count: 1).Lots.Count));
        Assert.Equal(["D-2", "D-1", "D-4a"], List("open").Lots.Select(l => l.Lot));
        Assert.Equal(("G-1", "burrs"), List("held").Lots.Select(l => (l.Lot, l.Reason!)).Single());
        Assert.Equal(["D-4", "D-4a"], List(find: "D-4").Lots.Select(l => l.Lot));
        Assert.Equal(["G-1"], List(part: "gear-set").Lots.Select(l => l.Lot));

        LotListView List(string? state = null, string? part = null, string? find = null, int count = 50) => StockQuery.Run(c, plant.Context, plant.Now, state, part, find, 0, count);
    }

    static LotTable Read(string text) => LotFile.Read("delivery.csv", new MemoryStream(Encoding.UTF8.GetBytes(text)), Zone);

    static Task<LotDeliveryAnswer> Receive(TestPlant plant, string key, string text)
    {
        var at = new DateTimeOffset(2026, 3, 4, 6, 0, 0, TimeSpan.FromHours(1));
        return plant.Write(t => ReceiveLots.Decide(t, new(key, Read(text), at), plant.Context));
    }
}
