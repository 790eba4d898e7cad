using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest.Rigs;

/// <summary>One ordinary unit's first run.</summary>
/// <param name="Lots">The lot of each part that may move a reading, by the part's id.</param>
public sealed record LikeUnit(string Rig, IReadOnlyDictionary<string, string> Lots, double Value);

/// <summary>How two rigs read ordinary units of the same lots in the same time.</summary>
/// <param name="Difference">The second rig less the first, in the characteristic's unit, lots allowed for.</param>
/// <param name="Together">The interval, widened for everything that was compared (Šidák).</param>
/// <param name="Differs">The widened interval holds no zero.</param>
public sealed record LikeUnitsDifference(string First, string Second, double Difference, Interval Interval, Interval Together, int UnitsOfFirst, int UnitsOfSecond, bool Differs);

/// <summary>Two rigs are given like units: where they read them differently, the rigs differ, before any reference has said so.</summary>
/// <remarks>Method and what it cannot see: <c>docs/methods/rigs.md</c>.</remarks>
public static class LikeUnits
{
    const double Confidence = 0.95;

    /// <summary>Two rigs with so many units each, not confounded with any lot, and no fewer.</summary>
    public const int Fewest = 8;

    /// <param name="units">First runs of both rigs, since both were put right last.</param>
    /// <param name="asked">Differences looked at together: pairs of rigs times characteristics.</param>
    /// <returns>Null where too few units, or lots that went to one rig only, leave nothing to tell by.</returns>
    public static LikeUnitsDifference? Compare(string first, string second, IReadOnlyList<LikeUnit> units, int asked)
    {
        var (ofFirst, ofSecond) = (units.Count(u => u.Rig == first), units.Count(u => u.Rig == second));
        if (ofFirst < Fewest || ofSecond < Fewest) return null;
        var parts = units.SelectMany(u => u.Lots.Keys).Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal).ToList();
        double[] values = [.. units.Select(u => u.Value)];
        List<bool> isSecond = [.. units.Select(u => u.Rig == second)];
        IReadOnlyList<string>[] lots = [.. parts.Select(p => (IReadOnlyList<string>)[.. units.Select(u => u.Lots.GetValueOrDefault(p, ""))])];
        if (RobustOffset.Of(values, isSecond, lots) is not { } offset || offset.Information < Fewest / 2.0) return null;

        var together = offset.Interval(Math.Pow(Confidence, 1.0 / asked)); // Šidák
        return new(first, second, offset.Offset, offset.Interval(Confidence), together, ofFirst, ofSecond, together is { Lower: > 0 } or { Upper: < 0 });
    }
}
