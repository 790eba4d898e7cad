using Microsoft.AspNetCore.Mvc;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Unit;

/// <summary>A person's decision on a unit, from its page.</summary>
public static class DecideOnUnit
{
    public static void Map(IEndpointRouteBuilder app) => app
        .MapPost("/units/{unit}/decide", async (string unit, [FromForm] string act, [FromForm] string reason, [FromForm] string? backTo, OpenLine line) =>
        {
            var refused = await Run(unit, act, reason, backTo, line);
            return Results.Redirect($"/units/{Uri.EscapeDataString(unit)}{(refused is null ? "" : $"?refused={Uri.EscapeDataString($"{refused.Reason} {refused.Remedy}")}#decide")}");
        })
        .ExcludeFromDescription();

    /// <returns>Null when it was done.</returns>
    public static async Task<Refusal?> Run(string unit, string act, string reason, string? backTo, OpenLine line)
    {
        var said = new ActOnUnit.Request($"screen-unit-{Guid.NewGuid():N}", reason, line.Clock.GetLocalNow(), BackTo: string.IsNullOrEmpty(backTo) ? null : backTo);
        return (act switch
        {
            "release" => await ActOnUnit.Release(unit, said, line),
            "scrap" => await ActOnUnit.Scrap(unit, said, line),
            _ => await ActOnUnit.Hold(unit, said, line),
        }).Refused;
    }
}
