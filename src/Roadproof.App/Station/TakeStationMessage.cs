using System.Text;
using Roadproof.App.Checks;
using Roadproof.App.Frame;
using Roadproof.App.Line;
using Roadproof.App.LoadTest;
using Roadproof.App.LoadTest.Rigs;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;

namespace Roadproof.App.Station;

/// <summary>Takes what a station, a rig or a person's screen says: judges its captures, decides it, keeps it, answers it.</summary>
public static class TakeStationMessage
{
    public static void Map(IEndpointRouteBuilder app) => app
        .MapPost("/api/v1/stations/{station}/messages", async (string station, HttpRequest request, OpenLine line, BenchScans bench) =>
        {
            using var reader = new StreamReader(request.Body, Encoding.UTF8);
            var text = await reader.ReadToEndAsync();
            var outcome = await Run(station, text, line);
            if (outcome.Answer is { Stage: "scan" }) ShowScrews(station, StationMessageJson.Read(text), line, bench);
            return ToHttp(outcome);
        })
        .Accepts<StationMessage>("application/json").Produces<MessageAnswer>().ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status409Conflict)
        .WithSummary("A station's request (may be refused) or report (always kept)");

    /// <summary>Takes a message as it came; what cannot be understood goes into quarantine and is said back.</summary>
    /// <exception cref="InputException">The message cannot be understood; it is kept in quarantine.</exception>
    public static async Task<MessageOutcome> Run(string station, string text, OpenLine line)
    {
        try
        {
            return await Run(station, StationMessageJson.Read(text), line);
        }
        catch (InputException e)
        {
            await line.Ledger.Write(t => Quarantine.Keep(t, station, text, e.Errors));
            throw;
        }
    }

    /// <exception cref="InputException">The message names what nobody knows.</exception>
    public static async Task<MessageOutcome> Run(string station, StationMessage message, OpenLine line)
    {
        var plant = line.Plant;
        var reference = await JudgeReference.Run(message, station, line);
        var run = reference is null && JudgeRun.IsRun(message, station, line) ? await JudgeRun.Run(message, line) : null;
        var curves = await JudgeCurves.Run(station, message, line);
        var outcome = await line.Ledger.Write(t => TakeMessage.Decide(t, station, message, plant, run, curves, reference));

        // A capture that came between judging and deciding has found nothing waiting.
        if (outcome.Answer is { Verdict: "waiting" } && message.Captures.Count > 0) await CompleteWaiting.Run(ask => WaitingSteps.Naming(ask, message.Captures[0].Sha256), line);
        return outcome;
    }

    static void ShowScrews(string station, StationMessage said, OpenLine line, BenchScans bench)
    {
        if (said.Screws.Count == 0 || AskLine.Station(station, line) is not { } view || view.Unit is null) return;
        bench.Drive(view, said.Screws.GroupBy(w => w.Group).ToDictionary(g => g.Key, g => (IReadOnlyList<int>)[.. g.Select(w => w.Number)], StringComparer.Ordinal), said.OccurredAt);
    }

    static IResult ToHttp(MessageOutcome outcome)
    {
        if (outcome.Refused is not { } no) return Results.Json(outcome.Answer, StationMessageJson.Options);
        var problem = Problems.Of(no.Refusal);
        problem.Extensions["sequence"] = no.Sequence;
        problem.Extensions["item"] = no.Item;
        problem.Extensions["repeat"] = no.Repeat;
        return Results.Problem(problem);
    }
}
