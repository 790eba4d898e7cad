using System.Globalization;
using nietras.SeparatedValues;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

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
        using var memory = new MemoryStream();
        stream.CopyTo(memory);
        var octets = memory.ToArray();
        var errors = new List<InputError>();
        var rows = new List<LotRow>();
        LotTable Table() => new(source, rows, errors);

        if (octets.AsSpan().Contains((byte)0))
        {
            errors.Add(new(source, 0, "", "no text", "lots as CSV"));
            return Table();
        }

        using var reader = Sep.New(CurveFile.Separator(octets)).Reader(o => o with { HasHeader = false, DisableColCountCheck = true, Unescape = true }).From(octets);
        if (octets.Length == 0 || !reader.MoveNext())
        {
            errors.Add(new(source, 0, "", "an empty file", "a header row and a lot in each row"));
            return Table();
        }

        var titles = Titles(reader.Current);
        Check(source, titles, errors);
        if (errors.Count > 0) return Table();

        while (reader.MoveNext())
        {
            var row = reader.Current;
            var line = row.LineNumberFrom;
            if (row.ColCount == 1 && row[0].Span.Trim().IsEmpty) continue; // a blank line at the end of the file
            if (row.ColCount != titles.Count)
            {
                errors.Add(new(source, line, "", Invariant($"a row of length {row.ColCount}"), Invariant($"{titles.Count} cells as in the header")));
                continue;
            }

            var cells = Known.ToDictionary(name => name, _ => "", StringComparer.Ordinal);
            for (var i = 0; i < titles.Count; i++) cells[titles[i]] = row[i].ToString().Trim();
            rows.Add(new(line, cells["lot"], cells["part"], Quantity(source, line, cells["quantity"], errors), Expires(source, line, cells["expires"], zone, errors)));
        }

        if (rows.Count == 0 && errors.Count == 0) errors.Add(new(source, 0, "", "no rows", "lots below the header"));
        return Table();
    }

    /// <summary>A day or an instant after which a lot is not used; null where nothing stands.</summary>
    public static DateTimeOffset? Expires(string source, int line, string text, TimeZoneInfo zone, List<InputError> errors)
    {
        if (text.Length == 0) return null;
        if (DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day))
        {
            var end = day.ToDateTime(new TimeOnly(23, 59, 59));
            return new(end, zone.GetUtcOffset(end));
        }

        // Without an offset an instant is none: it would be another one in another place.
        if ((text.EndsWith('Z') || text.LastIndexOfAny(['+', '-']) > 10) && DateTimeOffset.TryParse(text, CultureInfo.InvariantCulture, DateTimeStyles.None, out var instant)) return instant;
        errors.Add(new(source, line, "expires", $"'{text}'", "a day such as 2031-03-04, or an instant with its offset"));
        return null;
    }

    static List<string> Titles(SepReader.Row head)
    {
        var titles = new List<string>();
        for (var i = 0; i < head.ColCount; i++) titles.Add(head[i].ToString().TrimStart('\uFEFF').Trim());
        return titles;
    }

    static void Check(string source, List<string> titles, List<InputError> errors)
    {
        foreach (var title in titles.Where(t => !Known.Contains(t, StringComparer.Ordinal)))
            errors.Add(new(source, 1, title, $"a column '{title}'", $"only {string.Join(", ", Known)}", CaptureChannel.Nearest(title, Known) is { } near ? $"Is '{near}' meant?" : "Leave it out."));
        foreach (var twice in titles.GroupBy(t => t).Where(g => g.Count() > 1)) errors.Add(new(source, 1, twice.Key, "the column twice", "each column once"));
        foreach (var missing in Known[..3].Where(k => !titles.Contains(k))) errors.Add(new(source, 1, missing, "no such column", $"a column {missing}"));
    }

    static int? Quantity(string source, int line, string text, List<InputError> errors)
    {
        if (int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var count) && count > 0) return count;
        errors.Add(new(source, line, "quantity", text.Length == 0 ? "nothing" : $"'{text}'", "a whole number of pieces, 1 or more"));
        return null;
    }
}
