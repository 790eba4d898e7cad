using System.CommandLine;
using Microsoft.AspNetCore.Mvc;
using Roadproof.App.Frame;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Lots;
using Spectre.Console;

namespace Roadproof.App.Lots;

/// <summary>Takes in what a delivery brings: lot by lot from its label, or a CSV file, whole or not at all.</summary>
public static class ReceiveDelivery
{
    public sealed record Answer(IReadOnlyList<string> Lots, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Argument<string> file = new("file") { Description = "CSV with columns lot, part, quantity and, where lots expire, expires." };
        return CommandLine.Verb("receive", "Takes the lots of a delivery into the plant: the whole file, or nothing and every mistake in it.", "lots receive delivery.csv --data plant", [file, LotCommand.By], (input, face, _) =>
            LotCommand.WithLine(input, async line =>
            {
                var name = input.GetValue(file)!;
                if (!File.Exists(name)) throw new InputException(new InputError(name, 0, "", "no such file", "a CSV file of lots"));
                using var stream = File.OpenRead(name);
                var done = await Run(name, stream, new(LotCommand.NewKey(), line.Clock.GetLocalNow(), input.GetValue(LotCommand.By)), line);
                return face.Say(new Answer(done.Lots, "All lots of the file are received in one step, each by a record of its own.", []), console =>
                    console.WriteLine($"{Figure.Of(done.Lots.Count, "lot")} received: {string.Join(", ", done.Lots)}."));
            }));
    }

    /// <summary>Who sends a file, under which key.</summary>
    public sealed record Sender(string Key, DateTimeOffset OccurredAt, string? Person = null);

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapPost("/api/v1/lots/file", async (string key, DateTimeOffset occurredAt, string? person, HttpRequest request, OpenLine line) =>
        {
            using var body = new MemoryStream();
            await request.Body.CopyToAsync(body);
            body.Position = 0;
            return Results.Json(await Run("delivery", body, new(key, occurredAt, person), line), Json.Options);
        }).Accepts<string>("text/csv").WithSummary("Receive the lots of a CSV file, all or none");
        app.MapPost("/lots/receive-file", async (IFormFile? file, [FromForm] string key, OpenLine line, SentForms forms) =>
        {
            if (file is null) throw new InputException(new InputError("file", 0, "", "nothing", "a CSV file of lots"));
            using var stream = file.OpenReadStream();
            var done = await Run(file.FileName, stream, new(key, forms.FirstAt(key)), line);
            return Received(done.Lots.Count);
        }).ExcludeFromDescription();
        app.MapPost("/lots/receive", async ([FromForm] string lot, [FromForm] string part, [FromForm] int quantity, [FromForm] string? expires, [FromForm] string key, OpenLine line, SentForms forms) =>
        {
            var errors = new List<InputError>();
            var expiry = NamedRows.Day("lot", 0, "expires", expires?.Trim() ?? "", line.Clock.LocalTimeZone, errors);
            if (errors.Count > 0) throw new InputException(errors);
            var outcome = await ActOnLot.Receive(new(key, lot.Trim(), part, quantity, expiry, forms.FirstAt(key)), line);
            return outcome.Refused is { } no ? Results.Redirect($"/lots?refused={Uri.EscapeDataString($"{no.Reason} {no.Remedy}")}") : Received(1);
        }).ExcludeFromDescription();
    }

    /// <exception cref="InputException">Every mistake in the file; nothing of it was kept.</exception>
    public static Task<LotDeliveryAnswer> Run(string source, Stream stream, Sender sender, OpenLine line)
    {
        var (table, plant) = (LotFile.Read(source, stream, line.Clock.LocalTimeZone), line.Plant);
        return line.Ledger.Write(t => ReceiveLots.Decide(t, new(sender.Key, table, sender.OccurredAt, sender.Person), plant));
    }

    static IResult Received(int lots) => Results.Redirect(Invariant($"/lots?received={lots}"));
}
