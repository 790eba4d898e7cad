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

    /// <summary>Ten minutes uphill, parked for eight hours, ten minutes uphill: to work and home.</summary>
    /// <param name="parked">Written while parked: one gap, a fix every 10 s at the same place, one every 5 s that wanders by metres, or nothing at all between two pieces.</param>
    static Ride Workday(string parked)
    {
        const int awayS = 8 * 3600;
        var there = Steady(600, 5, 0.06).ToList();
        var back = Steady(600, 5, 0.06, there[^1].ElevationM!.Value).Select(p => p with { TimeS = p.TimeS + 600 + awayS, AlongM = p.AlongM + there[^1].AlongM });
        var random = new Random(7);
        var wandersM = 0.0;
        var meanwhile = parked switch
        {
            "a fix every 10 s" => Enumerable.Range(1, awayS / 10 - 1).Select(i => there[^1] with { TimeS = 600 + 10 * i }),
            "a fix that wanders" => Enumerable.Range(1, awayS / 5 - 1).Select(i => there[^1] with { TimeS = 600 + 5 * i, AlongM = there[^1].AlongM + (wandersM = 0.9 * wandersM + (i % 200 == 0 ? 12 : 1.5) * (random.NextDouble() - 0.5)) }),
            _ => [],
        };
        var text = Gpx([.. there, .. meanwhile, .. back]);
        if (parked != "two pieces") return Read(text);
        var cut = text.IndexOf("<trkpt", text.IndexOf("T08:10:00Z", StringComparison.Ordinal), StringComparison.Ordinal);
        return Read(text.Insert(cut, "</trkseg><trkseg>"));
    }

    /// <summary>A unit that is parked with its recorder on wears as one whose recorder was stopped, but for the ten minutes until it switches off.</summary>
    [Theory]
    [InlineData("one gap"), InlineData("a fix every 10 s"), InlineData("a fix that wanders")]
    public void A_long_stand_is_no_riding(string parked)
    {
        var (stood, stopped) = (On(parked), On("two pieces"));
        Assert.Equal(stopped.Load.TimeS.Length + 600, stood.Load.TimeS.Length, 35.0);
        Assert.Contains(stood.Load.Warnings, w => w == "A stand of more than 10 minutes: from then on the unit is taken as switched off, and 7.8 hours count neither as riding nor as standing by.");
        Assert.DoesNotContain(stopped.Load.Warnings, w => w.Contains("switched off", StringComparison.Ordinal));
        Assert.Equal(stopped.BatteryEnergyJ + 600 * stood.Unit.Inverter.StandingLossW, stood.BatteryEnergyJ, 0.01 * stopped.BatteryEnergyJ);

        // It has cooled when it moves on, by the air's time and not by a jump.
        var moves = Array.FindIndex(stood.Load.TimeS, s => s > 20_000);
        Assert.Equal(stood.AmbientC, stood.WindingC[moves], 0.5);
        Assert.Equal(stopped.WindingC[^1], stood.WindingC[^1], 0.5);
        Assert.True(stood.WindingC[590] > stood.AmbientC + 10);

        UnitOnRoad On(string how) => new RoadRunner(Warm, Deviation.None, UnitOnRoadOptions.Default).Run(RoadLoad.Run(Workday(how), Rider.Default, Warm), Rider.Default);
    }

    [Fact]
    public void A_stand_of_ten_minutes_and_a_long_push_up_a_hill_are_ridden_to_the_second()
    {
        foreach (var points in new[] { Steady(300, 5, 0).Concat(Steady(300, 5, 0).Select(p => p with { TimeS = p.TimeS + 880, AlongM = p.AlongM + 1500 })), Steady(3600, 0.8, 0.15) })
        {
            var fixes = points.ToList();
            Assert.Equal((int)fixes[^1].TimeS, RoadLoad.Run(Read(Gpx(fixes)), Rider.Default, Warm).TimeS.Length);
        }
    }

    /// <summary>Indoors whoever pedals rides; coffee of half an hour with the recorder on is none.</summary>
    [Fact]
    public void A_long_pause_on_a_trainer_is_no_riding()
    {
        var text = "seconds,power\n" + string.Concat(Enumerable.Range(0, 3001).Select(s => FormattableString.Invariant($"{s},{(s is >= 600 and < 2400 ? 0 : 150)}\n")));
        var load = RoadLoad.Run(Read(text), Rider.Default, Warm);
        Assert.Equal(1800, load.TimeS.Length);
        Assert.Contains(load.Warnings, w => w.Contains("20 minutes count neither", StringComparison.Ordinal));
    }

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
