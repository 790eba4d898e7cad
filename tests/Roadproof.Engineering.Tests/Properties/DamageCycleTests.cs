using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
using Roadproof.Engineering.Statistics;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class DamageCycleTests
{
    static readonly DriveUnit Unit = MidDrive.Unit with { Gears = [MidDrive.Unit.Gears[0] with { WheelToHousingKPerW = 2.5, WheelJPerK = 60 }, MidDrive.Unit.Gears[1]] };

    static IReadOnlyList<LoadSpectrum> RealRides(double assist = 2.5)
    {
        var folder = DataSets.Folder(Path.Combine("rides", "outdoor"));
        var runner = new RoadRunner(Unit, Deviation.None, UnitOnRoadOptions.Default);
        var rider = Rider.Default with { AssistanceFactor = assist };
        return [.. new[] { "hilly-power.gpx", "outdoor-1.fit", "outdoor-3.fit" }.Select(file =>
        {
            using var stream = File.OpenRead(Path.Combine(folder, file));
            var spectrum = new LoadSpectrum(Unit);
            spectrum.Add(runner.Run(RoadLoad.Run(RideFile.Read(file, stream), rider, Unit, new RoadLoadOptions { UseRecordedPower = false }), rider));
            return spectrum;
        })];
    }

    static LoadSpectrum Merged(IEnumerable<LoadSpectrum> rides)
    {
        var all = new LoadSpectrum(Unit);
        foreach (var ride in rides) all.Add(ride);
        return all;
    }

    [Theory]
    [InlineData(90, false)]
    [InlineData(600, true)]
    public void A_cycle_of_real_rides_keeps_the_proportions_or_says_what_stands_in_the_way(double durationS, bool settled)
    {
        var rides = RealRides();
        var cycle = new DamageCycle(Unit, LifeOf85.Plan, new()).Design(Merged(rides), durationS, settled, rides);
        Assert.Equal(durationS, cycle.DurationS, 1.0);
        Assert.True(cycle.LargestError <= DamageCycle.Tolerance || cycle.Binding is { Length: > 20 }, $"{cycle.LargestError}");
        Assert.InRange(cycle.EquivalentM, cycle.EquivalentIntervalM.Lower, cycle.EquivalentIntervalM.Upper);
        Assert.True(cycle.PeakWindingC <= Unit.Motor.DeratingStartC);
    }

    /// <summary>A durability rig's hours cost: of the blocks that keep the proportions nothing drawn about the designed one stands for much more road.</summary>
    [Fact]
    public void A_block_stands_for_about_as_much_road_as_its_limits_allow()
    {
        var road = Merged(RealRides());
        var designer = new DamageCycle(Unit, LifeOf85.Plan, new());
        var block = designer.Design(road, 600, settled: true);
        Assert.True(block.LargestError <= DamageCycle.Tolerance, $"{block.LargestError}");
        var noise = new SeededNoise(8, "blocks about the designed one");
        var (kept, farthestM) = (0, 0.0);
        for (var draw = 0; draw < 80; draw++)
        {
            List<CyclePoint> points = [.. block.Points.Select(p => p.TorqueNm > 0 ? p with { TorqueNm = Math.Min(p.TorqueNm * Math.Exp(0.04 * noise.Normal()), 85), HoldS = Math.Max(2, Math.Round(p.HoldS * Math.Exp(0.15 * noise.Normal()))) } : p)];
            var restS = points[^1].HoldS + 600 - points.Sum(p => p.HoldS);
            if (restS < 1) continue;
            points[^1] = points[^1] with { HoldS = restS };
            var other = designer.Compare(points, road, settled: true);
            if (other.LargestError > DamageCycle.Tolerance || other.PeakWindingC > Unit.Motor.DeratingStartC - 10) continue;
            kept++;
            farthestM = Math.Max(farthestM, other.EquivalentM);
        }

        Assert.True(kept > 5, $"{kept}");
        Assert.True(farthestM < 1.15 * block.EquivalentM, $"{farthestM} {block.EquivalentM}");
    }

    [Fact]
    public void A_long_block_is_pieces_and_one_that_is_slower_than_the_road_says_so()
    {
        var road = Merged(RealRides());
        var (piece, block) = (new DamageCycle(Unit, LifeOf85.Plan, new()).Design(road, 600, settled: true), new DamageCycle(Unit, LifeOf85.Plan, new()).Design(road, 1800, settled: true));
        Assert.Equal(1800, block.DurationS, 1.0);
        Assert.Equal(3 * piece.EquivalentM, block.EquivalentM, 0.03 * block.EquivalentM);
        Assert.Equal(piece.EquivalentM / piece.DurationS < road.DistanceM / road.RidingS, piece.Warnings.Any(w => w.Contains("it takes longer than the road", StringComparison.Ordinal)));
        var light = new DamageCycle(Unit, LifeOf85.Plan, new()).Compare([new(4, 8, 60), new(0, 0, 540)], road, settled: true);
        Assert.Contains(light.Warnings, w => w.Contains("it takes longer than the road", StringComparison.Ordinal));
    }

    /// <summary>What a cycle does is counted on the cycle itself: the same points held against the same road give the same figures.</summary>
    [Fact]
    public void A_designed_cycle_compares_as_it_was_told()
    {
        var rides = RealRides();
        var designer = new DamageCycle(Unit, LifeOf85.Plan, new());
        var designed = designer.Design(Merged(rides), 90, settled: false, rides);
        var compared = designer.Compare(designed.Points, Merged(rides), settled: false, rides);
        Assert.Equal(designed.Elements, compared.Elements);
        Assert.Equal(designed.EquivalentM, compared.EquivalentM);
        Assert.True(designed.LargestError <= DamageCycle.Tolerance, $"{designed.LargestError}");
    }

    /// <summary>Twice the passes stand for twice the road; and no rest, no torque stands for none.</summary>
    [Fact]
    public void A_cycle_twice_as_long_stands_for_twice_as_much()
    {
        var rides = RealRides();
        var designer = new DamageCycle(Unit, LifeOf85.Plan with { Clutch = null }, new());
        CyclePoint[] one = [new(40, 8, 30), new(0, 0, 30)];
        CyclePoint[] two = [new(40, 8, 60), new(0, 0, 60)];
        Assert.Equal(2, designer.Compare(two, Merged(rides), true).EquivalentM / designer.Compare(one, Merged(rides), true).EquivalentM, 0.05);
    }

    [Fact]
    public void What_a_rig_cannot_do_is_said()
    {
        var cycle = new DamageCycle(Unit, LifeOf85.Plan, new()).Design(Merged(RealRides()), 90, settled: false);
        Assert.Contains("age", cycle.Elements.Single(e => e.Id == "ageing-winding-insulation").WhyNot);
        Assert.Contains("push", cycle.Elements.Single(e => e.Id == "bent-crank-axle").WhyNot);
        Assert.Contains(cycle.Warnings, w => w.Contains("One ride"));
    }

    [Fact]
    public void A_cool_limit_binds()
    {
        var cycle = new DamageCycle(Unit, LifeOf85.Plan, new() { WindingC = 60 }).Design(Merged(RealRides(4)), 600, settled: true);
        Assert.True(cycle.PeakWindingC < 66, $"{cycle.PeakWindingC}");
    }

    [Theory]
    [InlineData(5)]
    [InlineData(10_000)]
    public void A_length_that_cannot_be_is_refused(double durationS) =>
        Assert.Contains(Assert.Throws<InputException>(() => new DamageCycle(Unit, LifeOf85.Plan, new()).Design(Merged(RealRides()), durationS, settled: false)).Errors, e => e.Column == "durationS");

    [Fact]
    public void Limits_that_cannot_be_are_refused_at_once() =>
        Assert.Equal(3, Assert.Throws<InputException>(() => new DamageCycle(Unit, LifeOf85.Plan, new() { MaximumTorqueNm = -1, AirMps = 9, ShortestHoldS = 0 })).Errors.Count);
}
