using Microsoft.AspNetCore.Mvc;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Lots;

/// <summary>What a person does to a lot from its page: hold, release, split off, pour together, bring.</summary>
public static class DecideOnLot
{
    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapPost("/lots/{lot}/decide", async (string lot, [FromForm] string act, [FromForm] string reason, [FromForm] string key, OpenLine line, SentForms forms) =>
        {
            var said = new ActOnLot.Request(key, reason, forms.FirstAt(key));
            return Answer(lot, act == "release" ? await ActOnLot.Release(lot, said, line) : await ActOnLot.Hold(lot, said, line));
        }).ExcludeFromDescription();
        app.MapPost("/lots/{lot}/split", async (string lot, [FromForm] string into, [FromForm] int quantity, [FromForm] string key, OpenLine line, SentForms forms) =>
            Answer(lot, await ActOnLot.Split(lot, new(key, into.Trim(), quantity, forms.FirstAt(key)), line), into.Trim())).ExcludeFromDescription();
        app.MapPost("/lots/{lot}/mix", async (string lot, [FromForm] int quantity, [FromForm] string with, [FromForm] int withQuantity, [FromForm] string into, [FromForm] string key, OpenLine line, SentForms forms) =>
            Answer(lot, await ActOnLot.Mix(new(key, into.Trim(), [new(lot, quantity), new(with.Trim(), withQuantity)], forms.FirstAt(key)), line), into.Trim())).ExcludeFromDescription();
        app.MapPost("/lots/{lot}/bring", async (string lot, [FromForm] string? station, [FromForm] string key, OpenLine line, SentForms forms) =>
            Answer(lot, await ActOnLot.Bring(lot, new(key, forms.FirstAt(key), string.IsNullOrEmpty(station) ? null : station), line))).ExcludeFromDescription();
    }

    /// <param name="made">The lot that was made; the answer is its page.</param>
    static IResult Answer<T>(string lot, Outcome<T> outcome, string? made = null)
        where T : class =>
        Results.Redirect(outcome.Refused is { } no ? $"/lots/{Uri.EscapeDataString(lot)}?refused={Uri.EscapeDataString($"{no.Reason} {no.Remedy}")}" : $"/lots/{Uri.EscapeDataString(made ?? lot)}");
}
