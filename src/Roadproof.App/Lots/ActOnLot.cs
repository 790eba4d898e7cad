using System.Text.Json.Serialization;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Lots;

namespace Roadproof.App.Lots;

/// <summary>Receives, holds, releases, splits, mixes and brings lots. A hold stops every unit that contains the lot or what was made of it.</summary>
public static class ActOnLot
{
    /// <summary>What a person or program says when holding or releasing.</summary>
    /// <param name="OccurredAt">The sender's time: a repeat with the same key says the same time.</param>
    public sealed record Request(string Key, string Reason, [property: JsonRequired] DateTimeOffset OccurredAt, string? Person = null);

    /// <summary>Part of the lot gets a label of its own.</summary>
    public sealed record SplitRequest(string Key, string Into, int Quantity, [property: JsonRequired] DateTimeOffset OccurredAt, string? Person = null);

    /// <summary>Lots poured together get one label.</summary>
    public sealed record MixRequest(string Key, string Lot, IReadOnlyList<LotShare?>? Sources, [property: JsonRequired] DateTimeOffset OccurredAt, string? Person = null);

    /// <summary>The lot was carried to a station; without one, back to the store.</summary>
    /// <param name="Counted">Pieces that were counted as it was carried.</param>
    public sealed record BringRequest(string Key, [property: JsonRequired] DateTimeOffset OccurredAt, string? Station = null, string? Person = null, int? Counted = null);

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapPost("/api/v1/lots", async (LotReceipt said, OpenLine line) => (await Receive(said, line)).ToHttp()).WithSummary("Receive a lot");
        app.MapPost("/api/v1/lots/mix", async (MixRequest said, OpenLine line) => (await Mix(said, line)).ToHttp()).WithSummary("Make one lot of what was poured together");
        app.MapPost("/api/v1/lots/{lot}/hold", async (string lot, Request said, OpenLine line) => (await Hold(lot, said, line)).ToHttp())
            .WithSummary("Hold a lot and every unit that contains it");
        app.MapPost("/api/v1/lots/{lot}/release", async (string lot, Request said, OpenLine line) => (await Release(lot, said, line)).ToHttp())
            .WithSummary("Release a lot and the units held for it alone");
        app.MapPost("/api/v1/lots/{lot}/split", async (string lot, SplitRequest said, OpenLine line) => (await Split(lot, said, line)).ToHttp()).WithSummary("Make part of a lot a lot of its own");
        app.MapPost("/api/v1/lots/{lot}/bring", async (string lot, BringRequest said, OpenLine line) => (await Bring(lot, said, line)).ToHttp()).WithSummary("Bring a lot to a station, or back to the store");
    }

    public static Task<Outcome<LotActAnswer>> Receive(LotReceipt said, OpenLine line)
    {
        var plant = line.Plant;
        return line.Ledger.Write(t => ReceiveLot.Decide(t, said, plant));
    }

    public static Task<Outcome<LotActAnswer>> Hold(string lot, Request said, OpenLine line) => line.Ledger.Write(t => HoldLot.Decide(t, Act("hold", lot, said)));

    public static Task<Outcome<LotActAnswer>> Release(string lot, Request said, OpenLine line) => line.Ledger.Write(t => ReleaseLot.Decide(t, Act("release", lot, said)));

    public static Task<Outcome<LotMadeAnswer>> Split(string lot, SplitRequest said, OpenLine line) =>
        line.Ledger.Write(t => SplitLot.Decide(t, new(said.Key, lot, said.Into, said.Quantity, said.OccurredAt, said.Person)));

    public static Task<Outcome<LotMadeAnswer>> Mix(MixRequest said, OpenLine line) =>
        line.Ledger.Write(t => MixLots.Decide(t, new(said.Key, said.Lot, [.. (said.Sources ?? []).OfType<LotShare>()], said.OccurredAt, said.Person)));

    public static Task<Outcome<LotBroughtAnswer>> Bring(string lot, BringRequest said, OpenLine line)
    {
        var plant = line.Plant;
        return line.Ledger.Write(t => BringLot.Decide(t, new(said.Key, lot, said.Station, said.OccurredAt, said.Person, said.Counted), plant));
    }

    static LotAct Act(string act, string lot, Request said) => new(act, lot, said.Key, said.Reason, said.OccurredAt, said.Person);
}
