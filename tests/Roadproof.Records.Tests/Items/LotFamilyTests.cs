using CsCheck;
using Dapper;
using Roadproof.Records.Genealogy;
using Roadproof.Records.Lots;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>Lots that are split off and poured together: what a bad one touches, and nothing more.</summary>
public sealed class LotFamilyTests
{
    [Fact]
    public async Task A_bad_lot_touches_what_was_made_of_it_and_neither_its_neighbour_nor_what_it_came_from()
    {
        await using var plant = await Greased();
        await plant.SplitLot("D-1", "D-1a", 100);
        await plant.MixLots("M-1", ("D-1a", 60), ("D-2", 40));
        await plant.SplitLot("M-1", "M-1a", 30);
        foreach (var (unit, lot) in new[] { ("SH-1", "D-1"), ("SH-2", "D-1a"), ("SH-3", "D-2"), ("SH-4", "M-1"), ("SH-5", "M-1a") }) await Grease(plant, unit, lot);

        var held = await plant.HoldLot("D-1a", "grit");
        Assert.Equal(["M-1", "M-1a"], held.LotsTouched);
        Assert.Equal(["SH-2", "SH-4", "SH-5"], held.UnitsHeld);
        using (var c = plant.Read())
        {
            Assert.Equal(["SH-2", "SH-4", "SH-5"], GenealogyQuery.UnitsWithLot(c, "D-1a").Select(u => u.Unit));
            Assert.Equal(("open", "open", "held", "held"), (State("D-1"), State("D-2"), State("M-1"), State("M-1a")));
            var mixed = LotQuery.Run(c, plant.Context, "M-1a")!;
            Assert.Equal(("D-1a, which went into it, is on hold: grit", false), (mixed.Reason, mixed.HeldItself));
            Assert.Equal([new("M-1", 30)], mixed.Sources);
            Assert.Equal("held", UnitQuery.Run(c, plant.Context, "SH-5")!.Parts.Single(p => p.Lot == "M-1a").LotState);

            string State(string lot) => LotQuery.Run(c, plant.Context, lot)!.State;
        }

        await plant.Build("SH-6", "gears-in");
        Assert.Equal("Lot M-1a is on hold because D-1a, which went into it, is: grit.", (await plant.Refused("st70", WithGrease(plant, "SH-6", "M-1a"))).Reason);
        await plant.Take("st70", WithGrease(plant, "SH-6", "D-2"));

        Assert.Equal(["SH-2", "SH-4", "SH-5"], (await plant.ReleaseLot("D-1a", "sieved, clean")).UnitsReleased);
        await Grease(plant, "SH-7", "M-1a");
    }

    [Fact]
    public async Task What_two_bad_lots_were_poured_into_waits_for_both()
    {
        await using var plant = await Greased();
        await plant.MixLots("M-1", ("D-1", 50), ("D-2", 50));
        await Grease(plant, "SH-1", "M-1");
        Assert.Equal(["SH-1"], (await plant.HoldLot("D-1", "grit")).UnitsHeld);
        await plant.HoldLot("D-2", "wet");

        var no = await plant.RefusedAct(t => ReleaseLot.Decide(t, new("release", "M-1", plant.NextKey(), "looked at", plant.Now)));
        Assert.Equal("Lot M-1 is on hold because D-1, D-2 is.", no.Reason);
        Assert.Empty((await plant.ReleaseLot("D-1", "clean")).UnitsReleased);
        await plant.Build("SH-2", "gears-in");
        Assert.StartsWith("Lot M-1 is on hold because D-2,", (await plant.Refused("st70", WithGrease(plant, "SH-2", "M-1"))).Reason, StringComparison.Ordinal);
        Assert.Equal(["SH-1"], (await plant.ReleaseLot("D-2", "dry")).UnitsReleased);
    }

    [Fact]
    public async Task The_bad_is_sorted_out_of_a_held_lot_by_splitting_it_off()
    {
        await using var plant = await Greased();
        await plant.HoldLot("D-1", "some of it has grit");
        await plant.SplitLot("D-1", "D-1-bad", 20);
        await plant.HoldLot("D-1-bad", "grit");
        Assert.Equal("open", (await plant.ReleaseLot("D-1", "the rest is clean")).State);
        await Grease(plant, "SH-1", "D-1");
        await plant.Build("SH-2", "gears-in");
        Assert.Equal("Lot D-1-bad is on hold: grit.", (await plant.Refused("st70", WithGrease(plant, "SH-2", "D-1-bad"))).Reason);
    }

    [Fact]
    public async Task A_held_unit_is_sent_back_to_where_the_mixed_lot_comes_out()
    {
        await using var plant = await Greased();
        await plant.MixLots("M-1", ("D-1", 50), ("D-2", 50));
        await Grease(plant, "SH-1", "M-1");
        await plant.HoldLot("D-2", "wet");
        Assert.Equal("building", (await plant.ReleaseUnit("SH-1", "new grease", "gears-in")).State);
        Assert.Equal("pass", (await plant.Take("st70", WithGrease(plant, "SH-1", "D-1"))).Verdict);
    }

    [Fact]
    public async Task A_made_lot_is_as_old_as_its_oldest_source_and_expires_with_the_first()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLot("D-1", "grease", 100, plant.Now.AddDays(30));
        plant.Wait(3600);
        await plant.ReceiveLot("D-2", "grease", 100, plant.Now.AddDays(9));
        await plant.ReceiveLot("D-3", "grease", 100);
        var made = await plant.MixLots("M-1", ("D-3", 10), ("D-1", 20), ("D-2", 30));
        Assert.Equal((60, plant.Now.AddDays(9)), (made.Quantity, made.ExpiresAt));
        using var c = plant.Read();
        Assert.Equal(LotQuery.Run(c, plant.Context, "D-1")!.ReceivedAt, LotQuery.Run(c, plant.Context, "M-1")!.ReceivedAt);
        Assert.Equal((20, 70, 100), (LotQuery.Run(c, plant.Context, "D-1")!.Used, StockQuery.Run(c, plant.Context, plant.Now, find: "D-2").Lots[0].Left, StockQuery.Run(c, plant.Context, plant.Now, find: "D-2").Lots[0].Quantity));
    }

    [Fact]
    public async Task What_cannot_be_split_or_poured_together_is_refused_and_a_wrong_count_is_only_a_warning()
    {
        await using var plant = await Greased();
        await plant.ReceiveLot("G-1", "gear-set", 10);
        await plant.ReceiveLot("D-old", "grease", 10, plant.Now.AddDays(-1));
        Assert.Equal("Lot D-2 is known already.", (await Split("D-1", "D-2", 10)).Reason);
        Assert.Equal("Lot D-9 is not known.", (await Split("D-9", "D-9a", 10)).Reason);
        Assert.Equal("Lot D-1 had 200 pieces in all; 201 cannot come from it.", (await Split("D-1", "D-1a", 201)).Reason);
        Assert.Equal("Lots of different parts are not one lot: D-1 is grease, G-1 is gear-set.", (await Mix("D-1", "G-1")).Reason);
        Assert.StartsWith("Lot D-old expired on", (await Mix("D-1", "D-old")).Reason, StringComparison.Ordinal);
        await plant.HoldLot("D-2", "wet");
        Assert.Equal("Lot D-2 is on hold.", (await Mix("D-1", "D-2")).Reason);
        await plant.SplitLot("D-2", "D-2a", 10);
        Assert.Equal("Lot D-2a is on hold.", (await Mix("D-1", "D-2a")).Reason);

        await plant.SplitLot("D-1", "D-1a", 150);
        Assert.Equal(["Lot D-1 has 50 left by the count, and 100 were taken: count what is there."], (await plant.SplitLot("D-1", "D-1b", 100)).Warnings);
        await Assert.ThrowsAsync<Engineering.Quantities.InputException>(() => plant.MixLots("M-9", ("D-1", 1)));
        await Assert.ThrowsAsync<Engineering.Quantities.InputException>(() => plant.MixLots("M-9", ("D-1", 1), ("D-1", 1)));
        await Assert.ThrowsAsync<Engineering.Quantities.InputException>(() => plant.SplitLot("D-1", "two words", 0));

        Task<Engineering.Quantities.Refusal> Split(string lot, string into, int quantity) => plant.RefusedAct(t => SplitLot.Decide(t, new(plant.NextKey(), lot, into, quantity, plant.Now)));
        Task<Engineering.Quantities.Refusal> Mix(string a, string b) => plant.RefusedAct(t => MixLots.Decide(t, new(plant.NextKey(), "M-1", [new(a, 5), new(b, 5)], plant.Now)));
    }

    [Fact]
    public async Task A_repeat_counts_once()
    {
        await using var plant = await Greased();
        var (split, mix, brought) = (new LotSplit("k1", "D-1", "D-1a", 10, plant.Now), new LotMix("k2", "M-1", [new("D-1", 5), new("D-2", 5)], plant.Now), new LotBrought("k3", "M-1", "st70", plant.Now));
        for (var i = 0; i < 2; i++)
        {
            Assert.Equal(i == 1, (await plant.Write(t => SplitLot.Decide(t, split))).Done!.Repeat);
            Assert.Equal(i == 1, (await plant.Write(t => MixLots.Decide(t, mix))).Done!.Repeat);
            Assert.Equal(i == 1, (await plant.Write(t => BringLot.Decide(t, brought, plant.Context))).Done!.Repeat);
        }

        Assert.Contains("was used before", (await plant.RefusedAct(t => SplitLot.Decide(t, split with { Quantity = 11 }))).Reason, StringComparison.Ordinal);
        using var c = plant.Read();
        Assert.Equal(15, LotQuery.Run(c, plant.Context, "D-1")!.Used);
    }

    [Fact]
    public async Task A_hold_from_before_lots_were_split_still_reads()
    {
        await using var plant = await Greased();
        const string said = """{"act":"hold","key":"old","lot":"D-1","occurredAt":"2026-03-04T06:00:00+01:00","person":"q1","reason":"grit"}""";
        await plant.Write(t => t.Append(new("old", Ledger.RecordKinds.LotHeld, "D-1", "office", plant.Now, "q1", $$"""{"decided":{"lot":"D-1","shipped":[],"units":[]},"said":{{said}}}""")));
        var again = await plant.Write(t => HoldLot.Decide(t, new("hold", "D-1", "old", "grit", new DateTimeOffset(2026, 3, 4, 6, 0, 0, TimeSpan.FromHours(1)), "q1")));
        Assert.Equal((true, "held", 0), (again.Done!.Repeat, again.Done.State, again.Done.LotsTouched.Count));
        Assert.Equal("open", (await plant.ReleaseLot("D-1", "clean")).State);
    }

    /// <summary>Whatever is split, poured together, held and released: the units on hold are those that a plain walk through everything that happened finds, and a rebuild finds the same.</summary>
    [Fact]
    public void Exactly_the_units_touched_by_a_held_lot_are_on_hold() => Gen.Select(Gen.Int[0, 4], Gen.Int[0, 99], Gen.Int[0, 99]).Array[15, 40].Sample(
        deeds => Walk(deeds).GetAwaiter().GetResult(), iter: 8, threads: 2);

    static async Task Walk((int Deed, int A, int B)[] deeds)
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();
        var lots = new List<string> { "D-0", "D-1", "D-2" };
        foreach (var lot in lots) await plant.ReceiveLot(lot, "grease", 5000);
        var sources = lots.ToDictionary(l => l, _ => new HashSet<string>(StringComparer.Ordinal), StringComparer.Ordinal);
        var held = new HashSet<string>(StringComparer.Ordinal);
        var units = new List<(string Unit, string Lot)>();
        foreach (var (deed, x, y) in deeds)
        {
            plant.Wait(5);
            var (a, b, made) = (lots[x % lots.Count], lots[y % lots.Count], $"N-{lots.Count}");
            switch (deed)
            {
                case 0:
                    await plant.SplitLot(a, made, 1);
                    Made(made, a);
                    break;
                case 1 when a != b && !IsHeld(a) && !IsHeld(b):
                    await plant.MixLots(made, (a, 1), (b, 1));
                    Made(made, a, b);
                    break;
                case 2 when !IsHeld(a):
                    await Grease(plant, $"SH-{units.Count}", a);
                    units.Add(($"SH-{units.Count}", a));
                    break;
                case 3 when held.Add(a): await plant.HoldLot(a, "bad"); break;
                case 4 when held.Remove(a): await plant.ReleaseLot(a, "good"); break;
                default: break;
            }
        }

        using (var c = plant.Read())
        {
            Assert.Equal(units.Where(u => IsHeld(u.Lot)).Select(u => u.Unit).Order(StringComparer.Ordinal), c.Query<string>("select unit from unit where state = 'held'").Order(StringComparer.Ordinal));
            Assert.Equal(lots.Where(IsHeld).Order(StringComparer.Ordinal), StockQuery.Run(c, plant.Context, plant.Now, "held", "grease").Lots.Select(l => l.Lot).Order(StringComparer.Ordinal));
        }

        var before = plant.Derived();
        await plant.Ledger.Rebuild();
        Assert.Equal(before, plant.Derived());

        void Made(string lot, params string[] of)
        {
            lots.Add(lot);
            sources[lot] = [.. of];
        }

        bool IsHeld(string lot) => held.Contains(lot) || sources[lot].Any(IsHeld);
    }

    static async Task<TestPlant> Greased()
    {
        var plant = new TestPlant();
        await plant.ReceiveLots();
        foreach (var lot in new[] { "D-1", "D-2" }) await plant.ReceiveLot(lot, "grease", 200);
        return plant;
    }

    static async Task Grease(TestPlant plant, string unit, string lot)
    {
        await plant.Build(unit, "gears-in");
        Assert.Equal("pass", (await plant.Take("st70", WithGrease(plant, unit, lot))).Verdict);
    }

    static StationMessage WithGrease(TestPlant plant, string unit, string lot) =>
        plant.Finish(unit, "gears-in") is var m ? m with { Parts = [.. m.Parts.Select(p => p.Part == "grease" ? p with { Lot = lot } : p)] } : throw new InvalidOperationException();
}
