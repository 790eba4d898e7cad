using Microsoft.AspNetCore.Mvc;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Orders;

/// <summary>What a person does to an order from the page of the orders: start it, end it.</summary>
public static class DecideOnOrder
{
    public static void Map(IEndpointRouteBuilder app)
    {
        // The page says what it showed as running: what changed meanwhile is told.
        app.MapPost("/orders/{order}/start", async (string order, [FromForm] string? instead, [FromForm] string key, OpenLine line, SentForms forms) =>
            Answer(await ActOnOrder.Start(order, new(key, forms.FirstAt(key), string.IsNullOrEmpty(instead) ? null : instead), line))).ExcludeFromDescription();
        app.MapPost("/orders/{order}/end", async (string order, [FromForm] string? reason, [FromForm] string key, OpenLine line, SentForms forms) =>
            Answer(await ActOnOrder.End(order, new(key, forms.FirstAt(key), string.IsNullOrWhiteSpace(reason) ? null : reason.Trim()), line))).ExcludeFromDescription();
    }

    public static IResult Refused(Refusal no) => Results.Redirect($"/orders?refused={Uri.EscapeDataString($"{no.Reason} {no.Remedy}")}");

    static IResult Answer<T>(Outcome<T> outcome)
        where T : class => outcome.Refused is { } no ? Refused(no) : Results.Redirect("/orders");
}
