using Microsoft.AspNetCore.Mvc;
using Microsoft.Data.Sqlite;
using Roadproof.App.Checks;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.App.LoadTest;

/// <summary>Takes in a capture by its hash, before or after the message that names it, and completes the steps that waited for it.</summary>
public static class KeepCapture
{
    // A capture of two minutes at the rates of the contract is about 20 MB.
    const long LargestCapture = 512L << 20;

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapPut("/api/v1/captures/{sha256}", async (string sha256, HttpRequest request, OpenLine line, CancellationToken stop) =>
            await Run(sha256, request.Body, line, stop) ? Results.StatusCode(StatusCodes.Status201Created) : Results.Ok())
            .WithMetadata(new RequestSizeLimitAttribute(LargestCapture)).WithSummary("Brings a capture; its name is the SHA-256 of its bytes");
        app.MapGet("/api/v1/captures/{sha256}", (string sha256, OpenLine line) =>
            line.Captures.Open(sha256) is { } stream ? Results.Stream(stream, "application/octet-stream", $"{sha256}.parquet")
                : Problems.Missing($"No capture {sha256} is at hand.", "It has not come yet, or its run passed and it was retired; the unit's readings and verdict stay."))
            .WithSummary("A capture's bytes");
    }

    /// <returns>False when it was there already.</returns>
    /// <exception cref="InputException">The bytes do not hash to the name: a transfer that was cut short, or the wrong file.</exception>
    public static async Task<bool> Run(string sha256, Stream bytes, OpenLine line, CancellationToken stop)
    {
        var kept = await line.Captures.Keep(sha256, bytes, stop);
        await CompleteWaiting.Run(ask => WaitingSteps.Naming(ask, kept.Sha256), line);
        return kept.New;
    }
}

/// <summary>Completes the steps whose captures have all come: whichever of message and capture was last finds them.</summary>
public static class CompleteWaiting
{
    public static async Task Run(Func<SqliteConnection, IReadOnlyList<WaitingStep>> which, OpenLine line)
    {
        foreach (var step in Find(which, line).Where(s => s.Complete))
        {
            var outcome = step.NeedsJudging ? await JudgeRun.Run(step.Unit, step.Captures, line) : null;
            if (step.NeedsJudging && outcome is null) continue;
            var curves = await JudgeCurves.Run(step.Station, step.Unit, step.Step, step.Captures, line);
            var plant = line.Plant;
            await line.Ledger.Write(t => LateVerdict.Decide(t, step.StepSequence, outcome, plant, OwnKeys.LateVerdict(step.StepSequence), curves));
        }
    }

    static IReadOnlyList<WaitingStep> Find(Func<SqliteConnection, IReadOnlyList<WaitingStep>> which, OpenLine line)
    {
        using var ask = line.Ask();
        return which(ask);
    }
}
