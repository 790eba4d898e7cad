using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Formats;

/// <summary>One production order, as its row says.</summary>
/// <param name="Line">In the file, for errors.</param>
/// <param name="Quantity">Null where the row has no count that can be.</param>
public sealed record OrderFileRow(int Line, string Order, string Product, string? Variant, int? Quantity, string? Customer, DateTimeOffset? Due);

/// <summary>The rows of a file of orders and what is wrong with the file itself; what the plant does not know is for the plant to say.</summary>
public sealed record OrderTable(string Source, IReadOnlyList<OrderFileRow> Rows, IReadOnlyList<InputError> Errors);

/// <summary>Reads production orders from CSV: columns <c>order</c>, <c>product</c>, <c>quantity</c> and, where there are any, <c>variant</c>, <c>customer</c>, <c>due</c>.</summary>
/// <remarks>A column of another name is a mistake: a misspelt variant that is skipped would have the wrong units built.</remarks>
public static class OrderFile
{
    static readonly string[] Known = ["order", "product", "quantity", "variant", "customer", "due"];

    /// <param name="zone">A day without a time lasts until its end at the plant.</param>
    public static OrderTable Read(string source, Stream stream, TimeZoneInfo zone)
    {
        var errors = new List<InputError>();
        var rows = NamedRows.Read(source, stream, Known, needed: 3, "orders", errors)
            .Select(row => new OrderFileRow(
                row.Line, row["order"], row["product"], OrNull(row["variant"]), NamedRows.Count(source, row, "quantity", "units", errors), OrNull(row["customer"]), NamedRows.Day(source, row.Line, "due", row["due"], zone, errors)))
            .ToList();
        return new(source, rows, errors);
    }

    static string? OrNull(string cell) => cell.Length == 0 ? null : cell;
}
