using Roadproof.Engineering.Drive;
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

    // 12 and 83 have no common factor: the same teeth meet once in 83 rotor turns.
    [Fact]
    public void A_hunting_pair_repeats_after_83_turns() =>
        Assert.Equal(1.0 / 83, NamedOrders.Of(Unit).SameTeeth(1).PerRotorTurn, 12);
}
