using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Tests.Fixtures;
using static Roadproof.Tests.Shared.MidDrive;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>
/// Warming of the two invented units against the printed figures of another implementation (read, run again; explicit steps of 1 and 2 s).
/// Tolerance: half the last printed digit or 1 % of the rise.
/// </summary>
public sealed class DriveHeatTests
{
    const double MovingMps = 20 / 3.6;
    static readonly double MidTorqueNm = 250 / (75 * RadPerSPerRpm);
    static readonly double HubTorqueNm = 250 / (190 * RadPerSPerRpm);

    [Theory]
    [InlineData(0, 22.3, 16.0, 13.2, 13.1)]
    [InlineData(MovingMps, 20.7, 13.9, 12.1, 10.5)]
    public void The_mid_drive_unit_warms_in_ten_minutes_as_printed(double airMps, double winding, double controller, double rotor, double housing) =>
        Rises(HeatUp.Run(Unit, Deviation.None, MidTorqueNm, 75 * RadPerSPerRpm, 600, 25, airMps).End, winding, controller, rotor, housing);

    [Theory]
    [InlineData(0, 15.7, 10.3, 8.9, 8.5)]
    [InlineData(MovingMps, 14.8, 9.9, 7.7, 5.7)]
    public void The_geared_hub_warms_in_ten_minutes_as_printed(double airMps, double winding, double controller, double rotor, double housing) =>
        Rises(HeatUp.Run(GearedHub.Unit, Deviation.None, HubTorqueNm, 190 * RadPerSPerRpm, 600, 25, airMps).End, winding, controller, rotor, housing);

    static void Rises(ThermalState end, double winding, double controller, double rotor, double housing)
    {
        DrivePointTests.Printed(winding, end.WindingC - 25, 1);
        DrivePointTests.Printed(controller, end.ControllerC - 25, 1);
        DrivePointTests.Printed(rotor, end.RotorC - 25, 1);
        DrivePointTests.Printed(housing, end.HousingC - 25, 1);
    }

    [Theory]
    [InlineData(0, 90, 79, 83, 74)]
    [InlineData(MovingMps, 60, 50, 54, 46)]
    public void The_mid_drive_unit_settles_as_printed(double airMps, double winding, double controller, double rotor, double housing)
    {
        var run = HeatUp.Run(Unit, Deviation.None, MidTorqueNm, 75 * RadPerSPerRpm, 4 * 3600, 25, airMps);
        Assert.Null(run.TimeToDeratingS);
        Assert.Null(run.HeldBackFromS);
        Assert.Equal(14_400, run.RanForS);
        DrivePointTests.Printed(winding, run.End.WindingC, 0);
        DrivePointTests.Printed(controller, run.End.ControllerC, 0);
        DrivePointTests.Printed(rotor, run.End.RotorC, 0);
        DrivePointTests.Printed(housing, run.End.HousingC, 0);
    }

    [Theory]
    [InlineData(0, 69, 39, 57, 48)]
    [InlineData(MovingMps, 55, 36, 44, 35)]
    public void The_geared_hub_settles_as_printed(double airMps, double winding, double controller, double rotor, double housing)
    {
        var end = HeatUp.Run(GearedHub.Unit, Deviation.None, HubTorqueNm, 190 * RadPerSPerRpm, 4 * 3600, 25, airMps).End;
        DrivePointTests.Printed(winding, end.WindingC, 0);
        DrivePointTests.Printed(controller, end.ControllerC, 0);
        DrivePointTests.Printed(rotor, end.RotorC, 0);
        DrivePointTests.Printed(housing, end.HousingC, 0);
    }

    // The output speed of the printed run is 620 W over 85 N·m, not quite 70 1/min; its clock ticks in whole seconds.
    [Theory]
    [InlineData(90), InlineData(1800)]
    public void Full_torque_brings_derating_when_printed_however_long_the_run(double forS)
    {
        var run = HeatUp.Run(Unit, Deviation.None, 85, 620.0 / 85, forS, 25, MovingMps);
        Assert.NotNull(run.TimeToDeratingS);
        Assert.Equal(245, run.TimeToDeratingS.Value, 1.5);
    }

    [Fact]
    public void The_geared_hub_reaches_derating_when_printed()
    {
        var run = HeatUp.Run(GearedHub.Unit, Deviation.None, 40, 335.0 / 40, 600, 25, MovingMps);
        Assert.NotNull(run.TimeToDeratingS);
        Assert.Equal(294, run.TimeToDeratingS.Value, 1.5);
    }

    [Fact]
    public void Ninety_seconds_of_full_torque_warm_the_winding_as_printed()
    {
        DrivePointTests.Printed(49.3, HeatUp.Run(Unit, Deviation.None, 85, 620.0 / 85, 90).End.WindingC - 25, 1);
        DrivePointTests.Printed(37.3, HeatUp.Run(GearedHub.Unit, Deviation.None, 40, 335.0 / 40, 90).End.WindingC - 25, 1);
    }

    [Fact]
    public void Missing_paste_and_a_poor_stator_seat_show_as_little_as_printed()
    {
        var noPaste = Unit with { Thermal = Unit.Thermal with { ControllerHousingKPerW = 0.60 * 2.5 } };
        var poorSeat = Unit with { Thermal = Unit.Thermal with { StatorHousingKPerW = 0.35 * 2 } };
        Assert.Equal(3.7, Rated(noPaste).ControllerC - Rated(Unit).ControllerC, 0.05);
        Assert.Equal(2.1, Rated(poorSeat).WindingC - Rated(Unit).WindingC, 0.05);
        Assert.Equal(2.2, Full(noPaste).ControllerC - Full(Unit).ControllerC, 0.05);

        static ThermalState Rated(DriveUnit unit) => HeatUp.Run(unit, Deviation.None, 31.8, 75 * RadPerSPerRpm, 600).End;
        static ThermalState Full(DriveUnit unit) => HeatUp.Run(unit, Deviation.None, 85, 70 * RadPerSPerRpm, 90).End;
    }

    [Fact]
    public void Says_when_heat_alone_puts_a_point_out_of_reach()
    {
        var run = HeatUp.Run(Unit, Deviation.None, 85, 70 * RadPerSPerRpm, 3600);
        Assert.True(run.RanForS < 3600);
        Assert.True(run.End.WindingC > HeatUp.EndOfModelC);
        Assert.NotNull(run.HeldBackFromS);
        Assert.StartsWith("needs ", run.HeldBackReason, StringComparison.Ordinal);
    }

    [Fact]
    public void Says_everything_that_is_wrong_with_a_run_at_once()
    {
        var refused = Assert.Throws<InputException>(() => HeatUp.Run(Unit, Deviation.None, 31.8, -1, -5, 25, double.NaN));
        Assert.Equal(["speedRadPerS", "forS", "airMps"], refused.Errors.Select(error => error.Column));
    }
}
