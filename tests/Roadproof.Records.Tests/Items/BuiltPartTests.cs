using Roadproof.Records.Definitions;
using Roadproof.Records.Genealogy;
using Roadproof.Records.Lots;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>A cell builds rotors, the line puts them into drive units: what the scan of such a part asks, and what is known of what is inside.</summary>
public sealed class BuiltPartTests
{
    static readonly RouteRevision Rotor = new()
    {
        Id = "rotor-85/1", Number = 1, Plant = TestRoute.Revision.Plant,
        Line = new() { Id = "rotors", Name = "Rotor cell", Product = "rotor-85", TaktS = 40, DueToday = 420, Stations = [Station("rc10", "magnets-in"), Station("rc20", "balance")] },
        Product = new() { Id = "rotor-85", Name = "Rotor" },
        Parts = Parts,
        Steps =
        [
            new() { Id = "magnets-in", Number = 10, Name = "Magnets in", Kind = StepKind.Assembly, Instruction = "Set them.", WorkS = 38, Parts = [Put("rotor-core"), Put("magnet")] },
            new()
            {
                Id = "balance", Number = 20, Name = "Balance", Kind = StepKind.Check, Instruction = "Start.", WorkS = 30,
                Readings = [new() { Id = "unbalance", Name = "Unbalance", Unit = "g·mm", Upper = 5, StandardUncertainty = 0.3, Origin = "common practice, no source" }],
            },
        ],
    };

    static IReadOnlyList<PartDefinition> Parts =>
    [
        .. TestRoute.Revision.Parts.Select(p => p.Id == "rotor" ? p with { Product = "rotor-85" } : p),
        new() { Id = "rotor-core", Name = "Rotor core", Serialised = true, Shell = true }, new() { Id = "magnet", Name = "Magnets" },
    ];

    static PlantContext Plant => new([TestRoute.Revision with { Parts = Parts }, Rotor], _ => null);

    [Fact]
    public async Task A_finished_rotor_goes_in_by_its_own_code_without_a_lot_of_its_own()
    {
        await using var plant = await Stocked();
        await BuildRotor(plant, "RT-1", "M-1");
        await plant.Build("SH-1", "rotor-in");
        await PutIn(plant, "SH-1", "RT-1");

        using var c = plant.Read();
        var unit = UnitQuery.Run(c, plant.Context, "SH-1")!;
        Assert.Equal(("RT-1", (string?)null), unit.Parts.Where(p => p.Part == "rotor").Select(p => (p.BuiltUnit!, p.Via)).Single());
        Assert.Equal([("magnet", "M-1"), ("rotor-core", null)], unit.Parts.Where(p => p.Via == "RT-1").Select(p => (p.Part, p.Lot)));
        Assert.Equal(["RT-1", "SH-1"], GenealogyQuery.UnitsWithLot(c, "M-1").Select(u => u.Unit));
        Assert.Equal("passed", UnitQuery.Run(c, plant.Context, "RT-1")!.State);
    }

    [Fact]
    public async Task A_rotor_that_is_unknown_unfinished_on_hold_scrapped_or_used_is_refused_with_what_to_do()
    {
        await using var plant = await Stocked();
        await plant.Build("SH-1", "rotor-in");
        Assert.Equal("Rotor RT-9 is not known.", (await RefusedIn(plant, "SH-1", "RT-9")).Reason);
        Assert.Equal("SH-1 is no rotor.", (await RefusedIn(plant, "SH-1", "SH-1")).Reason);

        await DoMagnets(plant, "RT-1", "M-1");
        Assert.Equal("Rotor RT-1 is not finished: balance comes next.", (await RefusedIn(plant, "SH-1", "RT-1")).Reason);
        await DoBalance(plant, "RT-1", 9);
        Assert.StartsWith("Rotor RT-1 is on hold. Balance: ", (await RefusedIn(plant, "SH-1", "RT-1")).Reason, StringComparison.Ordinal);
        await plant.ScrapUnit("RT-1", "out of balance");
        Assert.Equal("Rotor RT-1 is scrapped.", (await RefusedIn(plant, "SH-1", "RT-1")).Reason);

        await BuildRotor(plant, "RT-2", "M-1");
        await PutIn(plant, "SH-1", "RT-2");
        await plant.Build("SH-2", "rotor-in");
        Assert.Equal("Rotor RT-2 is already in unit SH-1.", (await RefusedIn(plant, "SH-2", "RT-2")).Reason);
    }

    [Fact]
    public async Task What_is_inside_another_unit_is_not_worked_on()
    {
        await using var plant = await Stocked();
        await BuildRotor(plant, "RT-1", "M-1");
        await plant.Build("SH-1", "rotor-in");
        await PutIn(plant, "SH-1", "RT-1");
        var no = await plant.Refused("rc20", Balance(plant, "RT-1", 1));
        Assert.Equal("RT-1 is inside unit SH-1.", no.Reason);
    }

    [Fact]
    public async Task A_held_magnet_lot_stops_the_rotors_and_the_drive_units_that_have_them_inside()
    {
        await using var plant = await Stocked();
        await BuildRotor(plant, "RT-1", "M-1");
        await BuildRotor(plant, "RT-2", "M-1");
        await BuildRotor(plant, "RT-3", "M-2");
        await plant.Build("SH-1", "rotor-in");
        await PutIn(plant, "SH-1", "RT-1");
        Assert.Equal(["RT-1", "RT-2", "SH-1"], (await plant.HoldLot("M-1", "weak")).UnitsHeld);

        await plant.Build("SH-2", "rotor-in");
        Assert.StartsWith("Rotor RT-2 is on hold.", (await RefusedIn(plant, "SH-2", "RT-2")).Reason, StringComparison.Ordinal);
        await PutIn(plant, "SH-2", "RT-3");
        Assert.Equal(["RT-1", "RT-2", "SH-1"], (await plant.ReleaseLot("M-1", "measured, good")).UnitsReleased);
    }

    [Fact]
    public async Task A_rotor_that_comes_out_takes_its_lots_with_it_and_may_go_in_again()
    {
        await using var plant = await Stocked();
        await BuildRotor(plant, "RT-1", "M-1");
        await BuildRotor(plant, "RT-2", "M-2");
        await plant.Build("SH-1", "rotor-in");
        await PutIn(plant, "SH-1", "RT-1");
        await plant.HoldUnit("SH-1", "noise");
        await plant.ReleaseUnit("SH-1", "another rotor", "rotor-in");
        await PutIn(plant, "SH-1", "RT-2");

        using (var c = plant.Read())
        {
            Assert.Equal(["M-2"], UnitQuery.Run(c, plant.Context, "SH-1")!.Parts.Where(p => p.Part == "magnet").Select(p => p.Lot));
            Assert.Contains(GenealogyQuery.PartsOf(c, "SH-1"), p => p is { Part: "magnet", Lot: "M-1", Replaced: true });
        }

        await plant.Build("SH-2", "rotor-in");
        await PutIn(plant, "SH-2", "RT-1");
        Assert.Equal(["RT-1", "SH-2"], (await plant.HoldLot("M-1", "weak")).UnitsHeld);
    }

    [Fact]
    public async Task A_unit_at_the_station_of_another_line_is_sent_back()
    {
        await using var plant = await Stocked();
        await plant.Build("SH-1", "stator-in");
        var no = await plant.Refused("rc20", Balance(plant, "SH-1", 1));
        Assert.Equal(("SH-1 is no rotor: it belongs to Line 1.", "Take it back to Line 1, to st20 for Stator in."), (no.Reason, no.Remedy));
    }

    [Fact]
    public async Task Figures_and_waiting_units_are_those_of_the_own_line_and_a_cell_counts_what_is_finished()
    {
        await using var plant = await Stocked();
        await BuildRotor(plant, "RT-1", "M-1");
        await BuildRotor(plant, "RT-2", "M-1");
        await DoMagnets(plant, "RT-3", "M-1");
        await plant.Build("SH-1", "stator-in");

        using var c = plant.Read();
        var (line, cell) = (LineQuery.Run(c, plant.Context, plant.Context.Standing[0], plant.Now), LineQuery.Run(c, plant.Context, Rotor, plant.Now));
        Assert.Equal((1, 0, 1), (line.Figures.Started, line.Figures.Shipped, line.Figures.InProgress));
        Assert.Equal((3, 2, 1, 1.0), (cell.Figures.Started, cell.Figures.Shipped, cell.Figures.InProgress, cell.Figures.FirstPassYield));
        Assert.Equal(("Rotor cell", 1), (cell.Line, cell.Stations.Single(s => s.Station == "rc20").WaitingAhead));
        Assert.Equal(["RT-3"], StationQuery.Run(c, plant.Context, "rc20", plant.Now)!.Next);
    }

    [Fact]
    public async Task Rebuilt_from_the_ledger_all_is_the_same()
    {
        await using var plant = await Stocked();
        await BuildRotor(plant, "RT-1", "M-1");
        await plant.Build("SH-1", "rotor-in");
        await PutIn(plant, "SH-1", "RT-1");
        var before = plant.Derived();
        Assert.Contains("via=RT-1", before, StringComparison.Ordinal);
        await plant.Ledger.Rebuild();
        Assert.Equal(before, plant.Derived());
    }

    static async Task<TestPlant> Stocked()
    {
        var plant = new TestPlant(context: Plant);
        await plant.ReceiveLots();
        foreach (var lot in new[] { "M-1", "M-2" })
            await plant.Write(t => ReceiveLot.Decide(t, new(plant.NextKey(), lot, "magnet", 500, null, plant.Now), plant.Context));
        return plant;
    }

    static async Task BuildRotor(TestPlant plant, string rotor, string magnets)
    {
        await DoMagnets(plant, rotor, magnets);
        await DoBalance(plant, rotor, 1);
    }

    static Task<MessageAnswer> DoMagnets(TestPlant plant, string rotor, string magnets) => plant.Take("rc10", new()
    {
        Key = plant.NextKey(), Kind = "request", Item = rotor, Step = "magnets-in", OccurredAt = plant.Now, Person = "p1", Parts = [new("magnet", magnets)],
    });

    static Task<MessageAnswer> DoBalance(TestPlant plant, string rotor, double unbalance) => plant.Take("rc20", Balance(plant, rotor, unbalance));

    static StationMessage Balance(TestPlant plant, string rotor, double unbalance) => new()
    {
        Key = plant.NextKey(), Kind = "request", Item = rotor, Step = "balance", OccurredAt = plant.Now, Person = "p1", Readings = [new("unbalance", unbalance, "g·mm")],
    };

    static Task<MessageAnswer> PutIn(TestPlant plant, string unit, string rotor) => plant.Do(unit, "rotor-in", With(rotor));

    static Task<Engineering.Quantities.Refusal> RefusedIn(TestPlant plant, string unit, string rotor) => plant.Refused("st30", With(rotor)(plant.Finish(unit, "rotor-in")));

    static Func<StationMessage, StationMessage> With(string rotor) => m => m with { Parts = [new("rotor", Serial: rotor)] };

    static StationDefinition Station(string id, string step) => new() { Id = id, Name = id, Step = step };

    static StepPart Put(string part) => new() { Part = part, Say = $"Scan the {part}" };
}
