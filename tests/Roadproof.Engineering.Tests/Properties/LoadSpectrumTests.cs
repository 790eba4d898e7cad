using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Road;
using Roadproof.Engineering.Tests.Fixtures;
using static Roadproof.Engineering.Tests.Formats.RideText;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class LoadSpectrumTests
{
    static readonly DriveUnit Unit = MidDrive.Unit;

    static UnitOnRoad Ride(int seconds, double speedMps, double slope, double follows = 0, Rider? rider = null)
    {
        var load = RoadLoad.Run(Read(Csv(Steady(seconds, speedMps, slope))), rider ?? Rider.Default, Unit, new RoadLoadOptions { AirTemperatureC = 20 });
        return new RoadRunner(Unit, Deviation.None, new() { Pulsation = new() { MotorFollows = follows, RiderDepth = follows == 0 ? 0 : 0.75 } }).Run(load, rider ?? Rider.Default);
    }

    static LoadSpectrum Of(params UnitOnRoad[] rides)
    {
        var spectrum = new LoadSpectrum(Unit);
        foreach (var ride in rides) spectrum.Add(ride);
        return spectrum;
    }

    [Fact]
    public void Turns_are_those_of_the_ride()
    {
        var ride = Ride(600, 5, 0.04, 0.4);
        var turns = ride.OutputRadPerS.Sum() / (2 * Math.PI);
        var spectrum = Of(ride);
        Assert.Equal(turns, spectrum.OutputTurns, 1e-6);
        Assert.Equal(turns, spectrum.TurnsAtTorques().Sum(t => t.Turns), 1e-6);
        Assert.Equal(turns, spectrum.TurnsAtTooth(0).Sum(t => t.Turns), 1e-6);
        Assert.Equal(ride.WindingC.Length, spectrum.TimeAt(WarmPart.Winding).Sum(t => t.Seconds));
    }

    [Fact]
    public void Spectra_merge_as_if_the_rides_were_counted_together()
    {
        var (one, other) = (Ride(600, 5, 0.04, 0.4), Ride(300, 3, 0.1, 0.4));
        var merged = Of(one);
        merged.Add(Of(other), 3);
        var counted = Of(one, other, other, other);
        Assert.Equal(counted.DistanceM, merged.DistanceM, 1e-6);
        Assert.Equal(counted.TurnsAtMotorTorque(), merged.TurnsAtMotorTorque(), (a, b) => Math.Abs(a - b) < 1e-9 * (1 + a));
        Assert.Equal(counted.TotalRanges.Cycles().ToList(), merged.TotalRanges.Cycles().ToList());
        Assert.Equal(counted.TakeUps, merged.TakeUps);
        Assert.Equal(4, merged.Rides);
    }

    /// <summary>Swings and events are neither lost nor made when rides are merged, whatever classes their matrices have grown to.</summary>
    [Fact]
    public void Swings_starts_and_cut_offs_add_up_when_merged()
    {
        var (cool, hot) = (Of(Ride(300, 3, 0.01)), Of(Ride(1800, 2.5, 0.12, 0, Rider.Default with { AssistanceFactor = 4, RiderMassKg = 110 })));
        Assert.True(hot.WindingSwings.RangeWidth > cool.WindingSwings.RangeWidth);
        foreach (var swings in new Func<LoadSpectrum, RangeMeanMatrix>[] { s => s.WindingSwings, s => s.ControllerSwings })
        {
            var (one, other) = (swings(cool).Total, swings(hot).Total);
            Assert.True(one >= 1 && other >= 1);
            var merged = new LoadSpectrum(Unit);
            merged.Add(cool);
            merged.Add(hot, 7);
            Assert.Equal(one + 7 * other, swings(merged).Total, 1e-9);
            Assert.Equal(one + 7 * other, TemperatureSwing.Of(swings(merged)).Sum(s => s.Count), 1e-9);
            Assert.Equal(2 * (one + 7 * other), TemperatureSwing.Of(swings(merged), 2).Sum(s => s.Count), 1e-9);
            Assert.Equal(cool.FullStarts + 7 * hot.FullStarts, merged.FullStarts);
            Assert.Equal(cool.CutOffs + 7 * hot.CutOffs, merged.CutOffs);
        }
    }

    /// <summary>By its definition the equivalent load uses a bearing up as all loads together do.</summary>
    [Fact]
    public void A_bearing_s_equivalent_load_gives_its_damage_back()
    {
        var life = new UnitLife(Unit, LifeOf85.Plan);
        var spectrum = Of(Ride(600, 4, 0.05, 0.4), Ride(300, 6, 0.01, 0.4));
        foreach (var bearing in LifeOf85.Plan.Bearings)
        {
            var element = life.Of(spectrum).Single(e => e.Ending == Ending.Bearing && e.Name == bearing.Name);
            var load = element.Bearing!;
            Assert.Equal(load.Turns / (BearingLife.TurnsL10(bearing.DynamicN, load.EquivalentN) * bearing.LifeFactor), element.Damage, 1e-12 * element.Damage);
            var loadsN = spectrum.TurnsAtTorques().Select(t => life.LoadN(bearing, t.MotorNm, t.TotalNm)).ToList();
            Assert.InRange(load.EquivalentN, loadsN.Min(), loadsN.Max());
        }

        Assert.All(life.Of(spectrum).Where(e => e.Ending != Ending.Bearing), e => Assert.Null(e.Bearing));
    }

    /// <summary>Each push is a cycle on the axle: two a turn, of twice the depth times the mean torque.</summary>
    [Fact]
    public void Every_push_is_a_cycle()
    {
        var ride = Ride(600, 4, 0.05, 0.4);
        var middle = 300;
        var rangeNm = 2 * 0.75 * ride.RiderTorqueNm[middle] + 2 * 0.75 * 0.4 * ride.MotorTorqueNm[middle];
        var spectrum = Of(ride);
        var turns = ride.Load.CadenceRadPerS.Sum() / (2 * Math.PI);
        var near = spectrum.TotalRanges.Cycles().Where(c => Math.Abs(c.Range - rangeNm) < 2 * spectrum.TotalRanges.RangeWidth).Sum(c => c.Count);
        Assert.InRange(near, 1.8 * turns, 2.05 * turns);
    }

    /// <summary>An even torque through known teeth: the sum is turns over the life at that stress.</summary>
    [Fact]
    public void Damage_of_a_steady_ride_is_that_of_its_torque()
    {
        var ride = Ride(900, 4, 0.05);
        var plan = LifeOf85.Plan;
        var life = new UnitLife(Unit, plan);
        var spectrum = Of(ride);
        var torqueNm = ride.MotorTorqueNm[450];
        var pinionNm = torqueNm / (Unit.Gears[1].Ratio * Unit.Gears[1].MeshEfficiency);
        var turns = ride.OutputRadPerS.Sum() / (2 * Math.PI) * Unit.Gears[1].Ratio;
        var steel = plan.Materials.Single(m => m.Id == plan.Gears[1].Pinion);
        var expected = turns / steel.Root.CyclesTo(life.Meshes[1].RootPa(pinionNm, wheel: false, steel));
        var root = life.Of(spectrum).Single(e => e.Id == "stage-2-pinion-root");
        Assert.Equal(expected, root.Damage, 0.03 * expected);
        Assert.True(root.DamageInterval.Lower < root.Damage && root.Damage < root.DamageInterval.Upper);
        Assert.Equal(spectrum.DistanceM / root.Damage, root.LifeM, 1e-6 * root.LifeM);
    }

    [Fact]
    public void Pushes_that_the_motor_follows_hurt_steep_lines_more_than_flat_ones()
    {
        var (even, pushed) = (new UnitLife(Unit, LifeOf85.Plan).Damages(Of(Ride(900, 4, 0.05))), new UnitLife(Unit, LifeOf85.Plan).Damages(Of(Ride(900, 4, 0.05, 1))));
        var root = pushed["stage-2-pinion-root"] / even["stage-2-pinion-root"];
        var bearing = pushed["bearing-rotor-bearing-at-the-pinion"] / even["bearing-rotor-bearing-at-the-pinion"];
        Assert.True(root > 4, $"root {root}");
        // 1 + 3·0.75²/2 = 1.84 for a load that is all torque; the preload stays.
        Assert.InRange(bearing, 1.1, 1.84);
    }

    [Fact]
    public void A_steady_point_does_what_its_spectrum_does()
    {
        var life = new UnitLife(Unit, LifeOf85.Plan);
        var spectrum = new LoadSpectrum(Unit);
        double[] wheelC = [57, 41];
        spectrum.AddSteady(47, 7, 30, wheelC, ThermalState.At(41), 2);
        var (steady, counted) = (life.SteadyDamages(47, 7, 30, [LoadSpectrumMiddle(57), LoadSpectrumMiddle(41)], 2), life.Damages(spectrum));
        foreach (var (id, damage) in steady.Where(d => d.Key != "clutch")) Assert.Equal(counted[id], damage, 1e-9 * damage);
        // A take-up is counted in the middle of its class.
        Assert.Equal(counted["clutch"], steady["clutch"], 0.1 * steady["clutch"]);

        static double LoadSpectrumMiddle(double c) => LoadSpectrum.ColdestC + (Math.Floor((c - LoadSpectrum.ColdestC) / LoadSpectrum.WarmthClassK) + 0.5) * LoadSpectrum.WarmthClassK;
    }

    [Fact]
    public void Ids_of_elements_with_and_without_intervals_are_the_same()
    {
        var life = new UnitLife(Unit, LifeOf85.Plan);
        var spectrum = Of(Ride(300, 4, 0.05, 0.4));
        var listed = life.Of(spectrum);
        var damages = life.Damages(spectrum);
        Assert.Equal(damages.Keys.Order(), listed.Select(e => e.Id).Order());
        foreach (var element in listed) Assert.Equal(damages[element.Id], element.Damage, 1e-12 + 1e-9 * element.Damage);
    }

    /// <summary>The same ride as GPX and as FIT, the recorder's own speed left out (GPX has no place for it): one spectrum.</summary>
    [Fact]
    public void One_ride_in_two_formats_is_one_spectrum()
    {
        var folder = DataSets.Folder(Path.Combine("rides", "outdoor"));
        var (gpx, fit) = (Of(Recorded("hilly-power.gpx")), Of(Recorded("hilly-power.fit")));
        Assert.Equal(gpx.DistanceM, fit.DistanceM, 0.001 * gpx.DistanceM);
        Assert.Equal(gpx.OutputTurns, fit.OutputTurns, 0.001 * gpx.OutputTurns);
        var differs = gpx.TurnsAtMotorTorque().Zip(fit.TurnsAtMotorTorque(), (a, b) => Math.Abs(a - b)).Sum();
        Assert.True(differs < 0.01 * gpx.OutputTurns, $"{differs} of {gpx.OutputTurns} turns stand in other classes");
        var (one, other) = (new UnitLife(Unit, LifeOf85.Plan).Damages(gpx), new UnitLife(Unit, LifeOf85.Plan).Damages(fit));
        foreach (var (id, damage) in one) Assert.Equal(damage, other[id], 0.02 * damage);

        UnitOnRoad Recorded(string file)
        {
            using var stream = File.OpenRead(Path.Combine(folder, file));
            var ride = Engineering.Formats.RideFile.Read(file, stream);
            ride = ride with { Fixes = [.. ride.Fixes.Select(f => f with { RecordedSpeedMps = double.NaN })] };
            var load = RoadLoad.Run(ride, Rider.Default, Unit, new RoadLoadOptions { AirTemperatureC = 20 });
            return new RoadRunner(Unit, Deviation.None, UnitOnRoadOptions.Default).Run(load, Rider.Default);
        }
    }
}
