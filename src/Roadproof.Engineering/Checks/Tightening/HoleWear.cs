using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>How one feature of a hole moves each time a screw is driven into it anew.</summary>
/// <param name="PerUse">Change at each use, in the feature's unit.</param>
/// <param name="Uses">Tightenings that tell it.</param>
/// <param name="Moves">Zero lies outside of the interval.</param>
public sealed record WearTrend(string Id, string Name, string Unit, double PerUse, Interval? Interval, int Uses, bool Moves);

/// <summary>Wear of a hole that is used again and again, from the features of its tightenings.</summary>
public static class HoleWear
{
    static readonly (string Id, string Name, string Unit, Func<TighteningFeatures, Reading> Feature)[] Worn =
    [
        (TighteningJudge.PrevailingId, "Prevailing torque", "N·m", f => f.Prevailing),
        (TighteningJudge.RundownAngleId, "Turn to the count's start", "°", f => f.RundownAngle),
        (TighteningJudge.FinalAngleId, "Final angle", "°", f => f.FinalAngle),
        (TighteningJudge.SlopeId, "Slope after snug point", "N·m/°", f => f.Slope),
        ("energy", "Work of the drive", "J", f => f.Energy),
    ];

    /// <param name="uses">How often the hole was used before each tightening; at least two differ.</param>
    public static IReadOnlyList<WearTrend> Of(IReadOnlyList<double> uses, IReadOnlyList<TighteningFeatures> tightenings)
    {
        var trends = new List<WearTrend>();
        foreach (var (id, name, unit, feature) in Worn)
        {
            var told = uses.Zip(tightenings, (use, t) => (Use: use, Value: feature(t).Value)).Where(p => !double.IsNaN(p.Value)).ToList();
            if (told.Select(p => p.Use).Distinct().Count() < 2) continue;
            var trend = TheilSen.Of([.. told.Select(p => p.Use)], [.. told.Select(p => p.Value)]);
            trends.Add(new(id, name, unit, trend.Slope, trend.Interval, told.Count, trend.Interval is { } i && (i.Lower > 0 || i.Upper < 0)));
        }

        return trends;
    }
}
