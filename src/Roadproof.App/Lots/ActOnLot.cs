using System.Text.Json.Serialization;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Lots;

namespace Roadproof.App.Lots;

/// <summary>Receives, holds and releases lots. A hold stops every unit that contains the lot.</summary>
public static class ActOnLot
{
    /// <summary>What a person or program says when holding or releasing.</summary>
    /// <param name="OccurredAt">The sender's time: a repeat with the same key says the same time.</param>
    public sealed record Request(string Key, string Reason, [property: JsonRequired] DateTimeOffset OccurredAt, string? Person = null);

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapPost("/api/v1/lots", async (LotReceipt said, OpenLine line) => (await Receive(said, line)).ToHttp()).WithSummary("Receive a lot");
        app.MapPost("/api/v1/lots/{lot}/hold", async (string lot, Request said, OpenLine line) => (await Hold(lot, said, line)).ToHttp())
            .WithSummary("Hold a lot and every unit that contains it");
        app.MapPost("/api/v1/lots/{lot}/release", async (string lot, Request said, OpenLine line) => (await Release(lot, said, line)).ToHttp())
            .WithSummary("Release a lot and the units held for it alone");
    }

    public static Task<Outcome<LotActAnswer>> Receive(LotReceipt said, OpenLine line)
    {
        var plant = line.Plant;
        return line.Ledger.Write(t => ReceiveLot.Decide(t, said, plant));
    }

    public static Task<Outcome<LotActAnswer>> Hold(string lot, Request said, OpenLine line) => line.Ledger.Write(t => HoldLot.Decide(t, Act("hold", lot, said)));

    public static Task<Outcome<LotActAnswer>> Release(string lot, Request said, OpenLine line) => line.Ledger.Write(t => ReleaseLot.Decide(t, Act("release", lot, said)));

    static LotAct Act(string act, string lot, Request said) => new(act, lot, said.Key, said.Reason, said.OccurredAt, said.Person);
}
