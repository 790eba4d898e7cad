using System.Text.Json.Serialization;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Messages;
using Roadproof.Records.Rework;

namespace Roadproof.App.Rework;

/// <summary>What a repairer asks and does: the list, one unit, a measurement, a part swapped, a part decided on. A rework ends with the unit's release or scrap.</summary>
public static class ReworkUnit
{
    /// <summary>A part came out, and another went in.</summary>
    /// <param name="Place">Where the old part goes: scrap, stock or hold.</param>
    /// <param name="In">Left out where the station puts one in when its step is done again.</param>
    public sealed record SwapRequest(string Key, MessagePart Out, string Place, string Reason, [property: JsonRequired] DateTimeOffset OccurredAt, MessagePart? In = null, string? Person = null);

    /// <summary>Something was measured.</summary>
    /// <param name="Id">A reading of the route; another measurement has a <paramref name="Name"/> instead.</param>
    public sealed record MeasureRequest(string Key, [property: JsonRequired] DateTimeOffset OccurredAt, string? Id = null, string? Name = null, double? Value = null, string? Unit = null, string? Text = null, string? Person = null);

    /// <summary>A part that came out and is on hold goes to scrap or back to stock.</summary>
    public sealed record PlaceRequest(string Key, string Unit, MessagePart Part, string Place, string Reason, [property: JsonRequired] DateTimeOffset OccurredAt, string? Person = null);

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapGet("/api/v1/rework", (int? from, int? count, OpenLine line) => Results.Json(List(from ?? 0, count ?? 50, line), Json.Options))
            .WithSummary("Stopped units, the longest wait first; parts on hold out of units; how often the diagnosis was right");
        app.MapGet("/api/v1/rework/{unit}", (string unit, OpenLine line) => View(unit, line) is { } view ? Results.Json(view, Json.Options) : Problems.Missing($"No unit {unit} in this plant.", "Scan the code again, or search for the beginning of it."))
            .WithSummary("One unit as its repairer sees it: what failed, causes, next measurement, ways back");
        app.MapPost("/api/v1/units/{unit}/swap", async (string unit, SwapRequest said, OpenLine line) => (await Swap(unit, said, line)).ToHttp()).WithSummary("Record that a part of a stopped unit was changed");
        app.MapPost("/api/v1/units/{unit}/measure", async (string unit, MeasureRequest said, OpenLine line) => (await Measure(unit, said, line)).ToHttp()).WithSummary("Record a measurement on a stopped unit");
        app.MapPost("/api/v1/rework/parts", async (PlaceRequest said, OpenLine line) => (await Place(said, line)).ToHttp()).WithSummary("Decide on a part that came out of a unit and is on hold");
    }

    public static ReworkListView List(int from, int count, OpenLine line) => line.Ask(c => ReworkList.Run(c, line.Plant, Math.Max(0, from), Math.Clamp(count, 1, 500)));

    public static ReworkView? View(string unit, OpenLine line) => line.Ask(c => ReworkQuery.Run(c, line.Plant, unit));

    public static Task<Outcome<PartSwapAnswer>> Swap(string unit, SwapRequest said, OpenLine line)
    {
        var plant = line.Plant;
        return line.Ledger.Write(t => SwapPart.Decide(t, new(said.Key, unit, said.Out, said.Place, said.In, said.Reason, said.OccurredAt, said.Person), plant));
    }

    public static Task<Outcome<UnitMeasurementAnswer>> Measure(string unit, MeasureRequest said, OpenLine line)
    {
        var plant = line.Plant;
        return line.Ledger.Write(t => MeasureUnit.Decide(t, new(said.Key, unit, said.Id, said.Name, said.Value, said.Unit, said.Text, said.OccurredAt, said.Person), plant));
    }

    public static Task<Outcome<PartPlacingAnswer>> Place(PlaceRequest said, OpenLine line) =>
        line.Ledger.Write(t => PlacePart.Decide(t, new(said.Key, said.Unit, said.Part, said.Place, said.Reason, said.OccurredAt, said.Person)));
}
