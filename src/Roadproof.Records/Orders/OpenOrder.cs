using System.Globalization;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Orders;

/// <summary>An order as it comes in: so many units of a product, as which variant, for whom, until when.</summary>
/// <param name="Variant">Needed where the product has variants, and only there.</param>
public sealed record OrderOpening(
    string Key, string Order, string Product, int Quantity, DateTimeOffset OccurredAt, string? Variant = null, string? Customer = null, DateTimeOffset? Due = null, string? Person = null);

/// <summary>Body of an order's opening.</summary>
public sealed record OrderOpenedBody(OrderOpening Said);

/// <summary>What a person hears about an order.</summary>
/// <param name="State">open, running, finished, ended.</param>
/// <param name="ToClear">On a start: stations that have to be cleared before they take a unit of it.</param>
/// <param name="Good">On an end: units that were through and free.</param>
public sealed record OrderAnswer(long Sequence, string Order, string State, IReadOnlyList<string> ToClear, int Good, int Scrapped, int UnderWay, bool Repeat);

/// <summary>Takes an order in.</summary>
public static class OpenOrder
{
    /// <exception cref="InputException">The order cannot be understood.</exception>
    public static Outcome<OrderAnswer> Decide(LedgerTransaction t, OrderOpening said, PlantContext plant)
    {
        var errors = new List<InputError>();
        if (SenderKey.Wrong("order", said.Key) is { } wrong) errors.Add(wrong);
        if (said.Quantity < 1) errors.Add(new("order", 0, "quantity", OrderBook.Text(said.Quantity), "1 or more units"));
        errors.AddRange(Wrong("order", 0, said.Order, said.Product, said.Variant, said.Customer, plant));
        if (errors.Count > 0) throw new InputException(errors);

        if (Repeats.Find(t, said.Key, OrderBook.Office, said) is { } earlier) return earlier.Same ? Answer(earlier.Record.Sequence, said, repeat: true) : ActCheck.OtherContent(said.Key);
        if (OrderBook.Find(t.Connection, t.Transaction, said.Order) is not null)
            return new Refusal($"Order {said.Order} was opened before.", "Give it another code, or look at the order that has this one.", "a new order code", said.Order);
        return Answer(Keep(t, said).Sequence, said, repeat: false);
    }

    internal static LedgerRecord Keep(LedgerTransaction t, OrderOpening said) =>
        t.Append(new(said.Key, RecordKinds.OrderOpened, said.Order, OrderBook.Office, said.OccurredAt, said.Person ?? "", RecordJson.Text(new OrderOpenedBody(said))));

    /// <summary>Everything that an order says and the plant does not know.</summary>
    internal static IEnumerable<InputError> Wrong(string source, int line, string order, string product, string? variant, string? customer, PlantContext plant)
    {
        if (OrderBook.WrongCode(source, line, order) is { } code) yield return code;
        var customers = plant.Standing[0].Plant.Customers;
        if (customer is not null && !customers.Contains(customer, StringComparer.Ordinal))
            yield return new(source, line, "customer", $"'{customer}'", "a customer of this plant, or leave it out", NearestWord.Hint(customer, customers.ToList()));
        if (plant.Standing.FirstOrDefault(r => r.Product.Id == product) is not { } revision)
        {
            var products = plant.Standing.Select(r => r.Product.Id).ToList();
            yield return new(source, line, "product", product.Length == 0 ? "nothing" : $"'{product}'", "a product of this plant", NearestWord.Hint(product, products));
            yield break;
        }

        var variants = revision.Product.Variants.Select(v => v.Id).ToList();
        if (variants.Count == 0 && variant is not null) yield return new(source, line, "variant", $"'{variant}'", $"no variant: {product} has none");
        if (variants.Count > 0 && !variants.Contains(variant ?? "", StringComparer.Ordinal))
            yield return new(source, line, "variant", variant is null ? "nothing" : $"'{variant}'", $"a variant of {product}", NearestWord.Hint(variant ?? "", variants));
    }

    static OrderAnswer Answer(long sequence, OrderOpening said, bool repeat) => new(sequence, said.Order, "open", [], 0, 0, 0, repeat);
}

/// <summary>The orders that a file lists.</summary>
public sealed record OrderFileSaid(string Key, OrderTable File, DateTimeOffset OccurredAt, string? Person = null);

/// <summary>What a person hears about a file of orders.</summary>
/// <param name="Orders">Codes of the orders, in the order of the file.</param>
public sealed record OrderFileAnswer(IReadOnlyList<string> Orders, bool Repeat);

/// <summary>Takes the orders of a file in: all of them, or none with everything that is wrong.</summary>
public static class OpenOrders
{
    /// <exception cref="InputException">Every mistake in the file, with its line and column.</exception>
    public static OrderFileAnswer Decide(LedgerTransaction t, OrderFileSaid said, PlantContext plant)
    {
        var errors = new List<InputError>(said.File.Errors);
        if (SenderKey.Wrong("order", said.Key) is { } wrong) errors.Add(wrong);
        var codes = new HashSet<string>(StringComparer.Ordinal);
        var fresh = new List<OrderOpening>();
        foreach (var row in said.File.Rows)
        {
            errors.AddRange(OpenOrder.Wrong(said.File.Source, row.Line, row.Order, row.Product, row.Variant, row.Customer, plant));
            var opening = new OrderOpening(string.Create(CultureInfo.InvariantCulture, $"{said.Key}/{row.Line}"), row.Order, row.Product, row.Quantity ?? 0, said.OccurredAt, row.Variant, row.Customer, row.Due, said.Person);
            if (row.Order.Length > 0 && !codes.Add(row.Order)) errors.Add(new(said.File.Source, row.Line, "order", $"'{row.Order}' twice", "each order once"));
            else if (Repeats.Find(t, opening.Key, OrderBook.Office, opening) is { } earlier)
            {
                if (earlier.Same) continue;
                errors.Add(new(said.File.Source, row.Line, "", $"key '{opening.Key}', which was used before for something else", "a key never used before", "Send the file with a key of its own."));
            }
            else if (OrderBook.Find(t.Connection, t.Transaction, row.Order) is not null) errors.Add(new(said.File.Source, row.Line, "order", $"'{row.Order}', which was opened before", "a new order code"));
            fresh.Add(opening);
        }

        if (errors.Count > 0) throw new InputException(errors.OrderBy(e => e.Line).ToList());
        foreach (var opening in fresh) OpenOrder.Keep(t, opening);
        return new(said.File.Rows.Select(r => r.Order).ToList(), Repeat: fresh.Count == 0);
    }
}
