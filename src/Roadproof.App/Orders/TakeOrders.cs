using System.CommandLine;
using Microsoft.AspNetCore.Mvc;
using Roadproof.App.Frame;
using Roadproof.App.Lots;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Orders;
using Spectre.Console;

namespace Roadproof.App.Orders;

/// <summary>Takes production orders in: one from its form, or a CSV file, whole or not at all.</summary>
public static class TakeOrders
{
    public sealed record Answer(IReadOnlyList<string> Orders, string Method, IReadOnlyList<string> Warnings);

    public static Command Command()
    {
        Argument<string> file = new("file") { Description = "CSV with columns order, product, quantity and, where there are any, variant, customer, due." };
        return CommandLine.Verb("open", "Takes the orders of a file in: the whole file, or nothing and every mistake in it.", "orders open orders.csv --data plant", [file, LotCommand.By], (input, face, _) =>
            LotCommand.WithLine(input, async line =>
            {
                var name = input.GetValue(file)!;
                if (!File.Exists(name)) throw new InputException(new InputError(name, 0, "", "no such file", "a CSV file of orders"));
                using var stream = File.OpenRead(name);
                var done = await Run(name, stream, new(LotCommand.NewKey(), line.Clock.GetLocalNow(), input.GetValue(LotCommand.By)), line);
                return face.Say(new Answer(done.Orders, "All orders of the file are opened in one step, each by a record of its own.", []), console =>
                    console.WriteLine($"{Figure.Of(done.Orders.Count, "order")} opened: {string.Join(", ", done.Orders)}."));
            }));
    }

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapPost("/api/v1/orders/file", async (string key, DateTimeOffset occurredAt, string? person, HttpRequest request, OpenLine line) =>
        {
            using var body = new MemoryStream();
            await request.Body.CopyToAsync(body);
            body.Position = 0;
            return Results.Json(await Run("orders", body, new(key, occurredAt, person), line), Json.Options);
        }).Accepts<string>("text/csv").WithSummary("Open the orders of a CSV file, all or none");
        app.MapPost("/orders/open-file", async (IFormFile? file, [FromForm] string key, OpenLine line, SentForms forms) =>
        {
            if (file is null) throw new InputException(new InputError("file", 0, "", "nothing", "a CSV file of orders"));
            using var stream = file.OpenReadStream();
            var done = await Run(file.FileName, stream, new(key, forms.FirstAt(key)), line);
            return Results.Redirect(Invariant($"/orders?opened={done.Orders.Count}"));
        }).ExcludeFromDescription();
        app.MapPost("/orders/open", async (
            [FromForm] string order, [FromForm] string product, [FromForm] int quantity, [FromForm] string? customer, [FromForm] string? due, [FromForm] string key, OpenLine line, SentForms forms) =>
        {
            var errors = new List<InputError>();
            var until = NamedRows.Day("order", 0, "due", due?.Trim() ?? "", line.Clock.LocalTimeZone, errors);
            if (errors.Count > 0) throw new InputException(errors);
            // The page offers product and variant as one choice: "af-85" or "af-85/us-20".
            var of = product.Split('/', 2);
            var outcome = await ActOnOrder.Open(new(key, order.Trim(), of[0], quantity, forms.FirstAt(key), of.ElementAtOrDefault(1), string.IsNullOrWhiteSpace(customer) ? null : customer, until), line);
            return outcome.Refused is { } no ? DecideOnOrder.Refused(no) : Results.Redirect("/orders?opened=1");
        }).ExcludeFromDescription();
    }

    /// <exception cref="InputException">Every mistake in the file; nothing of it was kept.</exception>
    public static Task<OrderFileAnswer> Run(string source, Stream stream, ReceiveDelivery.Sender sender, OpenLine line)
    {
        var (table, plant) = (OrderFile.Read(source, stream, line.Clock.LocalTimeZone), line.Plant);
        return line.Ledger.Write(t => OpenOrders.Decide(t, new(sender.Key, table, sender.OccurredAt, sender.Person), plant));
    }
}
