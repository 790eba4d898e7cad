using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Road;
using Roadproof.Engineering.Tests.Fixtures;
using static Roadproof.Engineering.Tests.Formats.RideText;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class GearTrainStudyTests
{
    static readonly DriveUnit Unit = MidDrive.Unit;
    static readonly LifePlan Plan = LifeOf85.Plan;
    static readonly Rider Light = new() { RiderMassKg = 60, AssistanceFactor = 1 }, Heavy = new() { RiderMassKg = 110, AssistanceFactor = 3 };

    static RiddenLoad Ride(string name, Rider rider, int seconds = 600, double speedMps = 4, double slope = 0.05) =>
        new(name, rider, RoadLoad.Run(Read(Csv(Steady(seconds, speedMps, slope))), rider, Unit, new RoadLoadOptions { AirTemperatureC = 20 }));

    /// <summary>Up, and flat: two levels of torque and cadence.</summary>
    static readonly RiddenLoad[] Rides = [Ride("light", Light), Ride("heavy", Heavy), Ride("light", Light, 300, 6, 0.01), Ride("heavy", Heavy, 300, 6, 0.01)];

    static GearTrainVariant Changed(StageChange change) => new() { Name = "changed", Stages = [change] };

    static StudiedTrain Of(GearTrainVariant variant, IReadOnlyList<RiddenLoad>? rides = null) => GearTrainStudy.Run(rides ?? Rides, [variant.Of(Unit, Plan)], UnitOnRoadOptions.Default).Single();

    static readonly StudiedTrain Base = Of(new() { Name = "base" });

    static double Damage(StudiedTrain of, string id, string rider = "heavy") => of.Riders.Single(r => r.Rider == rider).Elements.Single(e => e.Id == id).Damage;

    static void Same(StudiedTrain expected, StudiedTrain found)
    {
        foreach (var (one, other) in expected.Riders.Zip(found.Riders))
        {
            Assert.Equal(one.Elements, other.Elements);
            Assert.Equal((one.Rider, one.DistanceM, one.Efficiency, one.PeakWindingC), (other.Rider, other.DistanceM, other.Efficiency, other.PeakWindingC));
        }

        Assert.Equal((expected.Efficiency, expected.MassKg, expected.ReachesRatedPoints), (found.Efficiency, found.MassKg, found.ReachesRatedPoints));
        Assert.Equal(expected.Meshes, found.Meshes);
        Assert.Equal(expected.RatedPoints, found.RatedPoints);
    }

    [Fact]
    public void A_variant_that_changes_nothing_is_the_base_exactly() =>
        Same(Base, Of(Changed(new() { Stage = 1, PinionTeeth = 12, WheelTeeth = 83, NormalModuleM = 0.8e-3, FaceWidthM = 0.014, HelixDeg = 20, PinionMaterial = "steel", WheelMaterial = "polyamide", PinionShift = 0.35, WheelShift = -0.35 })));

    [Fact]
    public void A_transmission_of_one_to_one_without_loss_is_the_base_exactly()
    {
        var direct = Of(new() { Name = "direct", Transmission = new() { RotorRadPerS = 280, Gears = [new() { Ratio = 1, Efficiency = 1 }] } });
        Same(Base, direct);
        Assert.Equal((1, 0), (direct.Riders[0].Gears.Single().TurnsShare, direct.Riders[0].Shifts));
    }

    /// <summary>The base is what the unit's own computation tells without the study.</summary>
    [Fact]
    public void The_base_is_the_life_of_the_unit_on_the_road()
    {
        var spectrum = new LoadSpectrum(Unit);
        var runner = new RoadRunner(Unit, Deviation.None, UnitOnRoadOptions.Default);
        foreach (var ride in Rides.Where(r => r.Name == "heavy")) spectrum.Add(runner.Run(ride.Load, ride.Rider));
        Assert.Equal(new UnitLife(Unit, Plan).Of(spectrum), Base.Riders.Single(r => r.Rider == "heavy").Elements);
        Assert.Equal("heavy", Base.Worst.Rider);
    }

    /// <summary>How steeply life follows torque: 3 for ball bearings, 6.6 for flanks of case-hardened steel, 8.7 for their roots (ISO 281, ISO 6336-2 and -3; from memory), wherever the torque scales as a whole.</summary>
    [Fact]
    public void Damage_follows_torque_with_the_slopes_of_bearing_flank_and_root()
    {
        const double more = 1.2;
        var ride = Ride("one", Light);
        var harder = ride with { Load = ride.Load with { TotalTorqueNm = [.. ride.Load.TotalTorqueNm.Select(nm => more * nm)] } };
        var (before, after) = (Of(new() { Name = "base" }, [ride]), Of(new() { Name = "base" }, [harder]));
        foreach (var (id, slope) in new[] { ("bearing-sleeve-bearing-at-the-chain", 3), ("stage-2-pinion-flank", 6.6), ("stage-2-pinion-root", 8.7) })
            Assert.Equal(slope, Math.Log(Damage(after, id, "one") / Damage(before, id, "one")) / Math.Log(more), 0.02 * slope);
    }

    [Fact]
    public void A_wider_face_spares_root_and_flank_and_leaves_the_bearings()
    {
        var wide = Of(Changed(new() { Stage = 2, FaceWidthM = 0.018, MeshEfficiency = Unit.Gears[1].MeshEfficiency }));
        // The stress of a spur mesh goes with 1/b: exact by its slope.
        Assert.Equal(Math.Pow(14.0 / 18, 8.7), Damage(wide, "stage-2-pinion-root") / Damage(Base, "stage-2-pinion-root"), 1e-9);
        Assert.Equal(Math.Pow(14.0 / 18, 6.6), Damage(wide, "stage-2-wheel-flank") / Damage(Base, "stage-2-wheel-flank"), 1e-9);
        foreach (var id in new[] { "bearing-rotor-bearing-at-the-pinion", "bearing-sleeve-bearing-at-the-chain", "stage-1-wheel-root", "bent-crank-axle" }) Assert.Equal(Damage(Base, id), Damage(wide, id));
        Assert.True(wide.MassKg > Base.MassKg);
    }

    [Fact]
    public void More_module_at_the_same_teeth_is_stronger_larger_and_heavier()
    {
        var big = Of(Changed(new() { Stage = 2, NormalModuleM = 1.5e-3 }));
        Assert.True(Damage(big, "stage-2-pinion-root") < 0.1 * Damage(Base, "stage-2-pinion-root"));
        Assert.Equal(1.2 * Base.Meshes[1].CentreDistanceM, big.Meshes[1].CentreDistanceM, 1e-12);
        Assert.Equal(Base.Meshes[1].ContactRatio, big.Meshes[1].ContactRatio, 1e-12);
        Assert.Equal(1.44 * 1.44, big.Meshes[1].PinionRootSafety / Base.Meshes[1].PinionRootSafety * 1.44, 1e-9);
        // Smaller forces at the larger circle.
        Assert.True(Damage(big, "bearing-sleeve-bearing-at-the-chain") < Damage(Base, "bearing-sleeve-bearing-at-the-chain"));
        Assert.True(big.MassKg > Base.MassKg && big.Efficiency == Base.Efficiency);
    }

    /// <summary>A gearbox takes its share of what the unit gives; that makes the unit itself no weaker.</summary>
    [Fact]
    public void A_lossy_gearbox_leaves_the_units_rated_points_and_takes_its_share_at_the_chainring()
    {
        var box = Of(new() { Name = "box", Transmission = new() { RotorRadPerS = 280, Gears = [new() { Ratio = 1, Efficiency = 0.95 }, new() { Ratio = 1.3, Efficiency = 0.96 }] } });
        Assert.True(box.ReachesRatedPoints, string.Join("; ", box.RatedPoints.Select(p => $"{p.Name}: {p.Reason}")));
        Assert.All(box.RatedPoints.Zip(Base.RatedPoints), pair => Assert.InRange(pair.First.TorqueNm / pair.Second.TorqueNm, 0.95 - 1e-9, 0.96 + 1e-9));
        Assert.All(box.RatedPoints, p => Assert.True(p.MostNm >= p.TorqueNm * (1 - 1e-9)));
    }

    /// <summary>By hand: four solid discs, as wide as the middle of their teeth.</summary>
    [Fact]
    public void Mass_is_that_of_the_discs()
    {
        double Disc(double teeth, double moduleMm, double helixDeg, double shift, double density) =>
            Math.PI / 4 * Math.Pow(1e-3 * (moduleMm / Math.Cos(helixDeg * Math.PI / 180) * teeth + (2 * shift - 0.25) * moduleMm), 2) * 0.014 * density;

        var expected = Disc(12, 0.8, 20, 0.35, 7830) + Disc(83, 0.8, 20, -0.35, 1410) + Disc(13, 1.25, 0, 0.4, 7830) + Disc(68, 1.25, 0, -0.4, 7830);
        Assert.Equal(expected, Base.MassKg, 1e-12);
        Assert.InRange(Base.MassKg, 0.5, 0.9);
    }

    [Fact]
    public void A_rotor_that_turns_faster_for_the_same_ride_reaches_less_speed_and_asks_for_less_current()
    {
        var shorter = Of(Changed(new() { Stage = 2, WheelTeeth = 75 }));
        Assert.True(shorter.Train.Unit.Ratio > Unit.Ratio);
        Assert.True(shorter.PeakWindingC < Base.PeakWindingC);
        Assert.True(Base.ReachesRatedPoints, string.Join("; ", Base.RatedPoints.Select(p => $"{p.Name}: {p.Reason}")));
        var longer = Of(Changed(new() { Stage = 2, WheelTeeth = 52 }));
        Assert.Contains("A peak in a phase", Assert.Single(longer.RatedPoints, p => p.Name == "largest torque").Reason);
        Assert.False(longer.ReachesRatedPoints);
    }

    [Fact]
    public void A_mesh_whose_order_falls_on_another_says_so()
    {
        // Fourteen teeth on the rotor mesh as often as twice the electrical frequency of seven pole pairs.
        var orders = TrainOrder.Of(Changed(new() { Stage = 1, PinionTeeth = 14, WheelTeeth = 97 }).Of(Unit, Plan).Unit);
        Assert.Contains("twice electrical", orders[1].FallsOn);
        Assert.Contains("six times electrical (at 3 × its order)", orders[1].FallsOn);
        Assert.Empty(TrainOrder.Of(Unit)[1].FallsOn);
        Assert.Equal((12.0, 12 * 75 * Unit.Ratio / 60), (TrainOrder.Of(Unit)[1].PerRotorTurn, Math.Round(TrainOrder.Of(Unit)[1].RatedHz, 9)), (a, b) => a.Item1 == b.Item1 && Math.Abs(a.Item2 - b.Item2) < 1e-6);
    }

    [Fact]
    public void A_lower_gear_uphill_spares_the_train_and_is_counted()
    {
        var box = new ShiftingTransmission { RotorRadPerS = 400, Gears = [new() { Ratio = 1, Efficiency = 0.98 }, new() { Ratio = 1.5, Efficiency = 0.97 }] };
        var shifting = Of(new() { Name = "shifting", Transmission = box });
        Assert.True(Damage(shifting, "stage-2-pinion-root") < Damage(Base, "stage-2-pinion-root"));
        Assert.True(shifting.Efficiency < Base.Efficiency);
        var gears = shifting.Riders[1].Gears;
        Assert.Equal(1, gears.Sum(g => g.TurnsShare), 1e-12);
        Assert.True(gears[1].TurnsShare > 0.5);
        // What bends and turns behind the box carries the chainring's torque, as before.
        Assert.Equal(Damage(Base, "bent-crank-axle"), Damage(shifting, "bent-crank-axle"), 0.05 * Damage(Base, "bent-crank-axle"));
    }

    [Fact]
    public void Torque_and_turns_in_front_of_a_box_are_those_of_its_gear()
    {
        var load = Rides[1].Load;
        var through = new TransmittedRide(load, Unit, new() { RotorRadPerS = 1, Gears = [new() { Ratio = 1.6, Efficiency = 0.9 }] });
        var ran = new RoadRunner(Unit, Deviation.None, UnitOnRoadOptions.Default).Run(through.AtUnit, Heavy);
        var behind = through.Behind(ran, Unit);
        var i = 300;
        Assert.Equal(1.6 * load.CadenceRadPerS[i], ran.OutputRadPerS[i], 1e-12);
        Assert.Equal(1.6 * 0.9 * ran.MotorTorqueNm[i], behind.MotorTorqueNm[i], 1e-12);
        Assert.Equal(load.TotalTorqueNm[i], behind.MotorTorqueNm[i] + behind.RiderTorqueNm[i], 1e-9);
        // The motor gives the share at the chainring that the factor asks for.
        Assert.Equal(3.0 / 4 * load.TotalTorqueNm[i], behind.MotorTorqueNm[i], 1e-9);
    }

    /// <summary>The slow way: second by second, the last mesh presses with what the unit gives and the chain pulls with what arrives behind the box.</summary>
    [Fact]
    public void The_output_s_bearing_feels_the_mesh_in_front_of_a_box_and_the_chain_behind_it()
    {
        var even = new UnitOnRoadOptions { Pulsation = new() { RiderDepth = 0, MotorFollows = 0 } };
        var box = new ShiftingTransmission { RotorRadPerS = 1, Gears = [new() { Ratio = 1.6, Efficiency = 0.9 }] };
        var told = GearTrainStudy.Run([Rides[1]], [new GearTrainVariant { Name = "box", Transmission = box }.Of(Unit, Plan)], even).Single();
        var load = Rides[1].Load;
        var ran = new RoadRunner(Unit, Deviation.None, even).Run(new TransmittedRide(load, Unit, box).AtUnit, Heavy);
        var (life, bearing, expected) = (new UnitLife(Unit, Plan), Plan.Bearings[1], 0.0);
        for (var i = 0; i < load.TimeS.Length; i++)
        {
            var loadN = life.LoadN(bearing, ran.MotorTorqueNm[i], load.TotalTorqueNm[i]);
            if (loadN > 0) expected += load.CadenceRadPerS[i] / (2 * Math.PI) / BearingLife.TurnsL10(bearing.DynamicN, loadN);
        }

        Assert.Equal(expected, Damage(told, "bearing-sleeve-bearing-at-the-chain"), 0.01 * expected);
        var carried = told.Worst.Elements.Single(e => e.Id == "bearing-sleeve-bearing-at-the-chain").Bearing!;
        Assert.Equal(expected, carried.Turns / BearingLife.TurnsL10(bearing.DynamicN, carried.EquivalentN), 0.01 * expected);
    }

    [Fact]
    public void A_rider_on_a_box_stays_in_a_gear_while_it_feels_right()
    {
        var box = new ShiftingTransmission { RotorRadPerS = 100, Gears = [new() { Ratio = 1, Efficiency = 1 }, new() { Ratio = 1.5, Efficiency = 1 }] };
        Assert.Equal([0, 0, 0, 1, 1, 1, 0], box.GearsOver([10, 9, 0, 7, 0, 7.6, 9], 10));
    }

    [Fact]
    public void A_front_holds_what_nobody_beats()
    {
        double[][] designs = [[1, 5], [2, 4], [2, 3], [3, 1], [3, 1], [double.PositiveInfinity, 0]];
        Assert.Equal([true, true, false, true, true, true], ParetoFront.Of(designs));
    }

    [Fact]
    public void A_sweep_draws_the_same_designs_keeps_the_ratio_and_counts_what_it_left_out()
    {
        var sweep = new TrainSweep
        {
            Designs = 60, Seed = 3,
            Ranges = [new() { Stage = 1, What = Swept.PinionTeeth, From = 5, To = 15 }, new() { Stage = 1, What = Swept.Ratio, From = 5, To = 8 }, new() { Stage = 2, What = Swept.FaceWidthM, From = 0.010, To = 0.020 }],
        };
        var (one, again) = (sweep.Of(Unit, Plan), sweep.Of(Unit, Plan));
        Assert.Equal(one.Possible.Select(t => (t.Name, t.Description)), again.Possible.Select(t => (t.Name, t.Description)));
        Assert.NotEmpty(one.Possible);
        Assert.All(one.Possible, t => Assert.InRange(t.Unit.Ratio / Unit.Ratio, 0.98, 1.02));
        Assert.All(one.Possible, t => Assert.Empty(TrainObjections.Of(t)));
        Assert.Equal(60, one.Possible.Count + one.LeftOut.Sum(l => l.Designs));
        Assert.Contains(one.LeftOut, l => l.Reason.Contains("undercut"));
        // Each of so many even pieces of a range is drawn once.
        Assert.NotEqual(one.Possible.Select(t => t.Description), (sweep with { Seed = 4 }).Of(Unit, Plan).Possible.Select(t => t.Description));
    }

    [Fact]
    public void A_full_sweep_takes_every_step_with_every_other()
    {
        var sweep = new TrainSweep
        {
            Kind = SweepKind.Full,
            Ranges = [new() { Stage = 2, What = Swept.FaceWidthM, From = 0.012, To = 0.016, Steps = 3 }, new() { Stage = 2, What = Swept.NormalModuleM, From = 0.00125, To = 0.0015, Steps = 2 }],
        };
        Assert.Equal(
            ["13:68 m 1.25 b 12", "13:68 m 1.25 b 14", "13:68 m 1.25 b 16", "13:68 m 1.5 b 12", "13:68 m 1.5 b 14", "13:68 m 1.5 b 16"],
            sweep.Of(Unit, Plan).Possible.Select(t => t.Description.Split(", ")[1]).Order());
    }

    [Fact]
    public void What_cannot_be_is_refused_with_all_its_reasons()
    {
        var undercut = new GearTrainVariant { Name = "tiny", Stages = [new() { Stage = 2, PinionTeeth = 9, PinionShift = 0 }] }.Of(Unit, Plan);
        var told = Assert.Throws<Quantities.InputException>(() => GearTrainStudy.Run(Rides, [undercut], UnitOnRoadOptions.Default));
        Assert.Contains(told.Errors, e => e.Column == "tiny" && e.Found.Contains("undercut"));
        Assert.Throws<Quantities.InputException>(() => GearTrainStudy.Run([], [new GearTrainVariant { Name = "base" }.Of(Unit, Plan)], UnitOnRoadOptions.Default));
        Assert.Contains("sun, planets and ring do not fit", Assert.Single(TrainObjections.Of(new("hub", GearedHub.Unit with { Gears = [GearedHub.Unit.Gears[0] with { PlanetTeeth = 30 }] }, Plan with { Gears = [Plan.Gears[0] with { PinionShift = 0, WheelShift = 0 }] }, null))));
    }

    [Fact]
    public void Many_variants_are_counted_in_batches_with_the_same_digits_and_may_be_stopped()
    {
        RiddenLoad[] rides = [Ride("one", Light, 60)];
        var trains = Enumerable.Range(0, GearTrainStudy.AtOnce + 3).Select(n => new GearTrainVariant { Name = $"v{n}", Stages = [new() { Stage = 1, FaceWidthM = 0.012 + 0.0001 * n }] }.Of(Unit, Plan)).ToList();
        var rounds = 0;
        var all = GearTrainStudy.Run(rides, trains, UnitOnRoadOptions.Default, () => rounds++);
        Assert.Equal(2, rounds);
        Assert.Equal(trains.Select(t => t.Name), all.Select(t => t.Name));
        Assert.Equal(GearTrainStudy.Run(rides, [trains[^1]], UnitOnRoadOptions.Default)[0].Riders[0].Elements, all[^1].Riders[0].Elements);
        Assert.Equal(all[^1].Riders[0].Elements, GearTrainStudy.Run(rides, [trains[^1]], UnitOnRoadOptions.Default, cores: 1)[0].Riders[0].Elements);
        using var stopped = new CancellationTokenSource();
        stopped.Cancel();
        Assert.ThrowsAny<OperationCanceledException>(() => GearTrainStudy.Run(rides, trains, UnitOnRoadOptions.Default, stop: stopped.Token));
    }
}
