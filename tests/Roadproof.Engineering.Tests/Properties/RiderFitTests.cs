using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>
/// Drag area and rolling resistance found again in drawn rides whose truth is known: hills, two speeds, gusts and a height that wander for minutes, a power meter with noise.
/// The recording is read where it lies; that its rider is a sporty one on a light bicycle is the data's own description (75 + 8 kg: our guess).
/// </summary>
public sealed class RiderFitTests
{
    const double Cda = 0.45, Crr = 0.006;
    static readonly Rider Sporty = Rider.Default with { RiderMassKg = 75, BikeMassKg = 8 };

    // 240 rides: the true value must lie in the 95 % interval of 90 to 99 % of them (binomial, ±3 standard deviations around 95 %: 91 to 99 %).
    [Fact]
    public void The_interval_holds_the_truth_as_often_as_it_says()
    {
        const int rides = 240;
        var (cdaHeld, crrHeld, told, cdaSum, crrSum) = (0, 0, 0, 0.0, 0.0);
        var one = new Lock();
        Parallel.For(0, rides, new ParallelOptions { MaxDegreeOfParallelism = 2 }, seed =>
        {
            var fit = RiderFit.Of(Drawn(seed, 5400, 3.5, 10), Sporty, new() { AirTemperatureC = 15 });
            lock (one)
            {
                if (fit.CannotTell is null) told++;
                cdaSum += fit.CdaM2!.Value.Value;
                crrSum += fit.RollingCoefficient!.Value.Value;
                if (fit.CdaM2.Value is var c && c.Lower <= Cda && Cda <= c.Upper) cdaHeld++;
                if (fit.RollingCoefficient.Value is var r && r.Lower <= Crr && Crr <= r.Upper) crrHeld++;
            }
        });
        Assert.InRange(cdaHeld / (double)rides, 0.90, 0.99);
        Assert.InRange(crrHeld / (double)rides, 0.90, 0.99);
        Assert.Equal(Cda, cdaSum / rides, 0.02 * Cda);
        Assert.Equal(Crr, crrSum / rides, 0.06 * Crr); // light braking goes unseen: 4.9 %
        Assert.True(told > 0.5 * rides, $"{told} of {rides}");
    }

    // At one speed all the way air and tyres are one: a guess would look like an answer.
    [Fact]
    public void A_ride_at_one_speed_does_not_tell_the_two_apart()
    {
        var told = Enumerable.Range(0, 20).Select(seed => RiderFit.Of(Drawn(seed, 2400, 6.4, 6.6), Sporty, new() { AirTemperatureC = 15 })).ToList();
        Assert.All(told, fit => Assert.Contains("Ride half an hour or more, steadily, at two speeds", fit.CannotTell));
    }

    [Fact]
    public void A_short_ride_is_not_enough()
    {
        var fit = RiderFit.Of(Drawn(1, 600, 4, 9), Sporty);
        Assert.Null(fit.CdaM2);
        Assert.Matches("^Only [0-9]+ whole minutes of riding with power and without brakes, 20 are needed", fit.CannotTell);
    }

    // Without noise nothing stands between the ride and the truth but the smoothing of speed and slope.
    [Fact]
    public void A_ride_without_noise_gives_the_truth()
    {
        var fit = RiderFit.Of(Drawn(3, 3600, 4, 9, noise: 0), Sporty, new() { AirTemperatureC = 15 });
        Assert.Equal(Cda, fit.CdaM2!.Value.Value, 0.01 * Cda);
        Assert.Equal(Crr, fit.RollingCoefficient!.Value.Value, 0.03 * Crr);
    }

    // Who brakes downhill loses energy to the brakes, which must not be counted as drag.
    [Fact]
    public void Braking_is_not_taken_for_drag()
    {
        var fit = RiderFit.Of(Drawn(5, 9000, 4, 9, noise: 0, hillM: 12), Sporty, new() { AirTemperatureC = 15 });
        Assert.Equal(Cda, fit.CdaM2!.Value.Value, 0.02 * Cda);
        Assert.Equal(Crr, fit.RollingCoefficient!.Value.Value, 0.05 * Crr);
    }

    [Theory]
    [InlineData("seconds,distance,altitude\n0,0,10\n10,50,10\n20,100,10\n", "no power")]
    [InlineData("seconds,distance,power\n0,0,10\n10,50,10\n20,100,10\n", "no elevation")]
    [InlineData("seconds,power\n0,100\n1,100\n2,100\n", "no road")]
    public void What_it_takes_is_asked_for(string text, string found) =>
        Assert.Contains("found " + found, Assert.Throws<InputException>(() => RiderFit.Of(Formats.RideText.Read(text), Sporty)).Message);

    /// <summary>A ride north from 50°: speed wanders between slow and fast, hills of a kilometre and more, power from the balance; brakes where it would be negative.</summary>
    static Ride Drawn(int seed, int seconds, double slowMps, double fastMps, double noise = 1, double hillM = 4)
    {
        var random = new Random(seed);
        var r = new RoadResistance { MassKg = 83, CdaM2 = Cda, RollingCoefficient = Crr, DensityKgPerM3 = AirDensity.KgPerM3(100, 15) };
        var (alongM, wind, powerError, heightError, phase) = (0.0, 0.0, 0.0, 0.0, 6.3 * random.NextDouble());
        var (period, other) = (500 + (200 * random.NextDouble()), 130 + (40 * random.NextDouble()));
        var fixes = new List<RideFix>(seconds);
        for (var s = 0; s < seconds; s++)
        {
            double SpeedAt(double t) => ((slowMps + fastMps) / 2) + ((fastMps - slowMps) / 2 * ((0.8 * Math.Sin((6.283 * t / period) + phase)) + (0.2 * Math.Sin(6.283 * t / other))));
            var speedMps = SpeedAt(s);
            alongM += (SpeedAt(s) + SpeedAt(s - 1)) / 2;
            double HeightAt(double x) => 100 + (hillM * Math.Sin(x / 400)) + (hillM / 2 * Math.Sin(x / 230));
            var gradient = (HeightAt(alongM + 1) - HeightAt(alongM - 1)) / 2;
            wind = Wander(wind, 0.4, 60);
            powerError = Wander(powerError, 6, 20);
            heightError = Wander(heightError, 0.4, 300);
            var powerW = RoadPower.At(speedMps, gradient, r, SpeedAt(s + 0.5) - SpeedAt(s - 0.5), noise * wind).TotalW + (noise * powerError);
            fixes.Add(new RideFix
            {
                Line = s, TimeS = s, LatitudeDeg = 50 + (alongM / 111229.03), LongitudeDeg = 5, RecordedSpeedMps = speedMps,
                ElevationM = noise > 0 ? Math.Round((HeightAt(alongM) + heightError) * 5) / 5 : HeightAt(alongM), PowerW = Math.Max(0, noise > 0 ? Math.Round(powerW) : powerW),
            });
        }

        return new Ride { Name = "drawn", Format = "drawn", Fixes = fixes, Repaired = [] };

        // A first-order wander with a standard deviation and a time over which it forgets itself.
        double Wander(double value, double sd, double forgetsS)
        {
            var keeps = Math.Exp(-1 / forgetsS);
            var normal = Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
            return (keeps * value) + (sd * Math.Sqrt(1 - (keeps * keeps)) * normal);
        }
    }
}
