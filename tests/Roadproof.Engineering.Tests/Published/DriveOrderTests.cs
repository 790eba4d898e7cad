using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Tests.Fixtures;
using static Roadproof.Tests.Shared.MidDrive;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>Orders by counting teeth, poles and slots: against a printed table (read) and check 10-9 (vibration textbooks, recomputed).</summary>
public sealed class DriveOrderTests
{
    [Theory]
    [InlineData("rotor", 1.0000, 54.3)]
    [InlineData("twice rotor", 2.0000, 108.5)]
    [InlineData("pole pairs (electrical)", 7.0000, 379.9)]
    [InlineData("twice electrical", 14.0000, 759.8)]
    [InlineData("six times electrical", 42.0000, 2279.3)]
    [InlineData("cogging", 84.0000, 4558.6)]
    [InlineData("stage-1 mesh", 12.0000, 651.2)]
    [InlineData("intermediate shaft", 0.1446, 7.8)]
    [InlineData("stage-2 mesh", 1.8795, 102.0)]
    [InlineData("output", 0.0276, 1.5)]
    public void The_mid_drive_unit_has_the_printed_orders(string name, double order, double hzAt90Rpm) =>
        HasOrder(Unit, 90, name, order, hzAt90Rpm);

    [Theory]
    [InlineData("pole pairs (electrical)", 10.0000, 147.2)]
    [InlineData("six times electrical", 60.0000, 882.9)]
    [InlineData("cogging", 180.0000, 2648.8)]
    [InlineData("stage-1 mesh", 17.0000, 250.2)]
    [InlineData("stage-1 planets", 0.5484, 8.1)]
    [InlineData("output", 0.2152, 3.2)]
    // By the same counting: three planets strike a bad tooth of the sun or ring once a turn each, a planet's tooth strikes sun and ring.
    [InlineData("stage-1 sun tooth", 3.0000, 44.1)]
    [InlineData("stage-1 planet tooth", 1.0968, 16.1)]
    [InlineData("stage-1 ring tooth", 0.6456, 9.5)]
    public void The_geared_hub_has_the_printed_orders(string name, double order, double hzAt190Rpm) =>
        HasOrder(GearedHub.Unit, 190, name, order, hzAt190Rpm);

    static void HasOrder(DriveUnit unit, double outputRpm, string name, double order, double hz)
    {
        var found = Assert.Single(NamedOrders.Of(unit).All, o => o.Name == name);
        Assert.Equal(order, found.PerRotorTurn, 0.00005);
        Assert.Equal(hz, found.Hz(outputRpm * RadPerSPerRpm * unit.Ratio), 0.05);
    }

    // Check 10-9: 12 teeth at 3000 1/min on 36: mesh 600 Hz, sidebands 50 Hz and 16.667 Hz apart, same teeth 16.667 Hz.
    [Fact]
    public void A_pair_of_12_and_36_teeth_has_the_textbook_frequencies()
    {
        const double rotorRadPerS = 3000 * RadPerSPerRpm;
        var orders = NamedOrders.Of(Unit with { Gears = [Unit.Gears[0] with { PinionTeeth = 12, WheelTeeth = 36 }] });
        Assert.Equal(600, orders.Mesh(1).Hz(rotorRadPerS), 9);
        Assert.Equal(50, orders.Shaft(0).Hz(rotorRadPerS), 9);
        Assert.Equal(16.666667, orders.Shaft(1).Hz(rotorRadPerS), 6);
        Assert.Equal(16.666667, orders.SameTeeth(1).Hz(rotorRadPerS), 6);
    }

    // Check 10-10 (epicyclic relations; recomputed): sun 20, planet 25, ring 70 held, carrier 100 1/min: sun 450 1/min, mesh 116.667 Hz, planets 280 1/min about their pins.
    [Fact]
    public void A_planetary_stage_with_its_ring_held_has_the_textbook_frequencies()
    {
        var stage = GearedHub.Unit.Gears[0] with { PinionTeeth = 20, PlanetTeeth = 25, WheelTeeth = 70, Held = HeldMember.Ring };
        var unit = GearedHub.Unit with { Gears = [stage] };
        const double sunRadPerS = 450 * RadPerSPerRpm;
        var orders = NamedOrders.Of(unit);
        Assert.Equal(4.5, unit.Ratio, 12);
        Assert.Equal(100.0 / 60, orders.Shaft(1).Hz(sunRadPerS), 9);
        Assert.Equal(116.666667, orders.Mesh(1).Hz(sunRadPerS), 6);
        Assert.Equal(280.0 / 60, Assert.Single(orders.All, o => o.Name == "stage-1 planets").Hz(sunRadPerS), 9);

        // The other way to the mesh: what the sun turns against the carrier.
        Assert.Equal((450 - 100) * 20 / 60.0, orders.Mesh(1).Hz(sunRadPerS), 9);
        // Each of three planets passes a place of the ring once a carrier turn.
        Assert.Equal(3 * 100 / 60.0, Assert.Single(orders.All, o => o.Name == "stage-1 ring tooth").Hz(sunRadPerS), 9);
        Assert.Equal(orders.Mesh(1).PerRotorTurn, OrderReadings.MeshOrders(unit.Gears)[0], 12);
    }

    // The same gears with the carrier held: the ring is driven, slower, and every tooth of the sun meets.
    [Fact]
    public void The_same_stage_with_its_carrier_held_meshes_at_every_tooth_of_the_sun()
    {
        var stage = GearedHub.Unit.Gears[0] with { PinionTeeth = 20, PlanetTeeth = 25, WheelTeeth = 70 };
        Assert.Equal(3.5, stage.Ratio, 12);
        Assert.Equal(20, stage.MeshesPerTurn, 12);
        Assert.Equal(1 / 3.5, stage.WheelTurnsPerTurn, 12);
    }

    // 12 and 83 have no common factor: the same teeth meet once in 83 rotor turns.
    [Fact]
    public void A_hunting_pair_repeats_after_83_turns() =>
        Assert.Equal(1.0 / 83, NamedOrders.Of(Unit).SameTeeth(1).PerRotorTurn, 12);
}
