using Microsoft.AspNetCore.Mvc;
using Roadproof.App.Frame;

namespace Roadproof.App.LoadTest.Rigs;

/// <summary>What a person does from the rigs' page with the units that a reference run has stopped.</summary>
public static class DecideOnRig
{
    public static void Map(IEndpointRouteBuilder app) =>
        app.MapPost("/rigs/{rig}/decide", async (string rig, [FromForm] string act, [FromForm] string reason, [FromForm] string key, OpenLine line, SentForms forms) =>
        {
            var refused = act == "rejudge"
                ? (await RejudgeUnits.Decide(new(rig, key, reason, forms.FirstAt(key)), line)).Refused
                : (await RigStatus.Decide(new(act == "keep" ? "keep" : "retest", rig, key, reason, forms.FirstAt(key)), line)).Refused;
            return Results.Redirect(refused is { } no ? $"/rigs?refused={Uri.EscapeDataString($"{no.Reason} {no.Remedy}")}" : $"/rigs#{Uri.EscapeDataString(rig)}");
        }).ExcludeFromDescription();
}
