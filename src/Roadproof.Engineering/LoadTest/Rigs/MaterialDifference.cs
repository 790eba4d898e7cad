using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.LoadTest.Rigs;

/// <summary>Whether a difference between rigs is large enough to care about.</summary>
public enum Matters
{
    /// <summary>Surely larger than the margin.</summary>
    Yes,

    /// <summary>Surely smaller.</summary>
    No,

    /// <summary>Either: more runs tell.</summary>
    CannotTell,
}

/// <summary>A difference that no chance explains may still be too small to matter: it is held against a share of what a reading is judged by.</summary>
/// <remarks>Which rig is the wrong one two rigs cannot say between them: the references' own values can, or a third rig. Method: <c>docs/methods/rigs.md</c>.</remarks>
public static class MaterialDifference
{
    /// <summary>Rigs may read apart by this share of an expectation limit's half width (common practice for a tolerance, no source).</summary>
    public const double Share = 0.1;

    /// <param name="interval">Of the difference, for itself: within the margin it does not matter.</param>
    /// <param name="together">The same, widened for everything that is compared: beyond the margin it matters.</param>
    /// <param name="margin">Null where nobody knows what the reading is judged by.</param>
    public static Matters Of(Interval interval, Interval together, double? margin) => margin is not { } m ? Matters.CannotTell
        : together.Lower > m || together.Upper < -m ? Matters.Yes
        : interval.Lower >= -m && interval.Upper <= m ? Matters.No
        : Matters.CannotTell;

    /// <summary>The rig that reads wrong in one characteristic.</summary>
    /// <param name="pairs">Every pair of rigs that was compared in it.</param>
    /// <param name="fromKnown">How far each rig reads from the references' own values, widened for everything that is compared; empty for ordinary units.</param>
    /// <returns>Null where two rigs stand against each other and nothing else tells.</returns>
    public static (string Rig, string By)? WrongRig(IReadOnlyList<(string First, string Second, Matters Matters)> pairs, IReadOnlyDictionary<string, Interval> fromKnown, double? margin)
    {
        if (pairs.All(p => p.Matters != Matters.Yes)) return null;
        var off = fromKnown.Where(r => Of(r.Value, r.Value, margin) == Matters.Yes).Select(r => r.Key).ToList();
        if (off is [var one] && pairs.All(p => p.Matters != Matters.Yes || p.First == one || p.Second == one)) return (one, "the references' own values");

        // Apart from every other rig, and the others not apart from one another.
        var rigs = pairs.SelectMany(p => (string[])[p.First, p.Second]).Distinct(StringComparer.Ordinal).ToList();
        var alone = rigs.Count < 3 ? [] : rigs.FindAll(r => pairs.Count(p => p.First == r || p.Second == r) == rigs.Count - 1 && pairs.All(p => (p.Matters == Matters.Yes) == (p.First == r || p.Second == r)));
        return alone is [var other] ? (other, "the other rigs") : null;
    }
}
