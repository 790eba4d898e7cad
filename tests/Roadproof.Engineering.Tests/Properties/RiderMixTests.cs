using Roadproof.Engineering.Life;
using Roadproof.Engineering.Road;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class RiderMixTests
{
    static readonly RiderMix Mix = new()
    {
        Name = "test", Origin = "test",
        RiderMassKg = new() { Mean = 75, StandardDeviation = 14, Least = 45, Most = 120 },
        BikeMassKg = new() { Mean = 26, StandardDeviation = 0, Least = 20, Most = 30 },
        CdaM2 = new() { Mean = 0.5, StandardDeviation = 0.06, Least = 0.3, Most = 0.8 },
        RollingCoefficient = new() { Mean = 0.007, StandardDeviation = 0.001, Least = 0.004, Most = 0.01 },
        CadenceRpm = new() { Mean = 70, StandardDeviation = 8, Least = 50, Most = 95 },
        AirC = new() { Mean = 13, StandardDeviation = 8, Least = -10, Most = 35 },
        Assistance = [new() { Factor = 1, Share = 3 }, new() { Factor = 3, Share = 1 }],
        Terrains = [new() { Name = "flat", BelowAscentPerKmM = 6, Share = 0.75 }, new() { Name = "steep", BelowAscentPerKmM = 1000, Share = 0.25 }],
    };

    [Fact]
    public void Every_slice_of_every_variable_is_hit_once()
    {
        var rows = LatinHypercube.Sample(50, 4, 7);
        for (var v = 0; v < 4; v++) Assert.Equal(Enumerable.Range(0, 50), rows.Select(r => (int)(r[v] * 50)).Order());
        Assert.Equal(rows[3], LatinHypercube.Sample(50, 4, 7)[3]);
        Assert.NotEqual(rows[3], LatinHypercube.Sample(50, 4, 8)[3]);
    }

    [Fact]
    public void Drawn_riders_are_those_of_the_mix()
    {
        var riders = Mix.Draw(400, 3);
        Assert.Equal(75, riders.Average(r => r.Rider.RiderMassKg), 0.7);
        Assert.All(riders, r => Assert.InRange(r.Rider.RiderMassKg, 45, 120));
        Assert.All(riders, r => Assert.Equal(26, r.Rider.BikeMassKg));
        Assert.Equal(300, riders.Count(r => r.Rider.AssistanceFactor == 1), 1.0);
        Assert.Equal(100, riders.Count(r => r.Terrain == "steep"), 1.0);
    }

    /// <summary>No variable is drawn along with another: the largest correlation of 4000 independent pairs stays below 4/√4000.</summary>
    [Fact]
    public void Every_variable_is_drawn_by_itself()
    {
        var mix = Mix with { MotorFollows = new() { Mean = 0.4, StandardDeviation = 0.15, Least = 0, Most = 1 }, HeadwindMps = new() { Mean = 0, StandardDeviation = 1.5, Least = -5, Most = 5 } };
        var riders = mix.Draw(4000, 5);
        Func<MixedRider, double>[] variables =
        [
            r => r.Rider.RiderMassKg, r => r.Rider.CdaM2, r => r.Rider.RollingCoefficient, r => r.Rider.PreferredCadenceRadPerS, r => r.Rider.AssistanceFactor, r => r.AirC, r => r.Terrain == "flat" ? 0 : 1, r => r.Which, r => r.MotorFollows,
            r => r.HeadwindMps,
        ];
        var values = variables.Select(v => riders.Select(v).ToArray()).ToList();
        for (var i = 0; i < values.Count; i++)
        {
            for (var j = 0; j < i; j++) Assert.InRange(MathNet.Numerics.Statistics.Correlation.Pearson(values[i], values[j]), -0.063, 0.063);
        }

        Assert.Equal(0, riders.Average(r => r.HeadwindMps), 0.02);
        Assert.All(Mix.Draw(50, 5), r => Assert.Equal(0, r.HeadwindMps));
    }

    [Fact]
    public void A_ride_belongs_to_the_first_terrain_that_takes_it()
    {
        Assert.Equal("flat", Mix.TerrainOf(5.9));
        Assert.Equal("steep", Mix.TerrainOf(6));
        Assert.Null(Mix.TerrainOf(2000));
    }

    /// <summary>Ten riders of known damage: percentiles, who goes first and whose share can be counted by hand.</summary>
    [Fact]
    public void What_breaks_first_for_whom_by_hand()
    {
        var damages = Enumerable.Range(0, 11).Select(i => new MixedDamage(
            new(i, Rider.Default with { RiderMassKg = 60 + i, AssistanceFactor = i }, 15, i < 8 ? "flat" : "steep", 0, 0.4), "ride", 1, 5, 40,
            new Dictionary<string, double> { ["tooth"] = i * 1e-5, ["bearing"] = 4.5e-5 })).ToList();
        var elements = MixedLife.Of(damages, new Dictionary<string, string> { ["tooth"] = "Tooth", ["bearing"] = "Bearing" });
        var (tooth, bearing) = (elements.Single(e => e.Id == "tooth"), elements.Single(e => e.Id == "bearing"));
        Assert.Equal(6.0 / 11, tooth.FirstFor, 12);
        Assert.Equal(5.0 / 11, bearing.FirstFor, 12);
        Assert.Equal(1 / 9e-5, tooth.LifeKm10!.Value, 6);
        Assert.Equal(1 / 5e-5, tooth.LifeKm50!.Value, 6);
        Assert.Equal(1 / 5e-5, tooth.MeanLifeKm!.Value, 6);
        Assert.Equal(1 / 4.5e-5, bearing.LifeKm10!.Value, 6);
        Assert.Equal(27.0 / 55, tooth.TerrainShares["steep"], 12);
        Assert.Equal(40.0 / 55, tooth.HeavyShare, 12);
        Assert.Equal("tooth", elements[0].Id);
    }
}
