using CsCheck;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using static Roadproof.Engineering.Tests.Formats.RideText;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>A steady ride has a steady load, known from the power balance alone (Martin et al. 1998; see RoadPowerTests for its source); sums must close.</summary>
public sealed class RoadLoadTests
{
    static readonly DriveUnit Unit = MidDrive.Unit;

    // Away from the ends, where windows shrink, each second must be the steady balance.
    [Theory]
    [InlineData(4, 0.05), InlineData(5.5, 0.0), InlineData(3, 0.12), InlineData(6, 0.02)]
    public void A_steady_climb_is_a_steady_torque(double speedMps, double gradient)
    {
        var load = RoadLoad.Run(Read(Gpx(Steady(600, speedMps, gradient))), Rider.Default, Unit, new RoadLoadOptions { AirTemperatureC = 15 });
        var density = AirDensity.KgPerM3(100 + (300 * speedMps * gradient), 15);
        var expectedW = RoadPower.At(speedMps, gradient, new RoadResistance { MassKg = 105, DensityKgPerM3 = density }).TotalW;
        for (var i = 100; i < 500; i++)
        {
            Assert.Equal(speedMps, load.SpeedMps[i], 0.01);
            Assert.Equal(gradient, load.Gradient[i], 1e-3);
            Assert.Equal(expectedW, load.TotalTorqueNm[i] * load.CadenceRadPerS[i], 0.012 * expectedW);
        }
    }

    // v = 2 + 0.02·t m/s: the kinetic term of the balance must be there.
    [Fact]
    public void Speeding_up_is_felt_at_the_chainring()
    {
        var points = Enumerable.Range(0, 151).Select(s => new Point(s, (2 * s) + (0.01 * s * s), 100));
        var load = RoadLoad.Run(Read(Gpx(points)), Rider.Default, Unit, new RoadLoadOptions { AirTemperatureC = 15 });
        var resistance = new RoadResistance { MassKg = 105, DensityKgPerM3 = AirDensity.KgPerM3(100, 15) };
        for (var i = 10; i < 140; i++)
        {
            var expectedW = RoadPower.At(2 + (0.02 * (i + 0.5)), 0, resistance, accelerationMps2: 0.02).TotalW;
            Assert.Equal(expectedW, load.TotalTorqueNm[i] * load.CadenceRadPerS[i], 0.01 * expectedW);
        }
    }

    // At A = 1.5 the motor gives 60 % of the pull below 23.5 km/h, nothing from 25 km/h, and half the factor half-way (ramp: common practice, no source).
    [Theory]
    [InlineData(5, 0.6), InlineData(7.1, 0), InlineData(24.25 / 3.6, 0.75 / 1.75)]
    public void The_motor_gives_its_share_up_to_the_limit_speed(double speedMps, double share)
    {
        var load = RoadLoad.Run(Read(Gpx(Steady(200, speedMps, 0.01))), Rider.Default, Unit);
        Assert.Equal(share, load.MotorTorqueNm[100] / load.TotalTorqueNm[100], 0.004);
    }

    [Fact]
    public void Energy_closes_every_second_and_over_the_ride() => Gen.Select(Gen.Double[0, 12].Array[20, 200], Gen.Double[0, 4], Gen.Double[-0.1, 0.1]).Sample((stepsM, factor, gradient) =>
    {
        var load = RoadLoad.Run(Read(Gpx(Rolling(stepsM, gradient))), Rider.Default with { AssistanceFactor = factor }, Unit);
        var totalJ = load.TotalTorqueNm.Zip(load.CadenceRadPerS, (torqueNm, radPerS) => torqueNm * radPerS).Sum();
        Assert.Equal(totalJ, load.RiderEnergyJ + load.MotorEnergyJ, 1e-9 * Math.Max(1, totalJ));
        Assert.All(load.MotorTorqueNm.Zip(load.RiderTorqueNm), pull => Assert.True(pull is { First: >= 0, Second: >= 0 }));
        Assert.True(load.MotorTorqueNm.Max() <= Unit.Rating.MaximumTorqueNm);
        Assert.True(load.MotorTorqueNm.Zip(load.CadenceRadPerS, (torqueNm, radPerS) => torqueNm * radPerS).Max() <= Unit.Rating.MaximumOutputW + 1e-9);
    }, iter: 50);

    [Fact]
    public void The_spectrum_holds_every_second_and_turn_of_the_motor()
    {
        var load = RoadLoad.Run(Read(Gpx(Rolling([.. Enumerable.Range(0, 900).Select(i => 5 + (2 * Math.Sin(i / 30.0)))], 0.03))), Rider.Default, Unit);
        var pulling = Enumerable.Range(0, load.TimeS.Length).Where(i => load.MotorTorqueNm[i] > 0).ToList();
        Assert.Equal(pulling.Count, load.Spectrum.Sum(held => held.TimeS));
        Assert.Equal(pulling.Sum(i => load.CadenceRadPerS[i]) / (2 * Math.PI), load.Spectrum.Sum(held => held.Revolutions), 1e-6);
        Assert.All(load.Spectrum, held => Assert.Equal(5, held.UpperNm - held.LowerNm));
        Assert.Equal(pulling.Count(i => load.MotorTorqueNm[i] is >= 10 and < 15), load.Spectrum[2].TimeS);
        var twice = TorqueSpectrum.Together([load.Spectrum, load.Spectrum]);
        Assert.Equal(load.Spectrum.Select(held => (held.TorqueNm, 2 * held.TimeS)), twice.Select(held => (held.TorqueNm, held.TimeS)));
    }

    [Fact]
    public void The_unit_gives_no_more_than_it_can()
    {
        var load = RoadLoad.Run(Read(Gpx(Steady(200, 3, 0.25))), Rider.Default with { RiderMassKg = 120, AssistanceFactor = 6 }, Unit);
        Assert.True(load.SecondsAtLimit > 100);
        Assert.True(load.PeakMotorTorqueNm <= 85);
        Assert.Contains(load.Warnings, warning => warning.Contains("more than the unit's torque or power limit"));
    }

    /// <summary>outdoor-3.fit asked 584 N·m of a crank; m·g·0.17 m is what 80 kg on a pedal give.</summary>
    [Theory]
    [InlineData("outdoor-3.fit", 1.5), InlineData("outdoor-3.fit", 0.4), InlineData("outdoor-3.fit", 0.0), InlineData("outdoor-2.fit", 1.5), InlineData("hilly-power.fit", 0.0)]
    public void Nobody_pushes_harder_than_body_weight_on_a_pedal(string file, double factor)
    {
        using var stream = File.OpenRead(Path.Combine(DataSets.Folder(Path.Combine("rides", "outdoor")), file));
        var rider = Rider.Default with { AssistanceFactor = factor };
        var load = RoadLoad.Run(Roadproof.Engineering.Formats.RideFile.Read(file, stream), rider, Unit);
        const double mostNm = 80 * 9.80665 * 0.17;
        Assert.Equal(mostNm, rider.MostTorqueNm, 1e-9);
        Assert.True(load.RiderTorqueNm.Max() <= mostNm);
        for (var i = 0; i < load.TimeS.Length; i++)
        {
            Assert.Equal(load.TotalTorqueNm[i], load.RiderTorqueNm[i] + load.MotorTorqueNm[i], 1e-9);
            Assert.True(load.MotorTorqueNm[i] <= factor * load.RiderTorqueNm[i] + 1e-9);
        }

        var ran = new RoadRunner(Unit, Deviation.None, UnitOnRoadOptions.Default).Run(load, rider);
        Assert.True(ran.RiderTorqueNm.Max() <= mostNm);
        var cut = load.RiderTorqueNm.Count(nm => nm == mostNm);
        Assert.Equal(cut > 0, load.Warnings.Any(w => w.StartsWith($"{cut} seconds ask the rider for up to ", StringComparison.Ordinal)));
        if (file == "outdoor-3.fit") Assert.True(cut > 0);
    }

    /// <summary>A meter is believed up to what a rider can push, whatever the model says: 1,000 W at 60 turns a minute are 159 N·m.</summary>
    [Fact]
    public void A_power_meter_is_cut_by_the_same_bound_alone()
    {
        var points = Steady(300, 5, 0.03).Select(point => point with { PowerW = point.TimeS < 100 ? 1000 : 500, CadenceRpm = 60 });
        var load = RoadLoad.Run(Read(Gpx(points)), Rider.Default with { AssistanceFactor = 0 }, Unit, new RoadLoadOptions { AirTemperatureC = 15 });
        Assert.Equal(Rider.Default.MostTorqueNm, load.TotalTorqueNm[50], 1e-9);
        Assert.Equal(500 / (2 * Math.PI), load.TotalTorqueNm[200], 1e-9);
        Assert.Contains("100 seconds ask the rider for up to 159 N·m as a mean over a turn of the crank, more than body weight on a pedal: cut to 133 N·m. Heights, speeds or the meter err there.", load.Warnings);
    }

    [Fact]
    public void A_power_meter_gives_the_total_and_judges_the_model()
    {
        var points = Steady(300, 5, 0.03).Select(point => point with { PowerW = 200, CadenceRpm = 60 });
        var load = RoadLoad.Run(Read(Gpx(points)), Rider.Default, Unit, new RoadLoadOptions { AirTemperatureC = 15 });
        Assert.All(load.TotalTorqueNm, torqueNm => Assert.Equal(200 / (2 * Math.PI), torqueNm, 1e-9));
        var model = RoadPower.At(5, 0.03, new RoadResistance { MassKg = 105, DensityKgPerM3 = AirDensity.KgPerM3(122.5, 15) }).TotalW;
        Assert.Equal(200, load.ModelAgainstMeter!.MeanRecordedW, 1e-9);
        Assert.Equal(model - 200, load.ModelAgainstMeter.MeanErrorW, 0.01 * model);
        Assert.Null(RoadLoad.Run(Read(Gpx(Steady(300, 5, 0.03))), Rider.Default, Unit).ModelAgainstMeter);
    }

    [Fact]
    public void A_crank_that_stands_still_pulls_nothing()
    {
        var points = Steady(300, 5, 0.03).Select(point => point with { CadenceRpm = point.TimeS < 150 ? 70 : 0 });
        var load = RoadLoad.Run(Read(Gpx(points)), Rider.Default, Unit);
        Assert.Equal(70 * Math.PI / 30, load.CadenceRadPerS[100], 1e-9);
        Assert.All(load.TotalTorqueNm.Skip(151), torqueNm => Assert.Equal(0, torqueNm));
        Assert.Contains(load.Warnings, warning => warning.StartsWith("150 seconds in which the model asks", StringComparison.Ordinal));
    }

    /// <summary>A table of rides reads as points of one; a recorder that was carried nowhere has no load either. Power without a way stays one.</summary>
    [Theory]
    [InlineData("ride,distance,speed,power,elevation,time\na,10,20,100,50,1800\nb,11,21,110,60,3600\nc,13,19,90,70,5400\n", "ride: found nothing that moves: 3 m in 3600 s, expected a ride that somewhere moves with at least 0.5 m/s.")]
    [InlineData("time,lat,lon,power\n0,50,5,150\n1,50,5,150\n2,50,5,150\n", "ride: found nothing that moves: 0 m in 2 s")]
    public void Refuses_a_road_on_which_nothing_moves(string text, string said) =>
        Assert.StartsWith(said, Assert.Throws<InputException>(() => RoadLoad.Run(Read(text), Rider.Default, Unit)).Message, StringComparison.Ordinal);

    [Fact]
    public void A_descent_asks_for_nothing()
    {
        var load = RoadLoad.Run(Read(Gpx(Steady(300, 8, -0.06, startM: 500))), Rider.Default, Unit);
        Assert.Equal((0, 0, 0), (load.RiderEnergyJ, load.MotorEnergyJ, load.PeakMotorTorqueNm));
        Assert.Empty(load.Spectrum);
    }

    // A rider shifts: the cadence stays near the preferred one wherever a gear allows it.
    [Theory]
    [InlineData(2.6), InlineData(4), InlineData(6), InlineData(8.5)]
    public void The_cadence_stays_near_the_preferred_one(double speedMps)
    {
        var load = RoadLoad.Run(Read(Gpx(Steady(120, speedMps, 0.01))), Rider.Default, Unit);
        Assert.InRange(load.CadenceRadPerS[60] * 30 / Math.PI, 75 * 0.84, 75 * 1.16);
    }

    // T·(1 + 0.75·cos 2θ) peaks at 1.75 times its mean and has no more energy.
    [Fact]
    public void The_pulsation_moves_the_peak_and_not_the_energy()
    {
        var ride = Read(Gpx(Steady(300, 5, 0.02)));
        var (even, pulsing) = (RoadLoad.Run(ride, Rider.Default, Unit), RoadLoad.Run(ride, Rider.Default, Unit, new RoadLoadOptions { PulsationDepth = 0.75 }));
        Assert.Equal(1.75 * even.PeakMotorTorqueNm, pulsing.PeakMotorTorqueNm, 1e-9);
        Assert.Equal(even.MotorEnergyJ, pulsing.MotorEnergyJ);
    }

    [Fact]
    public void Without_elevation_the_road_is_level_and_it_says_so()
    {
        var load = RoadLoad.Run(Read(Gpx(Steady(100, 5, 0).Select(point => point with { ElevationM = null }))), Rider.Default, Unit);
        Assert.All(load.Gradient, gradient => Assert.Equal(0, gradient));
        Assert.Contains("No elevation: the road is taken as level.", load.Warnings);
    }

    // A spike of one fix in the elevation, as satellite receivers make them, must not look like a wall.
    [Fact]
    public void A_spike_in_the_elevation_leaves_the_gradient_alone()
    {
        var points = Steady(300, 5, 0.03).ToList();
        points[150] = points[150] with { ElevationM = points[150].ElevationM + 60 };
        var load = RoadLoad.Run(Read(Gpx(points)), Rider.Default, Unit);
        Assert.All(load.Gradient.Skip(30).Take(240), gradient => Assert.Equal(0.03, gradient, 0.005));
    }

    // Noise of ±1 m on every fix: the slope of a kilometre of steady climb is still found within 1.5 % of slope.
    [Fact]
    public void Noise_on_the_elevation_is_smoothed()
    {
        var noise = new Random(11);
        var points = Steady(400, 5, 0.04).Select(point => point with { ElevationM = point.ElevationM + (2 * noise.NextDouble()) - 1 });
        var load = RoadLoad.Run(Read(Gpx(points)), Rider.Default, Unit);
        Assert.All(load.Gradient.Skip(30).Take(340), gradient => Assert.Equal(0.04, gradient, 0.015));
        Assert.Equal(0.04, load.Gradient.Skip(30).Take(340).Average(), 0.001);
    }

    [Fact]
    public void A_wrong_unit_of_speed_is_noticed_and_the_positions_are_used()
    {
        var text = Csv(Steady(300, 5, 0)).Replace("power", "speed").Split('\n');
        var lines = text.Skip(1).Where(line => line.Length > 0).Select(line => string.Join(',', line.Split(',').Select((cell, i) => i == 4 ? "5" : cell)));
        var load = RoadLoad.Run(Read(text[0] + "\n" + string.Join('\n', lines)), Rider.Default, Unit);
        Assert.Equal(5, load.SpeedMps[100], 0.01);
        Assert.Contains("The recorded speed is 0.28 times that of the positions: the positions are used. Is its unit right?", load.Warnings);
    }

    [Fact]
    public void A_route_has_no_load() => Assert.Contains(
        "A planned route tells distance and ascent only.",
        Assert.Throws<InputException>(() => RoadLoad.Run(Read("<gpx><rte><rtept lat='50' lon='5'/><rtept lat='50.01' lon='5'/></rte></gpx>"), Rider.Default, Unit)).Message);

    [Fact]
    public void Refuses_an_impossible_rider_at_once()
    {
        var rider = Rider.Default with { RiderMassKg = 0, PreferredCadenceRadPerS = 75, AssistanceFactor = -1 };
        var refused = Assert.Throws<InputException>(() => RoadLoad.Run(Read(Gpx(Steady(10, 5, 0))), rider, Unit));
        Assert.Equal(["riderMassKg", "cadenceRadPerS", "assist"], refused.Errors.Select(error => error.Column));
    }

    static IEnumerable<Point> Rolling(double[] stepsM, double gradient)
    {
        var alongM = 0.0;
        yield return new(0, 0, 300);
        for (var i = 0; i < stepsM.Length; i++)
        {
            alongM += stepsM[i];
            yield return new(i + 1, alongM, 300 + (alongM * gradient));
        }
    }
}
