using static System.FormattableString;

namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>The order in which the screws of a group are tightened: crosswise or from the centre outwards.</summary>
/// <param name="Recheck">The first screw is checked once more after the last.</param>
public sealed record TighteningPattern(IReadOnlyList<int> Order, bool Recheck = false)
{
    /// <summary>Every screw as it should come.</summary>
    public IReadOnlyList<int> Whole => [.. Order, .. Recheck ? Order.Take(1) : []];

    /// <summary>Where the screws that were driven differ from the pattern; empty where they do not.</summary>
    /// <param name="driven">Number of each screw, in the order of tightening.</param>
    public IReadOnlyList<string> Deviations(IReadOnlyList<int> driven)
    {
        var whole = Whole;
        var findings = new List<string>();
        foreach (var screw in whole.Concat(driven).Distinct().Order())
        {
            var (wanted, done) = (whole.Count(s => s == screw), driven.Count(s => s == screw));
            if (done != wanted) findings.Add(wanted == 0 ? Invariant($"Screw {screw} is not of this group.") : done == 0 ? Invariant($"Screw {screw} is missing.") : Invariant($"Screw {screw} was tightened {Times(done)}, expected {Times(wanted)}."));
        }

        // Where the counts are wrong already, every later place would differ too: one finding says enough.
        var places = Enumerable.Range(0, Math.Min(whole.Count, driven.Count)).Where(i => whole[i] != driven[i]);
        findings.AddRange((findings.Count > 0 ? places.Take(1) : places).Select(i => Invariant($"Place {i + 1}: screw {driven[i]}, expected screw {whole[i]}.")));
        return findings;
    }

    static string Times(int n) => n switch { 1 => "once", 2 => "twice", _ => Invariant($"{n} times") };
}
