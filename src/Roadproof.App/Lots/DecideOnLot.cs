using Microsoft.AspNetCore.Mvc;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Lots;

/// <summary>A person's decision on a lot, from its page.</summary>
public static class DecideOnLot
{
    public static void Map(IEndpointRouteBuilder app) => app
        .MapPost("/lots/{lot}/decide", async (string lot, [FromForm] string act, [FromForm] string reason, [FromForm] string key, OpenLine line, SentForms forms) =>
        {
            var refused = await Run(lot, act, new(key, reason, forms.FirstAt(key)), line);
            return Results.Redirect($"/lots/{Uri.EscapeDataString(lot)}{(refused is null ? "" : $"?refused={Uri.EscapeDataString($"{refused.Reason} {refused.Remedy}")}")}");
        })
        .ExcludeFromDescription();

    /// <returns>Null when it was done.</returns>
    static async Task<Refusal?> Run(string lot, string act, ActOnLot.Request said, OpenLine line) =>
        (act == "release" ? await ActOnLot.Release(lot, said, line) : await ActOnLot.Hold(lot, said, line)).Refused;
}
