using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;
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
        foreach (var p in cycle.Points.Take(12)) TestContext.Current.SendDiagnosticMessage($"{p.TorqueNm:0.0} N·m {p.SpeedRadPerS:0.0} rad/s {p.HoldS:0} s");
        foreach (var e in cycle.Elements) TestContext.Current.SendDiagnosticMessage($"{e.Id} {e.EquivalentM:0} m ratio {e.Ratio:0.00} {e.WhyNot}");
        TestContext.Current.SendDiagnosticMessage($"{cycle.EquivalentM:0} m [{cycle.EquivalentIntervalM.Lower:0}, {cycle.EquivalentIntervalM.Upper:0}] winding {cycle.PeakWindingC:0.0} error {cycle.LargestError:0.000} {cycle.Binding}");
        Assert.Equal(durationS, cycle.DurationS, 1.0);
        Assert.True(cycle.LargestError <= DamageCycle.Tolerance || cycle.Binding is { Length: > 20 }, $"{cycle.LargestError}");
        Assert.InRange(cycle.EquivalentM, cycle.EquivalentIntervalM.Lower, cycle.EquivalentIntervalM.Upper);
        Assert.True(cycle.PeakWindingC <= Unit.Motor.DeratingStartC);
    }
}
