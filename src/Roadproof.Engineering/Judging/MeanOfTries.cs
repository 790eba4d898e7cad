namespace Roadproof.Engineering.Judging;

/// <summary>A requirement read at one try.</summary>
/// <param name="Rig">Where it was read: what stays with a rig comes again on the same one.</param>
public sealed record TriedReading(string Rig, RequirementReading Reading);

/// <summary>Judges the mean of all tries of a requirement by the limit that each of them was judged by.</summary>
/// <remarks>
/// What a run draws anew averages out, what stays with a rig averages over rigs only, the rest stays whole:
/// u² = Σ run²/n² + Σ over rigs (Σ rig)²/n² + (Σ rest)²/n² (JCGM 100:2008, 5.2.2, with correlation 0 or 1). Where nobody has split an uncertainty up, all of it stays.
/// The guard band keeps its factor. A function that is never tried again is not averaged: its worst try counts.
/// </remarks>
public static class MeanOfTries
{
    /// <param name="tries">Of one requirement, at least one, the oldest first.</param>
    public static RequirementReading Of(IReadOnlyList<TriedReading> tries)
    {
        var last = tries[^1].Reading;
        if (tries.FirstOrDefault(t => t.Reading is { NeverAgain: true, Verdict: not Verdict.Pass }) is { } notMet) return notMet.Reading;
        if (tries.Count == 1 || last.NeverAgain) return last;

        var n = tries.Count;
        var ofRun = Math.Sqrt(tries.Sum(t => Square(t.Reading.UncertaintyOfRun ?? 0))) / n;
        var ofRig = Math.Sqrt(tries.GroupBy(t => t.Rig, StringComparer.Ordinal).Sum(g => Square(g.Sum(t => t.Reading.UncertaintyOfRig ?? 0)))) / n;
        var rest = tries.Sum(t => Rest(t.Reading)) / n;
        var u = Math.Sqrt(Square(ofRun) + Square(ofRig) + Square(rest));
        var mean = Requirement.Judge(LimitOf(last), tries.Average(t => t.Reading.Value), tries.Average(t => t.Reading.RawValue), u);
        return mean with { NeverAgain = last.NeverAgain, UncertaintyOfRun = ofRun, UncertaintyOfRig = ofRig };
    }

    static double Rest(RequirementReading r) =>
        Math.Sqrt(Math.Max(0, Square(r.StandardUncertainty) - Square(r.UncertaintyOfRun ?? 0) - Square(r.UncertaintyOfRig ?? 0)));

    // The reading holds all that its limit said, its own uncertainty within.
    static RequirementLimit LimitOf(RequirementReading r) => new()
    {
        Id = r.Id, Name = r.Name, Unit = r.Unit, Lower = r.Lower, Upper = r.Upper, Safety = r.Safety, Origin = "the limit of its tries",
        GuardFactor = r.StandardUncertainty > 0 ? r.GuardBand / r.StandardUncertainty : 0,
    };

    static double Square(double x) => x * x;
}
