using Roadproof.Engineering.Road;

namespace Roadproof.Engineering.Life;

/// <summary>What one rider of a mix used up on a ride.</summary>
/// <param name="PerKm">Damage of each element for a kilometre.</param>
public sealed record MixedDamage(MixedRider Rider, string Ride, double Km, double WhPerKm, double PeakWindingC, IReadOnlyDictionary<string, double> PerKm);

/// <summary>An element over all riders of a mix.</summary>
/// <param name="MeanLifeKm">Distance until a tenth failed if one bicycle rode like the whole mix.</param>
/// <param name="LifeKm10">One rider in ten uses it up sooner than this; null where these rides do not use it up.</param>
/// <param name="LifeKm50">Half of the riders do.</param>
/// <param name="LifeKm90">Nine in ten do.</param>
/// <param name="FirstFor">Share of the riders for whom it is the first to go.</param>
/// <param name="TerrainShares">Of the mix's damage, by terrain.</param>
/// <param name="HeavyShare">Of the mix's damage, what the heavier half of the riders does.</param>
/// <param name="StrongAssistanceShare">Of the mix's damage, what the half with more assistance does.</param>
public sealed record MixedElement(
    string Id, string Name, double? MeanLifeKm, double? LifeKm10, double? LifeKm50, double? LifeKm90, double FirstFor,
    IReadOnlyDictionary<string, double> TerrainShares, double HeavyShare, double StrongAssistanceShare);

/// <summary>What breaks first, for whom.</summary>
public static class MixedLife
{
    /// <summary>Each element over the riders of a mix, the shortest life of the tenth rider first.</summary>
    /// <param name="damages">One for each rider; all count alike.</param>
    /// <param name="names">Of the elements, by id.</param>
    public static IReadOnlyList<MixedElement> Of(IReadOnlyList<MixedDamage> damages, IReadOnlyDictionary<string, string> names)
    {
        ArgumentNullException.ThrowIfNull(damages);
        ArgumentNullException.ThrowIfNull(names);
        if (damages.Count == 0) return [];
        var first = damages.GroupBy(d => d.PerKm.MaxBy(e => e.Value).Key, StringComparer.Ordinal).ToDictionary(g => g.Key, g => (double)g.Count() / damages.Count, StringComparer.Ordinal);
        var heavy = UpperHalf(damages, d => d.Rider.Rider.RiderMassKg + d.Rider.Rider.BikeMassKg);
        var strong = UpperHalf(damages, d => d.Rider.Rider.AssistanceFactor + 1e-9 * d.Rider.Number);
        return
        [
            .. names.Select(name => One(name.Key, name.Value)).OrderBy(e => e.LifeKm10 ?? double.PositiveInfinity),
        ];

        MixedElement One(string id, string name)
        {
            var perKm = damages.Select(d => d.PerKm.GetValueOrDefault(id)).ToArray();
            var sum = perKm.Sum();
            var sorted = perKm.OrderDescending().ToArray();
            return new(id, name, Life(sum / perKm.Length), Life(At(sorted, 0.1)), Life(At(sorted, 0.5)), Life(At(sorted, 0.9)), first.GetValueOrDefault(id),
                damages.Zip(perKm).GroupBy(d => d.First.Rider.Terrain, StringComparer.Ordinal).ToDictionary(g => g.Key, g => sum > 0 ? g.Sum(d => d.Second) / sum : 0, StringComparer.Ordinal),
                ShareOf(heavy), ShareOf(strong));

            double ShareOf(HashSet<int> half) => sum > 0 ? damages.Zip(perKm).Where(d => half.Contains(d.First.Rider.Number)).Sum(d => d.Second) / sum : 0;
        }
    }

    static double? Life(double perKm) => perKm > 0 ? 1 / perKm : null;

    static HashSet<int> UpperHalf(IReadOnlyList<MixedDamage> damages, Func<MixedDamage, double> by) => [.. damages.OrderByDescending(by).Take(damages.Count / 2).Select(d => d.Rider.Number)];

    /// <summary>Straight between the sorted values.</summary>
    static double At(double[] sorted, double share)
    {
        if (sorted.Length == 1) return sorted[0];
        var place = share * (sorted.Length - 1);
        var below = Math.Min((int)place, sorted.Length - 2);
        return sorted[below] + (place - below) * (sorted[below + 1] - sorted[below]);
    }
}
