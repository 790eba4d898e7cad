using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Road;

/// <summary>Who rides how much: riders, assistance, terrains and climates as distributions that stand for all bicycles of a product.</summary>
/// <remarks>Variables are taken as independent of each other: a mix that needs more is several mixes.</remarks>
public sealed record RiderMix
{
    public required string Name { get; init; }

    /// <summary>Where the figures come from.</summary>
    public required string Origin { get; init; }
    public required Spread RiderMassKg { get; init; }
    public required Spread BikeMassKg { get; init; }
    public required Spread CdaM2 { get; init; }
    public required Spread RollingCoefficient { get; init; }
    public required Spread CadenceRpm { get; init; }
    public required Spread AirC { get; init; }

    /// <summary>Share of the motor's following of the legs' pushes; null for the usual.</summary>
    public Spread? MotorFollows { get; init; }

    /// <summary>Along the way of a ride, m/s, against the rider; null for still air. On the whole it is near 0: riders come home again.</summary>
    public Spread? HeadwindMps { get; init; }
    public required IReadOnlyList<AssistanceShare> Assistance { get; init; }

    /// <summary>Kinds of ride by how hilly they are; every ride belongs to the first that takes it.</summary>
    public required IReadOnlyList<TerrainShare> Terrains { get; init; }

    const int Variables = 11;

    /// <summary>Riders of the mix, each as likely as the other; Latin hypercube.</summary>
    /// <param name="samples">How many.</param>
    public IReadOnlyList<MixedRider> Draw(int samples, ulong seed)
    {
        var draws = LatinHypercube.Sample(samples, Variables, seed);
        return [.. draws.Select((u, i) => new MixedRider(
            i,
            Rider.Default with
            {
                RiderMassKg = RiderMassKg.At(u[0]), BikeMassKg = BikeMassKg.At(u[1]), CdaM2 = CdaM2.At(u[2]), RollingCoefficient = RollingCoefficient.At(u[3]),
                PreferredCadenceRadPerS = CadenceRpm.At(u[4]) * Quantities.ReferenceConditions.RadPerSPerRpm,
                AssistanceFactor = Of(Assistance, a => a.Share, u[5]).Factor,
            },
            AirC.At(u[6]), Of(Terrains, t => t.Share, u[7]).Name, u[8], MotorFollows?.At(u[9]) ?? Pulsation.Default.MotorFollows, HeadwindMps?.At(u[10]) ?? 0))];
    }

    /// <summary>Name of the terrain that takes a ride of so many metres up a kilometre; null where none does.</summary>
    public string? TerrainOf(double ascentPerKmM) => Terrains.FirstOrDefault(t => ascentPerKmM < t.BelowAscentPerKmM)?.Name;

    static T Of<T>(IReadOnlyList<T> parts, Func<T, double> share, double u)
    {
        var at = u * parts.Sum(share);
        foreach (var part in parts)
        {
            at -= share(part);
            if (at < 0) return part;
        }

        return parts[^1];
    }
}

/// <summary>A quantity that differs from rider to rider: normal, cut off at both ends.</summary>
public sealed record Spread
{
    public required double Mean { get; init; }
    public required double StandardDeviation { get; init; }
    public required double Least { get; init; }
    public required double Most { get; init; }

    /// <summary>The value that a share of all lies below.</summary>
    public double At(double share)
    {
        if (StandardDeviation == 0) return Math.Clamp(Mean, Least, Most);
        var (from, to) = (Normal.Below((Least - Mean) / StandardDeviation), Normal.Below((Most - Mean) / StandardDeviation));
        return Math.Clamp(Mean + StandardDeviation * Normal.Quantile(from + share * (to - from)), Least, Most);
    }
}

/// <summary>How many ride at a level of assistance.</summary>
public sealed record AssistanceShare
{
    /// <summary>Motor power over rider power.</summary>
    public required double Factor { get; init; }
    public required double Share { get; init; }
}

/// <summary>How much is ridden in a kind of terrain.</summary>
public sealed record TerrainShare
{
    public required string Name { get; init; }

    /// <summary>Rides with less ascent than this per kilometre, m/km, that no terrain before it takes.</summary>
    public required double BelowAscentPerKmM { get; init; }
    public required double Share { get; init; }
}

/// <summary>One drawn rider.</summary>
/// <param name="Terrain">Where the ride is to be.</param>
/// <param name="Which">Which of the rides of that terrain, as a share of their count.</param>
public sealed record MixedRider(int Number, Rider Rider, double AirC, string Terrain, double Which, double MotorFollows, double HeadwindMps = 0);
