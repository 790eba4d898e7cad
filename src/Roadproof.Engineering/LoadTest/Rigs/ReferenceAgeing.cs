using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest.Rigs;

/// <summary>How far a reference has moved on a rig since both were known to be right.</summary>
/// <param name="Sigma">In standard deviations of such a difference on a sound rig with a sound reference.</param>
public sealed record ReferenceShift(string Rig, string Reference, double Sigma);

public enum MovedBy
{
    Nothing,
    Rigs,
    References,
    CannotTell,
}

/// <summary>Whether rigs or reference units have moved.</summary>
/// <param name="Names">Which ones.</param>
/// <param name="Sentence">The answer as a person would say it.</param>
public sealed record ReferenceAgeing(MovedBy MovedBy, IReadOnlyList<string> Names, string Sentence)
{
    /// <summary>Plants without drift in which one look says that something has moved.</summary>
    public const double FalseAlarm = 0.002;

    // Once something has moved that no chance explains, a shift this far out counts to what moved with it: one sound pair of rig and reference in about 2,100 lies there.
    const double Shifted = 3.5;

    /// <summary>Beyond it the farthest of so many shifts is none of chance: two-sided and jointly normal, the rate holds whatever their correlation (Šidák's inequality).</summary>
    /// <param name="looked">Characteristics times rigs times references, over all products of the plant.</param>
    public static double LimitOf(int looked) => Normal.Quantile(1 - (1 - Math.Pow(1 - FalseAlarm, 1.0 / looked)) / 2);

    /// <param name="looked">Among how many shifts, of this and other characteristics, the farthest was looked for.</param>
    /// <param name="shifts">One for each rig and reference; a rig drifts where all references have moved alike on it, a reference ages where it has moved alike on all rigs.</param>
    public static ReferenceAgeing Of(IReadOnlyList<ReferenceShift> shifts, int looked)
    {
        var rigs = shifts.Select(s => s.Rig).Distinct(StringComparer.Ordinal).ToList();
        var references = shifts.Select(s => s.Reference).Distinct(StringComparer.Ordinal).ToList();
        var moved = shifts.Where(s => Math.Abs(s.Sigma) > Shifted).ToList();
        if (shifts.All(s => Math.Abs(s.Sigma) <= LimitOf(looked))) return new(MovedBy.Nothing, [], "No reference has moved on any rig.");
        if (references.Count < 2)
            return Cannot(rigs.Count < 2 ? "One reference on one rig: whether the rig or the reference has moved cannot be told. Run another reference on it." : $"Only {references[0]} was run: a second reference tells whether it has aged.");
        if (references.Exists(r => rigs.Exists(g => shifts.All(s => s.Rig != g || s.Reference != r)))) return Cannot("Not every reference ran on every rig: run those that are missing.");

        var drifted = rigs.FindAll(g => Alike(shifts.Where(s => s.Rig == g)));
        var aged = references.FindAll(r => Alike(shifts.Where(s => s.Reference == r)));
        // Every moved pair is explained by one kind alone, and not everything moved together.
        if (drifted.Count < rigs.Count && moved.TrueForAll(m => drifted.Contains(m.Rig)))
            return new(MovedBy.Rigs, drifted, $"{string.Join(" and ", references)} have moved alike on {string.Join(" and ", drifted)} and not elsewhere: the rig has drifted.");
        if (rigs.Count > 1 && aged.Count < references.Count && moved.TrueForAll(m => aged.Contains(m.Reference)))
            return new(MovedBy.References, aged, $"{string.Join(" and ", aged)} has moved alike on every rig and the other has not: it has aged. Take it out of use.");
        return Cannot(moved.Count == shifts.Count ? "Every reference has moved on every rig: what they share has moved (room, supply, software), or everything at once. Calibrate one rig and run both again." : "The shifts fit neither a rig nor a reference alone: run both again on every rig.");
    }

    static ReferenceAgeing Cannot(string sentence) => new(MovedBy.CannotTell, [], sentence);

    // Each lies out, to the same side, and no farther apart than chance puts two readings.
    static bool Alike(IEnumerable<ReferenceShift> shifts)
    {
        var of = shifts.Select(s => s.Sigma).ToList();
        return of.TrueForAll(s => Math.Abs(s) > Shifted && Math.Sign(s) == Math.Sign(of[0])) && of.Max() - of.Min() < Shifted * Math.Sqrt(2);
    }
}
