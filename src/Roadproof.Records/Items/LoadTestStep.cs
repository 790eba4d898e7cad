using Roadproof.Records.Definitions;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.Items;

/// <summary>What ending a load test comes to, whether its verdict is there at once or comes later.</summary>
static class LoadTestStep
{
    /// <param name="outcome">Null while captures are still to come.</param>
    /// <param name="rig">What the rig could show for itself; null where no reference units are asked for.</param>
    public static (StepJudgement Judgement, LoadTestDecision Decision) Judge(RouteStep step, LoadTestOutcome? outcome, RigStanding? rig = null) => outcome switch
    {
        null => (new("waiting", "waits for captures", [], [], [], false), new("waiting", null, "", rig)),
        { Verdict: { } verdict } => (StepJudgement.Of(step, verdict), new("judged", verdict, "", rig)),
        _ => (new("hold", "could not be judged", [], [], [new($"{step.Name}: the run could not be judged", $"step:{step.Id}")], false), new("problem", null, outcome.Problem, rig)),
    };

    /// <summary>The load test of the route stands; where a route has none, all of its steps do.</summary>
    public static bool Good(RouteRevision revision, IReadOnlyList<StepRow> steps, string? alsoStands = null, IReadOnlyList<string>? undone = null) => revision.Steps
        .Where(r => r.Kind == StepKind.LoadTest || revision.Steps.All(s => s.Kind != StepKind.LoadTest))
        .All(r => undone?.Contains(r.Id) != true && (r.Id == alsoStands || Route.Stands(steps, r.Id)));
}
