using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Orders;

/// <summary>A person's word that nothing of another order lies at a station any more: parts, labels, firmware.</summary>
public sealed record Clearance(string Key, string Station, string Order, DateTimeOffset OccurredAt, string? Person = null);

/// <summary>Body of a clearance; its record's item is the station.</summary>
public sealed record StationClearedBody(Clearance Said, ClearanceDecision Decided);

/// <summary>What a clearance came to.</summary>
/// <param name="Before">The order that the station was set up for.</param>
/// <param name="Asked">The running order, where it was cleared for units under way of another one: it has to be cleared for that again.</param>
public sealed record ClearanceDecision(string Station, string Order, string? Variant, string? Before, string? Asked);

/// <summary>What a person hears who cleared a station.</summary>
public sealed record ClearanceAnswer(long Sequence, string Station, string Order, string? Variant, string? Before, bool Repeat);

/// <summary>Clears a station for an order: what the order does not take has been carried away, and a named person says that nothing else of the last one is left.</summary>
public static class ClearStation
{
    /// <exception cref="InputException">The clearance cannot be understood, or nobody is named.</exception>
    public static Outcome<ClearanceAnswer> Decide(LedgerTransaction t, Clearance said, PlantContext plant)
    {
        var errors = new List<InputError>();
        if (SenderKey.Wrong("clearance", said.Key) is { } wrong) errors.Add(wrong);
        if (OrderBook.WrongCode("clearance", 0, said.Order) is { } code) errors.Add(code);
        if (string.IsNullOrWhiteSpace(said.Person)) errors.Add(new("clearance", 0, "person", "nothing", "the key of the person who looked"));
        if (plant.At(said.Station) is not { } revision)
        {
            errors.Add(new("clearance", 0, "station", $"'{said.Station}'", "a station of this plant", NearestWord.Hint(said.Station, plant.Standing.SelectMany(r => r.Line.Stations).Select(s => s.Id).ToList())));
            throw new InputException(errors);
        }

        if (errors.Count > 0) throw new InputException(errors);
        if (Repeats.Find(t, said.Key, said.Station, said) is { } earlier) return earlier.Same ? Answer(earlier.Record, repeat: true) : ActCheck.OtherContent(said.Key);
        if (OrderBook.Find(t.Connection, t.Transaction, said.Order) is not { } order) return OrderBook.Unknown(said.Order);

        var step = revision.StationOf(said.Station)!.Step;
        var route = WithVariant(t, revision, order, plant);
        if (Forbidden(t, said, order, route, step, plant) is { } no) return no;

        var before = StationSetup.Last(t.Connection, t.Transaction, said.Station);
        var running = OrderBook.Running(t.Connection, t.Transaction, order.Product);
        var asked = running is not null && running.Order != order.Order && route.Differs(step, order.Variant, running.Variant) ? running.Order : null;
        var decided = new ClearanceDecision(said.Station, order.Order, order.Variant, before?.Order, asked);
        return Answer(t.Append(new(said.Key, RecordKinds.StationCleared, said.Station, said.Station, said.OccurredAt, said.Person!, RecordJson.Text(new StationClearedBody(said, decided)))), repeat: false);
    }

    static Refusal? Forbidden(LedgerTransaction t, Clearance said, OrderRow order, RouteRevision revision, string stepId, PlantContext plant)
    {
        var (c, station) = (t.Connection, said.Station);
        if (order.Product != revision.Product.Id)
            return new($"Order {order.Order} is for {order.Product}, which {station} does not build.", "Look at the order again.", revision.Product.Id, order.Product);
        if (revision.StepOf(stepId) is not { } step || !step.AsksVariant())
            return new($"{station} does the same for every order.", "Nothing needs to be cleared there.", "a step that differs between variants", revision.StepOf(stepId)?.Name ?? stepId);
        if (order.State != "running" && OrderBook.Count(c, t.Transaction, order.Order).UnderWay == 0)
            return new($"Nothing of order {order.Order} is under way.", "Start the order first; clear for the one that runs.", "a running order", order.State);
        if (StationSetup.Last(c, t.Transaction, station) is { } setup && !StationSetup.IsNotFor(setup, order, revision, step.Id))
            return new($"{station} is set up for {order.Said(revision)} already.", "Nothing needs to be cleared there.", "a station to be cleared", $"set up for {setup.Order}");
        if (c.Rows("select unit from station_state where station = @station and unit is not null", new { station }, t.Transaction, row => row.GetString(0)) is [var unit, ..])
            return new($"{station} is busy with {unit}.", $"Finish {unit} first, then clear.", $"{station} free", unit);

        var left = LeftOver.At(c, t.Transaction, station, revision.For(revision.VariantOf(order.Variant)).StepOf(step.Id)!);
        if (left.Count == 0) return null;
        var lots = string.Join(", ", left.Select(l => $"{l.Lot} ({plant.PartSaid(l.Part)})"));
        return new($"{lots} still {(left.Count == 1 ? "lies" : "lie")} at {station}, and order {order.Said(revision)} takes none of it.", "Count what is left, take it back to the store and scan its label.", "nothing of another order", left[0].Lot);
    }

    // Of an order whose variant is no more, the route that its units under way go by.
    static RouteRevision WithVariant(LedgerTransaction t, RouteRevision standing, OrderRow order, PlantContext plant)
    {
        if (order.Variant is null || standing.VariantOf(order.Variant) is not null) return standing;
        var own = t.Connection.Rows("select revision from unit where work_order = @Order order by sequence desc limit 1", new { order.Order }, t.Transaction, row => row.GetString(0)).FirstOrDefault();
        return own is null ? standing : plant.RevisionOf(own);
    }

    static ClearanceAnswer Answer(LedgerRecord record, bool repeat)
    {
        var d = RecordJson.Read<StationClearedBody>(record.Body).Decided;
        return new(record.Sequence, d.Station, d.Order, d.Variant, d.Before, repeat);
    }
}
