using Roadproof.App.Frame;
using Roadproof.App.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Unit;

/// <summary>Runs that a unit's load test may be laid beside, and what of each can be drawn.</summary>
public static class ListOtherRuns
{
    /// <param name="Runs">Newest first, of the same product; those of the same rig and of the same lots say so.</param>
    /// <param name="References">Runs of reference units at hand, those of the same rig first.</param>
    /// <param name="Bands">What other units may be taken together by, the nearest kinship first.</param>
    public sealed record Answer(string Unit, int Attempt, string Rig, IReadOnlyList<RunBeside> Runs, IReadOnlyList<ReferenceRun> References, IReadOnlyList<Likeness> Bands);

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapGet("/api/v1/units/{unit}/load-tests/{attempt}/others", (string unit, int attempt, OpenLine line) => Run(unit, attempt, line).ToHttp())
            .WithSummary("Load tests of the same product that a run may be laid beside");
        app.MapGet("/api/v1/units/{unit}/load-tests/{attempt}/traces", (string unit, int attempt, OpenLine line) => Traces(unit, attempt, line).ToHttp())
            .WithSummary("What of a load test can be drawn: steady windows, channels and the captures they are in");
    }

    public static Outcome<Answer> Run(string unit, int attempt, OpenLine line)
    {
        var found = FindRun.Of(unit, attempt, line);
        if (found.Done is not var (code, revision, run)) return found.Refused!;
        return line.Ask(c => new Answer(code, run.Attempt, run.Rig, RunsBeside.Of(c, revision, code, run.Attempt, run.Rig), ReferenceRuns.AtHand(c, revision, run.Rig), RunsAlike.Kinds(c, revision, code, run.Rig)));
    }

    public static Outcome<TracePlan> Traces(string unit, int attempt, OpenLine line)
    {
        var found = FindRun.Of(unit, attempt, line);
        if (found.Done is not var (code, _, run)) return found.Refused!;
        if (TracePlan.Of(code, run) is { } plan) return plan;
        return run.Captures.Any(c => c.State == "retired")
            ? new Refusal("The captures of this run are retired.", "Captures of runs that passed are retired under the plant's rule; their readings and verdict stay.")
            : new Refusal("This run has no capture at hand.", "It named none, or they never came.");
    }
}
