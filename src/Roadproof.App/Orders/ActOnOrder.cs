using System.Text.Json.Serialization;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Orders;

namespace Roadproof.App.Orders;

/// <summary>Opens, starts and ends production orders, and clears a station for one.</summary>
public static class ActOnOrder
{
    /// <summary>New units take the order from now on.</summary>
    /// <param name="Instead">The order that runs now, as the sender sees it; left out where none does.</param>
    public sealed record StartRequest(string Key, [property: JsonRequired] DateTimeOffset OccurredAt, string? Instead = null, string? Person = null);

    /// <param name="Reason">Needed where the order ends short.</param>
    public sealed record EndRequest(string Key, [property: JsonRequired] DateTimeOffset OccurredAt, string? Reason = null, string? Person = null);

    /// <summary>Nothing of another order lies at the station any more; the person looked.</summary>
    public sealed record ClearRequest(string Key, string Order, string Person, [property: JsonRequired] DateTimeOffset OccurredAt);

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapPost("/api/v1/orders", async (OrderOpening said, OpenLine line) => (await Open(said, line)).ToHttp()).WithSummary("Open a production order");
        app.MapPost("/api/v1/orders/{order}/start", async (string order, StartRequest said, OpenLine line) => (await Start(order, said, line)).ToHttp()).WithSummary("Start an order, in place of the one that runs");
        app.MapPost("/api/v1/orders/{order}/end", async (string order, EndRequest said, OpenLine line) => (await End(order, said, line)).ToHttp()).WithSummary("End an order, finished or short");
        app.MapPost("/api/v1/stations/{station}/clear", async (string station, ClearRequest said, OpenLine line) => (await Clear(station, said, line)).ToHttp()).WithSummary("Say that a station is cleared for an order");
    }

    public static Task<Outcome<OrderAnswer>> Open(OrderOpening said, OpenLine line)
    {
        var plant = line.Plant;
        return line.Ledger.Write(t => OpenOrder.Decide(t, said, plant));
    }

    public static Task<Outcome<OrderAnswer>> Start(string order, StartRequest said, OpenLine line)
    {
        var plant = line.Plant;
        return line.Ledger.Write(t => StartOrder.Decide(t, new(said.Key, order, said.OccurredAt, said.Instead, said.Person), plant));
    }

    public static Task<Outcome<OrderAnswer>> End(string order, EndRequest said, OpenLine line) =>
        line.Ledger.Write(t => EndOrder.Decide(t, new(said.Key, order, said.OccurredAt, said.Reason, said.Person)));

    public static Task<Outcome<ClearanceAnswer>> Clear(string station, ClearRequest said, OpenLine line)
    {
        var plant = line.Plant;
        return line.Ledger.Write(t => ClearStation.Decide(t, new(said.Key, station, said.Order, said.OccurredAt, said.Person), plant));
    }
}
