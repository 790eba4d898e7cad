using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;

namespace Roadproof.Records.Orders;

/// <summary>What stands in the way of building a unit for its order: no order, a full one, a station that is not cleared for it, another customer.</summary>
static class OrderInterlocks
{
    public static IEnumerable<Refusal> Broken(Situation s)
    {
        // A unit that nobody knows, or that is out of order, is told as such.
        if (s.Unit is null && !s.IsFirstStep) return [];
        if (s.Order is not { } order) return None(s);
        return Place(s, order).Concat(Taken(s, order)).Concat(Cleared(s, order)).Concat(s.Said.Stage == "finish" && s.Step.Kind == StepKind.Pack ? Customer(s, order) : []);
    }

    static IEnumerable<Refusal> None(Situation s)
    {
        if (s.Revision.Product.Variants.Count == 0) yield break;
        yield return new($"No order runs on {s.Revision.Line.Name}, so nobody knows as what {s.UnitCode} is built.", "Call the shift lead to start the order.", $"an order for {Names(s.Revision.Product.Variants)}", "no order running");
    }

    static string Names(IReadOnlyList<ProductVariant> variants) => string.Join(" or ", variants.Select(v => v.Name));

    static IEnumerable<Refusal> Place(Situation s, OrderRow order)
    {
        if (s.Unit?.Order is not null) yield break;
        if (order.Variant is { } variant && s.Revision.VariantOf(variant) is null)
            yield return new($"Order {order.Order} wants variant {variant}, which {s.Revision.Id} does not have.", "Call the shift lead: the order is ended short, or definitions that have it are approved.", variant, string.Join(", ", s.Revision.Product.Variants.Select(v => v.Id)));
        if (order.Variant is null && s.Revision.Product.Variants is { Count: > 0 } variants)
            yield return new($"Order {order.Order} names no variant, and {s.Revision.Product.Name} has some now.", "Call the shift lead to end it short and to start one that names its variant.", Names(variants), "no variant");
        var count = OrderBook.Count(s.Connection, s.Transaction, order.Order);
        if (count.Good + count.UnderWay >= order.Quantity)
            yield return new($"Order {order.Order} has all its {OrderBook.Text(order.Quantity)} units under way or done.", "Put the shell aside and call the shift lead to start the next order.", $"a place in order {order.Order}", $"{OrderBook.Text(count.Good + count.UnderWay)} of {OrderBook.Text(order.Quantity)}");
    }

    // A unit that was only reported while no order ran may hold parts of any variant.
    static IEnumerable<Refusal> Taken(Situation s, OrderRow order)
    {
        if (s.Unit is not { Order: null } unit) yield break;
        foreach (var (step, part) in s.Connection.Rows(
            "select step, part from part_use where unit = @Unit and replaced is null and via is null order by step_number, part", new { unit.Unit }, s.Transaction, row => (row.GetString(0), row.GetString(1))))
        {
            if (s.Revision.StepOf(step) is { } done && done.AsksVariant() && done.Parts.All(p => p.Part != part))
                yield return new($"{s.UnitCode} has {PartSaid.Of(s.Revision, part)} in, which order {order.Said(s.Revision)} does not take.", $"Hold it and send it back to {done.Name}, or scrap it.", PartSaid.List(s.Revision, done), PartSaid.Of(s.Revision, part));
        }
    }

    static IEnumerable<Refusal> Cleared(Situation s, OrderRow order)
    {
        if (!s.Step.AsksVariant() || s.Place.Step != s.Step.Id) yield break;
        var setup = StationSetup.Last(s.Connection, s.Transaction, s.Station, s.Said.Kind == "report" ? s.Said.OccurredAt : null);
        if (!StationSetup.IsNotFor(setup, order, s.Revision, s.Step.Id)) yield break;
        var found = setup?.Order is { } other && OrderBook.Find(s.Connection, s.Transaction, other) is { } last ? $"set up for {last.Said(s.Revision)}" : "not set up for any order";
        yield return order.State == "running"
            ? new($"{s.Station} is not cleared for order {order.Said(s.Revision)}.", $"Clear it first: the page of {s.Station} says what to take away.", $"cleared for {order.Order}", found)
            : new($"{s.Station} is {found}, and {s.UnitCode} is built for {order.Said(s.Revision)}.", $"Put it aside until {s.Station} is cleared for {order.Order} again; the page of the orders leads there.", $"set up for {order.Order}", found);
    }

    static IEnumerable<Refusal> Customer(Situation s, OrderRow order)
    {
        if (order.Customer is { } customer && s.Said.Readings.FirstOrDefault(r => r.Id == PackReadings.Customer)?.Text is { } packed && packed != customer)
            yield return new($"Order {order.Order} is for {customer}, not for {packed}.", $"Pack {s.UnitCode} for {customer}.", customer, packed);
    }
}

/// <summary>A part as a person would say it, with what tells it from the others: "Gear set, ratio 33.9".</summary>
static class PartSaid
{
    public static string Of(RouteRevision revision, string part) => revision.Parts.FirstOrDefault(p => p.Id == part) is { } known ? Of(known) : part;

    public static string Of(PartDefinition part) => part.Variant.Length > 0 ? $"{part.Name}, {part.Variant}" : part.Name;

    public static string List(RouteRevision revision, RouteStep step) => string.Join("; ", step.Parts.Select(p => Of(revision, p.Part)));
}
