using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Definitions;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.Items;

/// <summary>What ending a load test comes to, whether its verdict is there at once or comes later.</summary>
static class LoadTestStep
{
    /// <param name="outcome">Null while captures are still to come.</param>
    /// <param name="before">The runs before it without a repair since, those that do not count among them; null where it is the first.</param>
    /// <param name="standing">What the rig could show for itself; null where no reference units are asked for.</param>
    public static (StepJudgement Judgement, LoadTestDecision Decision) Judge(RouteRevision revision, RouteStep step, string rig, LoadTestOutcome? outcome, RunsBefore? before, RigStanding? standing = null)
    {
        var (judgement, decision) = Judged(revision, step, rig, outcome, before);
        return (judgement, decision with { Rig = standing });
    }

    static (StepJudgement, LoadTestDecision) Judged(RouteRevision revision, RouteStep step, string rig, LoadTestOutcome? outcome, RunsBefore? before) => outcome switch
    {
        null => (new("waiting", "waits for captures", [], [], [], false), new("waiting", null, "")),
        { Verdict: { } verdict } => Judged(revision, step, rig, verdict, before),
        _ => Unjudged(step, "the run could not be judged", "could not be judged", null, outcome.Problem),
    };

    static (StepJudgement, LoadTestDecision) Judged(RouteRevision revision, RouteStep step, string rig, LoadTestVerdict verdict, RunsBefore? before)
    {
        // A warm winding explains no reaction of the program: what is never tried again counts all the same.
        var hasFailedForGood = verdict.Requirements.Any(r => r is { NeverAgain: true, Verdict: Verdict.Fail });
        if (before is not null && !hasFailedForGood && CoolDown.Missed(step, verdict) is { } tooWarm) return Unjudged(step, "the run began too warm", "began too warm", verdict, tooWarm);
        if (verdict is { Verdict: RunVerdict.Hold, NotShown: [var first, ..] })
            return Unjudged(step, $"{Wording.Lower(first)} was not shown", "not shown", verdict, $"{string.Join(", ", verdict.NotShown)}: not shown in this run. A safety function is tested in every unit: run it again.");
        var readsUsual = !StopReasons.IsUnusual(verdict);
        if (readsUsual && verdict is { Verdict: RunVerdict.Hold, Silent: [var silent, ..] })
            return Unjudged(step, "a sensor of the unit tells nothing", "sensor silent", verdict, silent);
        if (readsUsual && verdict is { Verdict: RunVerdict.Hold, NotRead: [var unread, ..] } && verdict.Requirements.All(r => r.Verdict == Verdict.Pass))
            return Unjudged(step, $"{Wording.Lower(unread)} was not read", "not read", verdict, $"{string.Join(", ", verdict.NotRead)}: not read in this run. A unit cannot pass without it: run it again.");
        if (step.RetestScheme == RetestScheme.Mean && before is { Counted.Count: > 0 })
            verdict = verdict with { Mean = RunsMean.Of([.. before.Counted, (rig, verdict)], (revision.Product.LoadTest?.Requirements ?? []).Select(r => r.Id)) };
        return (StepJudgement.Of(step, verdict), new("judged", verdict, ""));
    }

    static (StepJudgement, LoadTestDecision) Unjudged(RouteStep step, string why, string word, LoadTestVerdict? verdict, string problem) =>
        (new("hold", word, [], [], [new($"{step.Name}: {why}", $"step:{step.Id}")], false), new("problem", verdict, problem));

    /// <summary>The load test of the route stands; where a route has none, all of its steps do.</summary>
    public static bool Good(RouteRevision revision, IReadOnlyList<StepRow> steps, string? alsoStands = null, IReadOnlyList<string>? undone = null) => revision.Steps
        .Where(r => r.Kind == StepKind.LoadTest || revision.Steps.All(s => s.Kind != StepKind.LoadTest))
        .All(r => undone?.Contains(r.Id) != true && (r.Id == alsoStands || Route.Stands(steps, r.Id)));
}
