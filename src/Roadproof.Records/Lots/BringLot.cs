using Dapper;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;
using Roadproof.Records.Orders;

namespace Roadproof.Records.Lots;

/// <summary>A lot that was carried to a station.</summary>
/// <param name="Station">Null: back to the store.</param>
/// <param name="Counted">Pieces that were counted as it was carried: the count goes on from there.</param>
public sealed record LotBrought(string Key, string Lot, string? Station, DateTimeOffset OccurredAt, string? Person = null, int? Counted = null);

/// <summary>What a person hears who brought a lot.</summary>
/// <param name="TakeFirst">A lot of the same part in the store that expires, or came, before this one.</param>
public sealed record LotBroughtAnswer(long Sequence, string Lot, string? Station, string? TakeFirst, bool Repeat);

/// <summary>Body of a lot's bringing.</summary>
public sealed record LotBroughtBody(LotBrought Said, LotBroughtDecision Decided);

/// <summary>What bringing a lot came to.</summary>
public sealed record LotBroughtDecision(string? TakeFirst);

/// <summary>Says that a lot lies at a station now. What is on hold or expired stays in the store, and so does what the station's step does not take.</summary>
public static class BringLot
{
    /// <exception cref="InputException">The act names no key, no lot, or a station that nobody knows.</exception>
    public static Outcome<LotBroughtAnswer> Decide(LedgerTransaction t, LotBrought said, PlantContext plant)
    {
        var errors = new List<InputError>();
        if (SenderKey.Wrong("lot", said.Key) is { } wrong) errors.Add(wrong);
        if (LotBook.WrongCode("lot", 0, "lot", said.Lot) is { } code) errors.Add(code);
        if (said.Station is { } named && plant.At(named) is null)
            errors.Add(new("lot", 0, "station", $"'{named}'", "a station of this plant", NearestWord.Hint(named, plant.Standing.SelectMany(r => r.Line.Stations).Select(s => s.Id).ToList())));
        if (said.Counted < 0) errors.Add(new("lot", 0, "counted", OrderBook.Text(said.Counted.Value), "0 or more pieces"));
        if (errors.Count > 0) throw new InputException(errors);

        if (Repeats.Find(t, said.Key, LotBook.Office, said) is { } earlier) return earlier.Same ? Answer(earlier.Record, repeat: true) : ActCheck.OtherContent(said.Key);
        if (t.Connection.QueryFirstOrDefault<Row>("select part Part, state State, reason Reason, expires_at ExpiresAt, quantity Quantity from lot where lot = @Lot", new { said.Lot }, t.Transaction) is not { } lot)
            return LotBook.Unknown(said.Lot);
        if (said.Counted > lot.Quantity)
            return new Refusal($"Lot {said.Lot} had {OrderBook.Text(lot.Quantity)} pieces in all; {OrderBook.Text(said.Counted.Value)} cannot be left of it.", "Count again.", $"at most {OrderBook.Text(lot.Quantity)}", OrderBook.Text(said.Counted.Value));
        if (said.Station is { } station && Refusal(t, said, lot, station, plant) is { } no) return no;

        var decided = new LotBroughtDecision(said.Station is null ? null : FirstOut.EarlierInStore(t.Connection, t.Transaction, said.Lot, Utc.Text(t.Now)));
        return Answer(t.Append(new(said.Key, RecordKinds.LotBrought, said.Lot, LotBook.Office, said.OccurredAt, said.Person ?? "", RecordJson.Text(new LotBroughtBody(said, decided)))), repeat: false);
    }

    static Refusal? Refusal(LedgerTransaction t, LotBrought said, Row lot, string station, PlantContext plant)
    {
        var revision = plant.At(station)!;
        var step = revision.StepOf(revision.StationOf(station)!.Step)!;
        var name = plant.PartName(lot.Part);
        if (!revision.PartsOf(step).Contains(lot.Part, StringComparer.Ordinal))
        {
            var wanted = step.Parts.Count == 0 ? "no part" : string.Join(", ", step.Parts.Select(p => plant.PartName(p.Part)));
            return new($"{name} does not belong to {step.Name}.", "Take it to a station that puts it in.", wanted, name);
        }

        if (OfAnotherOrder(t, lot, station, revision, step) is { } other) return other;

        if (lot.State == "held") return new($"Lot {said.Lot} is on hold: {lot.Reason}.", "Put it aside and take another lot.", "an open lot", $"{said.Lot} on hold");
        if (LotFamily.HeldSources(t.Connection, t.Transaction, said.Lot) is [var source, ..])
            return new($"Lot {said.Lot} is on hold because {source.Lot}, which went into it, is: {source.Reason}.", "Put it aside and take another lot.", "an open lot", $"{said.Lot} on hold");
        return lot.ExpiresAt is { } expiry && Utc.Text(said.OccurredAt).CompareTo(expiry, StringComparison.Ordinal) > 0
            ? new($"Lot {said.Lot} expired on {expiry[..10]}.", "Put it aside and take a lot that has not expired.", "a lot within its shelf life", $"expired {expiry[..10]}")
            : null;
    }

    // Two orders' parts do not lie in one place: what the next one takes comes when the station is cleared for it.
    static Refusal? OfAnotherOrder(LedgerTransaction t, Row lot, string station, RouteRevision revision, RouteStep step)
    {
        if (StationSetup.Last(t.Connection, t.Transaction, station) is not { Order: { } set } setup || OrderBook.Find(t.Connection, t.Transaction, set) is not { } order) return null;
        if (revision.VariantOf(order.Variant) is not { } variant || revision.For(variant).StepOf(step.Id)!.Parts.Any(p => p.Part == lot.Part)) return null;
        var (said, found) = (order.Said(revision), PartSaid.Of(revision, lot.Part));
        return new($"{station} is set up for {said}, which takes no {found}.", setup.Asked is { } asked ? $"Clear {station} for {asked} first." : "Take it back to the store.", PartSaid.List(revision, revision.For(variant).StepOf(step.Id)!), found);
    }

    static LotBroughtAnswer Answer(LedgerRecord record, bool repeat)
    {
        var (said, decided) = RecordJson.Read<LotBroughtBody>(record.Body);
        return new(record.Sequence, said.Lot, said.Station, decided.TakeFirst, repeat);
    }

    sealed record Row(string Part, string State, string? Reason, string? ExpiresAt, long Quantity);
}
