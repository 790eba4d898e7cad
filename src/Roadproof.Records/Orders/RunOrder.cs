using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Orders;

/// <summary>From now on new units take this order.</summary>
/// <param name="Instead">The order that runs now, as the sender sees it; null where none does. Of two people who start an order at once the second is told.</param>
public sealed record OrderStart(string Key, string Order, DateTimeOffset OccurredAt, string? Instead = null, string? Person = null);

/// <summary>No new unit takes the order any more; those under way go on under it.</summary>
/// <param name="Reason">Needed where it ends short of its quantity.</param>
public sealed record OrderEnd(string Key, string Order, DateTimeOffset OccurredAt, string? Reason = null, string? Person = null);

/// <summary>Body of an order's start.</summary>
public sealed record OrderStartedBody(OrderStart Said, OrderStartDecision Decided);

/// <summary>What an order's start came to.</summary>
/// <param name="Replaced">The order that ran until then.</param>
/// <param name="Clear">Stations that have to be cleared before they take a unit of it.</param>
/// <param name="Kept">Stations whose step is the same for both orders: they are set up for it as they are.</param>
public sealed record OrderStartDecision(string Order, string Product, string Line, string? Variant, string? Replaced, IReadOnlyList<string> Clear, IReadOnlyList<string> Kept);

/// <summary>Body of an order's end.</summary>
public sealed record OrderEndedBody(OrderEnd Said, OrderEndDecision Decided);

/// <summary>What an order's end came to.</summary>
/// <param name="State">finished, ended (short).</param>
public sealed record OrderEndDecision(string Order, string State, int Good, int Scrapped, int UnderWay);

/// <summary>Starts an order on its product's line, in place of the one that runs there.</summary>
public static class StartOrder
{
    /// <exception cref="InputException">The act cannot be understood.</exception>
    public static Outcome<OrderAnswer> Decide(LedgerTransaction t, OrderStart said, PlantContext plant)
    {
        OrderActs.Require(said.Key, said.Order);
        if (Repeats.Find(t, said.Key, OrderBook.Office, said) is { } earlier) return earlier.Same ? Answer(earlier.Record, repeat: true) : ActCheck.OtherContent(said.Key);
        if (OrderBook.Find(t.Connection, t.Transaction, said.Order) is not { } order) return OrderBook.Unknown(said.Order);
        if (plant.Standing.FirstOrDefault(r => r.Product.Id == order.Product) is not { } revision || plant.Withdrawn.Any(w => w.Product == order.Product))
            return new Refusal($"No new unit of {order.Product} is built: it is withdrawn.", "Approve definitions that have it, or end the order short.", "a product that is built", order.Product);
        if (Forbidden(t, said, order, revision) is { } no) return no;

        var stations = revision.Product.Variants.Count == 0 ? [] : revision.Line.Stations;
        var clear = stations.Where(s => MustBeCleared(t, s, order, revision)).Select(s => s.Id).ToList();
        var decided = new OrderStartDecision(
            order.Order, order.Product, revision.Line.Id, order.Variant, OrderBook.Running(t.Connection, t.Transaction, order.Product)?.Order, clear, [.. stations.Select(s => s.Id).Except(clear, StringComparer.Ordinal)]);
        return Answer(t.Append(new(said.Key, RecordKinds.OrderStarted, said.Order, OrderBook.Office, said.OccurredAt, said.Person ?? "", RecordJson.Text(new OrderStartedBody(said, decided)))), repeat: false);
    }

    static Refusal? Forbidden(LedgerTransaction t, OrderStart said, OrderRow order, RouteRevision revision)
    {
        var line = revision.Line.Name;
        if (order.State == "running") return new($"Order {order.Order} runs on {line} already.", "Nothing needs to be started.", "an order that does not run", "running");
        if (OrderActs.Ended(order) is { } ended) return ended;
        if (order.Variant is { } variant && revision.VariantOf(variant) is null)
            return new($"{revision.Id} has no variant {variant}, which order {order.Order} is for.", "Approve definitions that have it, or end the order short and open one for another variant.", variant, string.Join(", ", revision.Product.Variants.Select(v => v.Id)));
        if (order.Variant is null && revision.Product.Variants.Count > 0)
            return new($"Order {order.Order} names no variant, and {revision.Product.Name} has variants now.", "End it short and open one that names its variant.", "a variant", "none");

        var running = OrderBook.Running(t.Connection, t.Transaction, order.Product);
        if (running is not null && running.Order != said.Instead)
            return new($"Order {running.Order} runs on {line}.", $"Start {order.Order} instead of {running.Order}, or end {running.Order} first.", said.Instead ?? "no order running", running.Order);
        if (running is null && said.Instead is { } instead)
            return new($"Order {instead} does not run on {line} any more.", $"Look at the line again, then start {order.Order}.", instead, "no order running");
        return OrderBook.LastRun(t.Connection, t.Transaction, order.Product) is { } last && (last.EndedAt ?? last.StartedAt) is var moved && moved > said.OccurredAt
            ? new($"Order {last.Order} ran on {line} at that time.", "Set the clock of the sender and send it again with a new key.", $"after {Utc.Text(moved)}", Utc.Text(said.OccurredAt)) : null;
    }

    static bool MustBeCleared(LedgerTransaction t, StationDefinition station, OrderRow order, RouteRevision revision)
    {
        if (revision.StepOf(station.Step) is not { } step || !step.AsksVariant()) return false;
        var setup = StationSetup.Last(t.Connection, t.Transaction, station.Id);
        // Who was asked to clear may have begun to; what lies there that nobody takes was left over.
        return (setup is not null && (setup.Asked is not null || revision.Differs(step.Id, setup.Variant, order.Variant)))
            || LeftOver.At(t.Connection, t.Transaction, station.Id, revision.For(revision.VariantOf(order.Variant)).StepOf(step.Id)!).Count > 0;
    }

    static OrderAnswer Answer(LedgerRecord record, bool repeat)
    {
        var d = RecordJson.Read<OrderStartedBody>(record.Body).Decided;
        return new(record.Sequence, d.Order, "running", d.Clear, 0, 0, 0, repeat);
    }
}

/// <summary>Ends an order: finished where its quantity is good, short with a reason where it is not.</summary>
public static class EndOrder
{
    /// <exception cref="InputException">The act cannot be understood.</exception>
    public static Outcome<OrderAnswer> Decide(LedgerTransaction t, OrderEnd said)
    {
        OrderActs.Require(said.Key, said.Order);
        if (Repeats.Find(t, said.Key, OrderBook.Office, said) is { } earlier) return earlier.Same ? Answer(earlier.Record, repeat: true) : ActCheck.OtherContent(said.Key);
        if (OrderBook.Find(t.Connection, t.Transaction, said.Order) is not { } order) return OrderBook.Unknown(said.Order);
        if (OrderActs.Ended(order) is { } ended) return ended;

        var count = OrderBook.Count(t.Connection, t.Transaction, order.Order);
        var whole = count.Good >= order.Quantity;
        if (!whole && string.IsNullOrWhiteSpace(said.Reason))
        {
            var found = $"{OrderBook.Text(count.Good)} of {OrderBook.Text(order.Quantity)}";
            return new Refusal($"Order {order.Order} has {found} units good.", "Build the rest, or say why it ends short.", $"{OrderBook.Text(order.Quantity)} good, or a reason", found);
        }

        var decided = new OrderEndDecision(order.Order, whole ? "finished" : "ended", count.Good, count.Scrapped, count.UnderWay);
        return Answer(t.Append(new(said.Key, RecordKinds.OrderEnded, said.Order, OrderBook.Office, said.OccurredAt, said.Person ?? "", RecordJson.Text(new OrderEndedBody(said, decided)))), repeat: false);
    }

    static OrderAnswer Answer(LedgerRecord record, bool repeat)
    {
        var d = RecordJson.Read<OrderEndedBody>(record.Body).Decided;
        return new(record.Sequence, d.Order, d.State, [], d.Good, d.Scrapped, d.UnderWay, repeat);
    }
}

/// <summary>What the acts on an order have in common.</summary>
static class OrderActs
{
    public static void Require(string key, string order)
    {
        var errors = new List<InputError>();
        if (SenderKey.Wrong("order", key) is { } wrong) errors.Add(wrong);
        if (OrderBook.WrongCode("order", 0, order) is { } code) errors.Add(code);
        if (errors.Count > 0) throw new InputException(errors);
    }

    public static Refusal? Ended(OrderRow order) => order.State switch
    {
        "finished" => new($"Order {order.Order} is finished.", "Open another one for more units.", "an order that has not ended", "finished"),
        "ended" => new($"Order {order.Order} was ended short: {order.Reason?.TrimEnd('.')}.", "Open another one for more units.", "an order that has not ended", "ended"),
        _ => null,
    };
}
