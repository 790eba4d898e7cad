using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Road;
using Roadproof.Engineering.Statistics;
using Roadproof.Engineering.Tests.Fixtures;
using static Roadproof.Engineering.Tests.Formats.RideText;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class LifeDistanceTests
{
    /// <summary>Ranges drawn from an exponential: the largest of a hundred times as many is known (its logarithm's mean, β·(ln n + 0.577)), and the tail finds it.</summary>
    [Fact]
    public void The_largest_range_of_a_longer_history_is_found()
    {
        const double beta = 12;
        var noise = new SeededNoise(5, "ranges");
        var found = Enumerable.Range(0, 60).Select(_ => LifeDistance.LargestNm([.. Enumerable.Range(0, 3000).Select(_ => new CountedCycle(-beta * Math.Log(noise.Share()), 0, 1))], 100)!.Value).Average();
        // Expected once in n: β·ln n.
        Assert.Equal(beta * Math.Log(3000 * 100), found, 4.0);
    }

    [Fact]
    public void Too_few_cycles_tell_nothing() => Assert.Null(LifeDistance.LargestNm([new(30, 0, 5)], 100));

    [Fact]
    public void Damage_grows_with_the_distance_and_rides_that_differ_widen_it()
    {
        var life = new UnitLife(MidDrive.Unit, LifeOf85.Plan);
        var (even, hilly) = (Spectrum(4, 0.03), Spectrum(4, 0.08));
        var alike = LifeDistance.Of([even, even, even], life, 20_000);
        var different = LifeDistance.Of([even, hilly, even, hilly], life, 20_000);
        var id = "stage-2-pinion-root";
        var one = life.Of(even).Single(e => e.Id == id);
        var at = alike.Elements.Single(e => e.Id == id);
        Assert.Equal(one.Damage * 20_000 / (even.DistanceM / 1000), at.Damage, 1e-9 * at.Damage);
        Assert.Equal(one.DamageInterval.Upper / one.Damage, at.Interval.Upper / at.Damage, 1e-6);
        var wide = different.Elements.Single(e => e.Id == id);
        Assert.True(wide.Interval.Upper / wide.Damage > 1.5 * at.Interval.Upper / at.Damage);

        var times = 20_000 / (3 * even.DistanceM / 1000);
        Assert.Equal(3 * times * even.WindingSwings.Total, alike.WindingSwings.Sum(s => s.Count), 1e-6);
        Assert.Equal(3 * times * even.ControllerSwings.Total, alike.ControllerSwings.Sum(s => s.Count), 1e-6);
    }

    /// <summary>No start at full torque in some kilometres was told as "0 (0 to 0)" of a life: half of chi-squared's 97.5 % quantile at 2 degrees of freedom is −ln 0.025.</summary>
    [Fact]
    public void None_counted_is_no_promise_of_none()
    {
        var life = new UnitLife(MidDrive.Unit, LifeOf85.Plan);
        var even = Spectrum(4, 0.03);
        foreach (var groups in new[] { new[] { even }, [even, even, even] })
        {
            var at = LifeDistance.Of(groups, life, 20_000);
            var times = 20_000 / (groups.Length * even.DistanceM / 1000);
            Assert.Equal((0, 0, 0), (at.FullStarts, at.FullStartsInterval.Lower, at.CutOffs));
            Assert.Equal(-Math.Log(0.025) * times, at.FullStartsInterval.Upper, 1e-6 * times);
            Assert.Equal(-Math.Log(0.025) * times, at.CutOffsInterval.Upper, 1e-6 * times);
        }
    }

    static LoadSpectrum Spectrum(double speedMps, double slope)
    {
        var spectrum = new LoadSpectrum(MidDrive.Unit);
        var load = RoadLoad.Run(Read(Csv(Steady(600, speedMps, slope))), Rider.Default, MidDrive.Unit, new RoadLoadOptions { AirTemperatureC = 20 });
        spectrum.Add(new RoadRunner(MidDrive.Unit, Deviation.None, UnitOnRoadOptions.Default).Run(load, Rider.Default));
        return spectrum;
    }
}
