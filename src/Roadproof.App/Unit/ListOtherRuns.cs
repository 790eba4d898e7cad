using Roadproof.App.Frame;
using Roadproof.App.Line;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Unit;

/// <summary>Runs that a unit's load test may be laid beside, and what of each can be drawn.</summary>
public static class ListOtherRuns
{
    /// <param name="Runs">Newest first, of the same product; those of the same rig and of the same lots say so.</param>
    public sealed record Answer(string Unit, int Attempt, string Rig, IReadOnlyList<RunBeside> Runs);

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapGet("/api/v1/units/{unit}/load-tests/{attempt}/others", (string unit, int attempt, OpenLine line) => Run(unit, attempt, line).ToHttp())
            .WithSummary("Load tests of the same product that a run may be laid beside");
        app.MapGet("/api/v1/units/{unit}/load-tests/{attempt}/traces", (string unit, int attempt, OpenLine line) => Traces(unit, attempt, line).ToHttp())
            .WithSummary("What of a load test can be drawn: steady windows, channels and the captures they are in");
    }

    public static Outcome<Answer> Run(string unit, int attempt, OpenLine line)
    {
        if (Find(unit, attempt, line) is not var (view, run)) return None(unit, attempt);
        var revision = line.Plant.RevisionOf(view.Revision);
        return new Answer(view.Unit, run.Attempt, run.Rig, line.Ask(c => RunsBeside.Of(c, revision, view.Unit, run.Attempt, run.Rig)));
    }

    public static Outcome<TracePlan> Traces(string unit, int attempt, OpenLine line)
    {
        if (Find(unit, attempt, line) is not var (view, run)) return None(unit, attempt);
        if (TracePlan.Of(view, run) is { } plan) return plan;
        return run.Captures.Any(c => c.State == "retired")
            ? new Refusal("The captures of this run are retired.", "Captures of runs that passed are retired under the plant's rule; their readings and verdict stay.")
            : new Refusal("This run has no capture at hand.", "It named none, or they never came.");
    }

    static (UnitView View, UnitLoadTest Run)? Find(string unit, int attempt, OpenLine line) =>
        AskLine.Unit(unit, line) is { } view && view.LoadTests.LastOrDefault(t => t.Attempt == attempt) is { } run ? (view, run) : null;

    static Refusal None(string unit, int attempt) => new(Invariant($"No load test of attempt {attempt} of a unit {unit}."), "Scan the code again, or look at the unit's page for its attempts.");
}
