using System.Globalization;
using nietras.SeparatedValues;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Formats;

/// <summary>Reads one column of numbers from a table of any length, CSV or Parquet by its content, block by block.</summary>
/// <remarks>CSV: a header row; comma, semicolon or tab found by itself; between semicolons a decimal comma is understood. Every row must hold a number: what reads the column knows nothing of gaps.</remarks>
public static class NumberColumn
{
    const int Block = 8192;

    static readonly NumberFormatInfo DecimalComma = new() { NumberDecimalSeparator = ",", NumberGroupSeparator = "" };

    /// <summary>Takes the next numbers of the column.</summary>
    public delegate void Take(ReadOnlySpan<double> numbers);

    /// <param name="stream">From its beginning; must be able to seek. Left open.</param>
    /// <exception cref="InputException">No table, no such column, or a row without a number: the first such row. What was read before has been taken.</exception>
    public static void Read(string source, Stream stream, string column, Take take)
    {
        Span<byte> head = stackalloc byte[4];
        var length = stream.ReadAtLeast(head, head.Length, throwOnEndOfStream: false);
        stream.Position = 0;
        if (head[..length].SequenceEqual("PAR1"u8)) ParquetCapture.ReadColumn(source, stream, column, take);
        else ReadCsv(source, stream, column, take);
    }

    static void ReadCsv(string source, Stream stream, string column, Take take)
    {
        using var reader = Sep.Reader(o => o with { HasHeader = false, DisableColCountCheck = true, Unescape = true }).From(stream);
        if (!reader.MoveNext()) throw Refusal(source, 0, "", "an empty file", "a header row and a number in each row");
        var titles = new List<string>();
        for (var i = 0; i < reader.Current.ColCount; i++) titles.Add(reader.Current[i].ToString().TrimStart('\uFEFF').Trim());
        var index = IndexOf(source, 1, column, titles);

        var decimalComma = reader.Spec.Sep.Separator == ';';
        var block = new double[Block];
        var count = 0;
        while (reader.MoveNext())
        {
            var row = reader.Current;
            if (row.ColCount == 1 && row[0].Span.Trim().IsEmpty) continue; // a blank line at the end of the file
            if (row.ColCount != titles.Count) throw Refusal(source, row.LineNumberFrom, "", Invariant($"a row of length {row.ColCount}"), Invariant($"{titles.Count} cells as in the header"), "A row that breaks off at the end of a file was cut short.");
            var cell = row[index].Span.Trim();
            if (!(double.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out var number) || (decimalComma && double.TryParse(cell, NumberStyles.Float, DecimalComma, out number))) || !double.IsFinite(number))
                throw Refusal(source, row.LineNumberFrom, column, cell.IsEmpty ? "nothing" : $"'{cell}'", "a number", "A history has no gaps: split the file there.");
            block[count++] = number;
            if (count < Block) continue;
            take(block);
            count = 0;
        }

        take(block.AsSpan(0, count));
    }

    /// <summary>A column may be named without the unit that stands in brackets behind it, where only one is meant.</summary>
    /// <exception cref="InputException">No such column, or more than one.</exception>
    internal static int IndexOf(string source, int line, string column, List<string> titles)
    {
        var index = titles.IndexOf(column);
        if (index >= 0) return titles.LastIndexOf(column) == index ? index : throw Refusal(source, line, column, "the column twice", "each column once");
        var meant = titles.FindAll(title => WithoutUnit(title) == column);
        return meant switch
        {
            [var one] => titles.IndexOf(one),
            [] => throw NoColumn(source, line, column, titles),
            _ => throw Refusal(source, line, column, "the column in several units: " + string.Join(", ", meant), "one of them, with its unit"),
        };
    }

    static string WithoutUnit(string title)
    {
        var open = title.IndexOfAny(['[', '(']);
        return open > 0 && title[^1] is ']' or ')' ? title[..open].TrimEnd() : title;
    }

    static InputException NoColumn(string source, int line, string column, IReadOnlyList<string> there) =>
        Refusal(source, line, column, "no such column", "one of " + string.Join(", ", there), CaptureChannel.Nearest(column, there) is { } near ? $"Is '{near}' meant?" : null);

    static InputException Refusal(string source, int line, string column, string found, string expected, string? remedy = null) => new(new InputError(source, line, column, found, expected, remedy));
}
