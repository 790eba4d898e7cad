using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Road;
using Roadproof.Records.Rides;

namespace Roadproof.Records.Tests;

/// <summary>Real recordings that nobody here made, read only where they lie: what is kept of them loads a unit as they do.</summary>
public sealed class KeptLoadTests : IDisposable
{
    readonly TestFolder place = new();

    public void Dispose() => place.Dispose();

    public static TheoryData<string> Recordings() =>
    [
        "outdoor/hilly-power.gpx", "outdoor/hilly-power.fit", "outdoor/outdoor-1.fit", "outdoor/outdoor-2.fit", "outdoor/outdoor-3.fit", "outdoor/outdoor-4.fit", "outdoor/flat.fit", "outdoor/indoor.fit",
        "outdoor/short-below-sea.gpx", "outdoor/short-below-sea-power.tcx", "commute/trip-01.csv", "commute/trip-05.csv", "commute/trip-12.csv", "commute/trip-17.csv",
    ];

    /// <summary>Also where an original is loaded by the recorder's own speed, which counts only beside positions: the kept way is laid out on a line for it.</summary>
    [Theory]
    [MemberData(nameof(Recordings))]
    public void A_kept_ride_asks_the_same_work_within_a_thousandth(string file)
    {
        var bytes = File.ReadAllBytes(Path.Combine(DataSets.Folder("rides"), file));
        // Without places a wind has no direction: beside a kept ride the original is ridden in still air, too.
        var original = RoadLoad.Run(RideFile.Read(file, new MemoryStream(bytes)), Rider.Default, MidDrive.Unit, new RoadLoadOptions { Wind = new() { StationMps = 0 } });
        var store = new RideStore(place.Path, TimeProvider.System);
        var facts = store.Keep(file, bytes, null).Ride;
        var kept = RoadLoad.Run(store.Read(facts.Id)!, Rider.Default, MidDrive.Unit);

        Assert.Equal(1, kept.MotorEnergyJ / original.MotorEnergyJ, 0.001);
        Assert.Equal(1, kept.RiderEnergyJ / original.RiderEnergyJ, 0.001);
        Assert.Equal(original.Summary.DistanceM, kept.Summary.DistanceM, 0.01);
        Assert.Equal(original.Summary.MovingTimeS, kept.Summary.MovingTimeS);
        Assert.Equal(original.Summary.AscentM, facts.AscentM);
        Assert.Equal(original.TimeS.Length, kept.TimeS.Length);
        Assert.Equal(original.PeakMotorTorqueNm, kept.PeakMotorTorqueNm, 0.01 * original.PeakMotorTorqueNm);
    }
}
