using Roadproof.Records.Definitions;

namespace Roadproof.Records.Items;

/// <summary>What ending a load test comes to, whether its verdict is there at once or comes later.</summary>
static class LoadTestStep
{
    /// <param name="outcome">Null while captures are still to come.</param>
    public static (StepJudgement Judgement, LoadTestDecision Decision) Judge(RouteStep step, LoadTestOutcome? outcome) => outcome switch
    {
        null => (new("waiting", "waits for captures", [], [], [], false), new("waiting", null, "")),
        { Verdict: { } verdict } => (StepJudgement.Of(step, verdict), new("judged", verdict, "")),
        _ => (new("hold", "could not be judged", [], [], [new($"{step.Name}: the run could not be judged", $"step:{step.Id}")], false), new("problem", null, outcome.Problem)),
    };

    /// <summary>The load test of the route stands; where a route has none, all of its steps do.</summary>
    public static bool Good(RouteRevision revision, IReadOnlyList<StepRow> steps, string? alsoStands = null, IReadOnlyList<string>? undone = null) => revision.Steps
        .Where(r => r.Kind == StepKind.LoadTest || revision.Steps.All(s => s.Kind != StepKind.LoadTest))
        .All(r => undone?.Contains(r.Id) != true && (r.Id == alsoStands || Route.Stands(steps, r.Id)));
}
