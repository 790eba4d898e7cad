using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Road;
using Roadproof.Plant.Riders;

namespace Roadproof.Plant.Tests;

public sealed class DemoRidesTests
{
    static readonly DateTimeOffset Morning = new(2031, 3, 4, 6, 0, 0, TimeSpan.FromHours(1));

    static IEnumerable<(string Name, Ride Ride)> Rides(ulong seed) => DemoRides.Of(seed, Morning).Select(r => (r.Name, RideFile.Read(r.Name, new MemoryStream(r.Octets))));

    [Fact]
    public void The_same_seed_gives_the_same_rides_and_another_seed_others()
    {
        var (first, again, other) = (DemoRides.Of(3, Morning), DemoRides.Of(3, Morning), DemoRides.Of(4, Morning));
        Assert.All(first.Zip(again), pair => Assert.True(pair.First.Name == pair.Second.Name && pair.First.Octets.AsSpan().SequenceEqual(pair.Second.Octets)));
        Assert.All(first.Zip(other), pair => Assert.False(pair.First.Octets.AsSpan().SequenceEqual(pair.Second.Octets)));
    }

    [Fact]
    public void Every_place_lies_in_the_ocean()
    {
        // No land lies within 2600 km of the spot (48.88° S, 123.39° W; common knowledge of geographers, from memory); a degree is 111 km.
        foreach (var (name, ride) in Rides(7))
            Assert.All(ride.Fixes, f => Assert.True(Math.Abs(f.LatitudeDeg + 48.88) < 1.5 && Math.Abs(f.LongitudeDeg + 123.39) < 2.5, name));
    }

    [Theory]
    [InlineData(1ul)]
    [InlineData(2ul)]
    [InlineData(15ul)]
    public void A_ride_is_one_that_somebody_could_ride(ulong seed)
    {
        var rides = Rides(seed).ToDictionary(r => r.Name, r => RoadLoad.Run(r.Ride, Rider.Default, MidDrive.Unit));
        Assert.Equal(12, rides.Count);
        foreach (var (name, load) in rides)
        {
            Assert.True(load.TimeS.Length is >= 599 and <= 3600, $"{name}: {load.TimeS.Length} s");
            Assert.True(load.SpeedMps.Max() < 60 / 3.6, $"{name}: {3.6 * load.SpeedMps.Max()} km/h");
            Assert.True(load.Summary.MeanSpeedMps is > 9 / 3.6 and < 32 / 3.6, $"{name}: {3.6 * load.Summary.MeanSpeedMps} km/h");
            Assert.True(load.Gradient.Max() < 0.16, $"{name}: gradient {load.Gradient.Max()}");
            Assert.DoesNotContain(load.Summary.Repaired, note => note.Contains("dropped", StringComparison.Ordinal) || note.Contains("gap", StringComparison.Ordinal));
        }

        double Climb(string kind) => rides.Where(r => r.Key.StartsWith(kind, StringComparison.Ordinal)).Average(r => r.Value.Summary.AscentM!.Value / (r.Value.Summary.DistanceM / 1000));
        Assert.True(Climb("city") < Climb("hills") && Climb("hills") < Climb("pass"), $"{Climb("city")} {Climb("hills")} {Climb("pass")} m a km");
        Assert.True(rides["city-home.csv"].Summary.Stops > 5);
    }
}
