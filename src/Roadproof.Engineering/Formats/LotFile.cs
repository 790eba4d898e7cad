using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Formats;

/// <summary>One lot of a delivery, as its row says.</summary>
/// <param name="Line">In the file, for errors.</param>
/// <param name="Quantity">Null where the row has no count that can be.</param>
public sealed record LotRow(int Line, string Lot, string Part, int? Quantity, DateTimeOffset? ExpiresAt);

/// <summary>The rows of a delivery file and what is wrong with the file itself; what the plant does not know is for the plant to say.</summary>
public sealed record LotTable(string Source, IReadOnlyList<LotRow> Rows, IReadOnlyList<InputError> Errors);

/// <summary>Reads a delivery from CSV: columns <c>lot</c>, <c>part</c>, <c>quantity</c> and, where lots expire, <c>expires</c>; comma or semicolon found by itself.</summary>
/// <remarks>A column of another name is a mistake: a misspelt expiry that is skipped would let an expired lot in.</remarks>
public static class LotFile
{
    static readonly string[] Known = ["lot", "part", "quantity", "expires"];

    /// <param name="zone">A day without a time lasts until its end at the plant.</param>
    public static LotTable Read(string source, Stream stream, TimeZoneInfo zone)
    {
        var errors = new List<InputError>();
        var rows = NamedRows.Read(source, stream, Known, needed: 3, "lots", errors)
            .Select(row => new LotRow(row.Line, row["lot"], row["part"], NamedRows.Count(source, row, "quantity", "pieces", errors), NamedRows.Day(source, row.Line, "expires", row["expires"], zone, errors)))
            .ToList();
        return new(source, rows, errors);
    }
}
