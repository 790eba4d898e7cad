using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Road;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class RigHoursTests
{
    static readonly DriveUnit Unit = MidDrive.Unit with { Gears = [MidDrive.Unit.Gears[0] with { WheelToHousingKPerW = 2.5, WheelJPerK = 60 }, MidDrive.Unit.Gears[1]] };

    // Without preload or axial force: its load is the torque's alone.
    static readonly LifePlan Plan = LifeOf85.Plan with
    {
        Bearings = [.. LifeOf85.Plan.Bearings, new() { Name = "middle shaft bearing", Shaft = 1, DynamicN = 6000, StaticN = 3000, Forces = [new() { Stage = 2, Share = 0.6, DirectionDeg = 90 }], Origin = "test" }],
    };

    static readonly RigHours Rig = new(Unit, Plan, new());
    static readonly LoadSpectrum Road = RealRide();

    static LoadSpectrum RealRide()
    {
        using var stream = File.OpenRead(Path.Combine(DataSets.Folder(Path.Combine("rides", "outdoor")), "hilly-power.gpx"));
        var rider = Rider.Default with { AssistanceFactor = 2 };
        var spectrum = new LoadSpectrum(Unit);
        spectrum.Add(new RoadRunner(Unit, Deviation.None, UnitOnRoadOptions.Default).Run(RoadLoad.Run(RideFile.Read("hilly", stream), rider, Unit, new RoadLoadOptions { UseRecordedPower = false }), rider));
        return spectrum;
    }

    /// <summary>Riders who use up 1, 2, … 11 parts of every element per kilometre.</summary>
    static IReadOnlyList<RiderWear> Riders(double part) => [.. Enumerable.Range(1, 11).Select(i => new RiderWear(i, [.. Rig.WearOf(i, Road).PerKm.Select(d => (IReadOnlyDictionary<string, double>)d.ToDictionary(e => e.Key, _ => i * part))]))];

    static ElementHours Of(IReadOnlyList<ElementHours> elements, string id) => elements.Single(e => e.Id == id);

    /// <summary>Of eleven riders nine in ten stay at or below the tenth: by hand from the damage of an hour.</summary>
    [Fact]
    public void Hours_and_cover_by_hand()
    {
        CyclePoint[] points = [new(40, 8, 300), new(0, 0, 300)];
        var perHour = new UnitLife(Unit, Plan).Damages(new RigRun(Unit, new()).Settled(points))["bearing-middle-shaft-bearing"] * 6;
        var needed = Of(Rig.Of(Riders(1e-6), 1000, 0.9, points, 50, Road), "bearing-middle-shaft-bearing");
        Assert.Equal(10e-6 * 1000 / perHour, needed.HoursNeeded, 1e-9 / perHour);
        Assert.Equal(11.0 / 11, Of(Rig.Of(Riders(1e-6), 1000, 0.9, points, 11.001e-3 / perHour, Road), needed.Id).Covered);
        Assert.Equal(5.0 / 11, Of(Rig.Of(Riders(1e-6), 1000, 0.9, points, 5.001e-3 / perHour, Road), needed.Id).Covered);
        Assert.Equal(Math.Cbrt(needed.HoursNeeded / 50), needed.TorqueRatio!.Value, 1e-9);
        Assert.InRange(needed.HoursNeeded, needed.HoursInterval.Lower, needed.HoursInterval.Upper);
    }

    /// <summary>Twice the torque does 2³ to a ball bearing and 2⁸·⁷³⁸ to a steel root (slopes of the plan): no single torque is right for both.</summary>
    [Fact]
    public void Twice_the_torque_is_another_acceleration_for_every_slope()
    {
        // Cool enough that steel and balls feel the torque alone.
        var (light, heavy) = (Hours(20), Hours(40));
        Assert.Equal(8, Of(light, "bearing-middle-shaft-bearing").HoursNeeded / Of(heavy, "bearing-middle-shaft-bearing").HoursNeeded, 0.05);
        var root = Of(light, "stage-2-wheel-root");
        Assert.Equal(Math.Pow(2, root.Slope), root.HoursNeeded / Of(heavy, root.Id).HoursNeeded, 0.02 * Math.Pow(2, root.Slope));

        static IReadOnlyList<ElementHours> Hours(double torqueNm) => Rig.Of(Riders(1e-7), 1000, 0.9, [new(torqueNm, 7, 60)], null, Road);
    }

    [Fact]
    public void More_of_the_same_covers_no_fewer_riders()
    {
        CyclePoint[] points = [new(30, 8, 60)];
        var riders = Riders(1e-6);
        var before = 0.0;
        foreach (var hours in new[] { 1.0, 10, 100, 1000, 10_000 })
        {
            var covered = Of(Rig.Of(riders, 5000, 0.9, points, hours, Road), "bearing-middle-shaft-bearing");
            Assert.InRange(covered.Covered!.Value, before, 1);
            Assert.InRange(covered.Covered!.Value, covered.CoveredInterval!.Lower, covered.CoveredInterval.Upper);
            before = covered.Covered!.Value;
        }

        Assert.Equal(1, before);
    }

    /// <summary>On for as long as the winding bears it, and not a second longer.</summary>
    [Fact]
    public void One_torque_is_on_as_long_as_the_winding_bears()
    {
        var limit = Unit.Motor.DeratingStartC - 10;
        var points = Rig.OnAndOff(Unit.Rating.MaximumTorqueNm, 7.3)!;
        Assert.Equal(600, points.Sum(p => p.HoldS));
        Assert.True(Rig.PeakWindingC(points) <= limit);
        Assert.True(Rig.PeakWindingC([points[0] with { HoldS = points[0].HoldS + 1 }, points[1] with { HoldS = points[1].HoldS - 1 }]) > limit);
        Assert.Single(Rig.OnAndOff(5, 7.3)!);
        Assert.Null(new RigHours(Unit, Plan, new() { WindingC = 24 }).OnAndOff(80, 7.3));
    }
}
