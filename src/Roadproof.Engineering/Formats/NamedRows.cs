using System.Globalization;
using nietras.SeparatedValues;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Formats;

/// <summary>A row of a table by its column's names; an absent column reads as an empty cell.</summary>
public sealed record NamedRow(int Line, IReadOnlyDictionary<string, string> Cells)
{
    public string this[string column] => Cells[column];
}

/// <summary>Reads a CSV whose columns have fixed names; comma or semicolon found by itself. Goes on after each mistake.</summary>
/// <remarks>A column of another name is a mistake: one that is misspelt would be skipped in silence.</remarks>
public static class NamedRows
{
    /// <param name="known">Columns that may stand there.</param>
    /// <param name="needed">So many of them, from the first, must.</param>
    /// <param name="what">What a row is, for errors: "lots".</param>
    public static IReadOnlyList<NamedRow> Read(string source, Stream stream, string[] known, int needed, string what, List<InputError> errors)
    {
        using var memory = new MemoryStream();
        stream.CopyTo(memory);
        var octets = memory.ToArray();
        var rows = new List<NamedRow>();
        if (octets.AsSpan().Contains((byte)0))
        {
            errors.Add(new(source, 0, "", "no text", $"{what} as CSV"));
            return rows;
        }

        using var reader = Sep.New(CurveFile.Separator(octets)).Reader(o => o with { HasHeader = false, DisableColCountCheck = true, Unescape = true }).From(octets);
        if (octets.Length == 0 || !reader.MoveNext())
        {
            errors.Add(new(source, 0, "", "an empty file", $"a header row and {One(what)} in each row"));
            return rows;
        }

        var titles = Titles(reader.Current);
        Check(source, titles, known, needed, errors);
        if (errors.Count > 0) return rows;

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

            var cells = known.ToDictionary(name => name, _ => "", StringComparer.Ordinal);
            for (var i = 0; i < titles.Count; i++) cells[titles[i]] = row[i].ToString().Trim();
            rows.Add(new(line, cells));
        }

        if (rows.Count == 0 && errors.Count == 0) errors.Add(new(source, 0, "", "no rows", $"{what} below the header"));
        return rows;
    }

    /// <summary>A whole number of pieces; null where none stands.</summary>
    public static int? Count(string source, NamedRow row, string column, string pieces, List<InputError> errors)
    {
        var text = row[column];
        if (int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var count) && count > 0) return count;
        errors.Add(new(source, row.Line, column, text.Length == 0 ? "nothing" : $"'{text}'", $"a whole number of {pieces}, 1 or more"));
        return null;
    }

    /// <summary>A day, which lasts until its end, or an instant; null where nothing stands.</summary>
    public static DateTimeOffset? Day(string source, int line, string column, string text, TimeZoneInfo zone, List<InputError> errors)
    {
        if (text.Length == 0) return null;
        if (DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day))
        {
            var end = day.ToDateTime(new TimeOnly(23, 59, 59));
            return new(end, zone.GetUtcOffset(end));
        }

        // Without an offset an instant is none: it would be another one in another place.
        if ((text.EndsWith('Z') || text.LastIndexOfAny(['+', '-']) > 10) && DateTimeOffset.TryParse(text, CultureInfo.InvariantCulture, DateTimeStyles.None, out var instant)) return instant;
        errors.Add(new(source, line, column, $"'{text}'", "a day such as 2031-03-04, or an instant with its offset"));
        return null;
    }

    static List<string> Titles(SepReader.Row head)
    {
        var titles = new List<string>();
        for (var i = 0; i < head.ColCount; i++) titles.Add(head[i].ToString().TrimStart('\uFEFF').Trim());
        return titles;
    }

    static void Check(string source, List<string> titles, string[] known, int needed, List<InputError> errors)
    {
        foreach (var title in titles.Where(t => !known.Contains(t, StringComparer.Ordinal)))
            errors.Add(new(source, 1, title, $"a column '{title}'", $"only {string.Join(", ", known)}", CaptureChannel.Nearest(title, known) is { } near ? $"Is '{near}' meant?" : "Leave it out."));
        foreach (var twice in titles.GroupBy(t => t).Where(g => g.Count() > 1)) errors.Add(new(source, 1, twice.Key, "the column twice", "each column once"));
        foreach (var missing in known[..needed].Where(k => !titles.Contains(k))) errors.Add(new(source, 1, missing, "no such column", $"a column {missing}"));
    }

    static string One(string what) => what is "orders" ? "an order" : $"a {what[..^1]}";
}
