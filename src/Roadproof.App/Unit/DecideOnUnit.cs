using Microsoft.AspNetCore.Mvc;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Unit;

/// <summary>A person's decision on a unit, from its page.</summary>
public static class DecideOnUnit
{
    public static void Map(IEndpointRouteBuilder app) => app
        .MapPost("/units/{unit}/decide", async (string unit, [FromForm] string act, [FromForm] string reason, [FromForm] string? backTo, [FromForm] string key, OpenLine line, SentForms forms) =>
        {
            var refused = await Run(unit, act, new(key, reason, forms.FirstAt(key), BackTo: string.IsNullOrEmpty(backTo) ? null : backTo), line);
            return Results.Redirect($"/units/{Uri.EscapeDataString(unit)}{(refused is null ? "" : $"?refused={Uri.EscapeDataString($"{refused.Reason} {refused.Remedy}")}#decide")}");
        })
        .ExcludeFromDescription();

    /// <returns>Null when it was done.</returns>
    static async Task<Refusal?> Run(string unit, string act, ActOnUnit.Request said, OpenLine line) => (act switch
    {
        "release" => await ActOnUnit.Release(unit, said, line),
        "scrap" => await ActOnUnit.Scrap(unit, said, line),
        _ => await ActOnUnit.Hold(unit, said, line),
    }).Refused;
}
