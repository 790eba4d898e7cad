using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What all runs of a unit since its last repair come to together, where a step judges their mean.</summary>
/// <param name="Requirements">The mean of each requirement with the uncertainty that is left to it, judged by its own limit.</param>
/// <param name="Rigs">Of the runs, the oldest first. On another rig the rig's own error is drawn anew, which the uncertainty of the mean counts.</param>
public sealed record RunsMean(RunVerdict Verdict, IReadOnlyList<RequirementReading> Requirements, IReadOnlyList<string> Rigs)
{
    /// <param name="runs">At least one, the oldest first; every one that was judged and counts.</param>
    /// <param name="required">Ids of all requirements of the plan: the last run shows every one of them, or none passes.</param>
    /// <remarks>Expectations are not averaged: one run that was unusual holds them all.</remarks>
    public static RunsMean Of(IReadOnlyList<(string Rig, LoadTestVerdict Verdict)> runs, IEnumerable<string> required)
    {
        var last = runs[^1].Verdict;
        var means = last.Requirements.Select(r => MeanOfTries.Of([.. Of(r.Id, runs)])).ToList();
        var verdict = means.Any(r => r.Verdict == Judging.Verdict.Fail) ? RunVerdict.Fail
            : means.Any(r => r.Verdict != Judging.Verdict.Pass) || runs.Any(r => StopReasons.IsUnusual(r.Verdict)) || required.Any(id => last.Requirements.All(r => r.Id != id)) ? RunVerdict.Hold
            : RunVerdict.Pass;
        return new(verdict, means, [.. runs.Select(r => r.Rig)]);
    }

    static IEnumerable<TriedReading> Of(string id, IReadOnlyList<(string Rig, LoadTestVerdict Verdict)> runs) =>
        from run in runs from r in run.Verdict.Requirements where r.Id == id select new TriedReading(run.Rig, r);
}
