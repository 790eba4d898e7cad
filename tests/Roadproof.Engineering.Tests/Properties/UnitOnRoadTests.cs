using CsCheck;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Road;
using Roadproof.Engineering.Tests.Fixtures;
using static Roadproof.Engineering.Tests.Formats.RideText;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class UnitOnRoadTests
{
    static readonly DriveUnit Warm = MidDrive.Unit with { Gears = [MidDrive.Unit.Gears[0] with { WheelToHousingKPerW = 2.5, WheelJPerK = 60 }, MidDrive.Unit.Gears[1]] };

    static UnitOnRoad Ride(DriveUnit unit, Rider rider, int seconds, double speedMps, double slope, UnitOnRoadOptions? options = null)
    {
        var load = RoadLoad.Run(Read(Csv(Steady(seconds, speedMps, slope))), rider, unit, new RoadLoadOptions { AirTemperatureC = 20 });
        return new RoadRunner(unit, Deviation.None, options ?? UnitOnRoadOptions.Default).Run(load, rider);
    }

    [Fact]
    public void Energy_closes_over_real_rides()
    {
        var folder = DataSets.Folder(Path.Combine("rides", "outdoor"));
        foreach (var file in new[] { "hilly-power.gpx", "outdoor-3.fit" })
        {
            using var stream = File.OpenRead(Path.Combine(folder, file));
            var ride = RideFile.Read(file, stream);
            var load = RoadLoad.Run(ride, Rider.Default, Warm);
            var unit = new RoadRunner(Warm, Deviation.None, UnitOnRoadOptions.Default).Run(load, Rider.Default);

            // In from battery and rider; out at the chainring, in all losses and in the battery's own heat.
            var pulledJ = load.TotalTorqueNm.Zip(load.CadenceRadPerS, (t, c) => t * c).Sum();
            Assert.Equal(unit.BatteryEnergyJ + unit.RiderEnergyJ, pulledJ + unit.LossEnergyJ + unit.SagEnergyJ, 1e-3 * unit.BatteryEnergyJ);
        }
    }

    [Fact]
    public void What_is_lost_is_in_the_unit_or_in_the_air()
    {
        var ride = Ride(Warm, Rider.Default, 1800, 4, 0.06);
        var storedJ = new ThermalNetwork(Warm.Thermal).StoredJ(ride.End, ride.AmbientC);
        Assert.Equal(ride.LossEnergyJ, storedJ + ride.HeatToAirJ, 1e-3 * ride.LossEnergyJ);
    }

    /// <summary>On a steady climb the ride is the heat-up of the drive model, which is another way through the same physics.</summary>
    [Fact]
    public void A_steady_climb_warms_the_unit_as_the_drive_model_says()
    {
        var even = new UnitOnRoadOptions { Pulsation = new() { MotorFollows = 0 }, Battery = new() { EnergyWh = 5000, ChargeAtStart = 0.5 } };
        var unit = MidDrive.Unit with { Supply = MidDrive.Unit.Supply with { SourceResistanceOhm = 0 } };
        var ride = Ride(unit, Rider.Default, 900, 4, 0.05, even);
        var middle = ride.MotorTorqueNm.Length / 2;
        var expected = HeatUp.Run(unit, Deviation.None, ride.MotorTorqueNm[middle], ride.OutputRadPerS[middle], ride.MotorTorqueNm.Length, 20, 4);
        Assert.Equal(expected.End.WindingC, ride.WindingC[^1], 0.3);
        Assert.Equal(expected.End.HousingC, ride.HousingC[^1], 0.2);
        Assert.True(ride.WindingC[^1] > 30);
    }

    [Fact]
    public void A_step_of_one_length_is_the_step_of_any_length() =>
        Gen.Select(Gen.Double[-20, 150].Array[5], Gen.Double[0, 200].Array[5], Gen.Double[0, 12], Gen.Double[0.1, 600]).Sample((c, w, air, s) =>
        {
            var network = new ThermalNetwork(MidDrive.Unit.Thermal, air);
            var (state, heat) = (new ThermalState(c[0], c[1], c[2], c[3], c[4]), new Heat(w[0], w[1], w[2], w[3], w[4]));
            var (one, other) = (network.Step(state, heat, 12, s), network.StepOf(s).Apply(state, heat, 12));
            Assert.Equal(one.WindingC, other.WindingC, 1e-8);
            Assert.Equal(one.RotorC, other.RotorC, 1e-8);
            Assert.Equal(one.HousingC, other.HousingC, 1e-8);
        }, iter: 200, seed: "0N0XIzNsQ0O2");

    [Fact]
    public void Heat_takes_torque_away_and_the_rider_gives_the_rest()
    {
        var heavy = Rider.Default with { RiderMassKg = 120, AssistanceFactor = 4 };
        var ride = Ride(MidDrive.Unit, heavy, 2400, 2.2, 0.18);
        Assert.True(ride.SecondsDerated > 0);
        Assert.InRange(ride.PeakWindingC, MidDrive.Unit.Motor.DeratingStartC, MidDrive.Unit.Motor.DeratingEndC);
        var last = ride.MotorTorqueNm.Length - 10;
        Assert.True(ride.MotorTorqueNm[last] < ride.MotorTorqueNm[60] - 5);
        Assert.Equal(ride.Load.TotalTorqueNm[last], ride.MotorTorqueNm[last] + ride.RiderTorqueNm[last], 1e-9);
    }

    [Fact]
    public void An_empty_battery_leaves_the_rider_alone()
    {
        var ride = Ride(MidDrive.Unit, Rider.Default, 1200, 5, 0.04, new() { Battery = new() { EnergyWh = 5 } });
        Assert.NotNull(ride.EmptyAtM);
        Assert.Equal(0, ride.ChargeAtEnd);
        Assert.Equal(0, ride.MotorTorqueNm[^2]);
        Assert.InRange(ride.BatteryEnergyJ, 5 * 3600, 5 * 3600 + 600);
        Assert.Contains(ride.Warnings, w => w.Contains("empty"));
    }

    [Fact]
    public void A_hub_motor_turns_with_its_wheel()
    {
        var hub = GearedHub.Unit;
        var ride = Ride(hub, Rider.Default, 300, 5, 0.03);
        Assert.Equal(5 / Rider.Default.WheelRadiusM, ride.OutputRadPerS[150], 0.05);
        var i = 150;
        Assert.Equal(ride.Load.TotalTorqueNm[i] * ride.Load.CadenceRadPerS[i], ride.MotorTorqueNm[i] * ride.OutputRadPerS[i] + ride.RiderTorqueNm[i] * ride.Load.CadenceRadPerS[i], 1e-6);
    }

    [Fact]
    public void The_wheel_of_the_first_stage_is_warmer_than_its_housing_under_load()
    {
        var ride = Ride(Warm, Rider.Default, 900, 4, 0.05);
        Assert.InRange(ride.WheelC[0][^1] - ride.HousingC[^1], 1, 30);
        Assert.Equal(ride.HousingC[^1], ride.WheelC[1][^1], 12);
    }
}
