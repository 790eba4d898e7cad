using System.Buffers;
using System.Globalization;
using nietras.SeparatedValues;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Formats;

/// <summary>One table of a capture as CSV: comma or semicolon, a header row, numbers with a decimal point (or a decimal comma between semicolons).</summary>
static class CsvCapture
{
    /// <summary>Beyond this many the rest is only counted: a file with a wrong decimal sign has one error in every cell.</summary>
    const int ErrorsListed = 20;

    static readonly NumberFormatInfo DecimalComma = new() { NumberDecimalSeparator = ",", NumberGroupSeparator = "" };

    public static CaptureTable? Read(string source, byte[] octets, List<InputError> errors)
    {
        if (octets.AsSpan().ContainsAny(NeverInText))
        {
            errors.Add(new(source, 0, "", "neither Parquet nor text", "a capture in Parquet or CSV"));
            return null;
        }

        var separator = Separator(octets);
        using var rows = Sep.New(separator).Reader(o => o with { HasHeader = false, DisableColCountCheck = true, Unescape = true }).From(octets);
        if (!rows.MoveNext())
        {
            errors.Add(new(source, 0, "", "an empty file", "a header row and samples"));
            return null;
        }

        var names = Names(source, rows.Current, errors);
        if (names is null) return null;

        var columns = names.ConvertAll(_ => new List<double>());
        var wrong = 0;
        while (rows.MoveNext()) ReadRow(source, rows.Current, names, columns, separator, errors, ref wrong);
        if (wrong > ErrorsListed) errors.Add(new(source, 0, "", Invariant($"{wrong - ErrorsListed} more of the same kind"), "none"));

        var time = names.IndexOf(CaptureChannel.Time);
        var channels = new Dictionary<string, float[]>(StringComparer.Ordinal);
        for (var c = 0; c < names.Count; c++)
            if (c != time) channels[names[c]] = [.. columns[c].Select(x => (float)x)];
        return new(source, [.. columns[time]], channels);
    }

    /// <summary>Control characters other than tab and the ends of a line: a file of another kind has some, a table has none.</summary>
    static readonly SearchValues<byte> NeverInText = SearchValues.Create([.. Enumerable.Range(0, 32).Where(c => c is not ('\t' or '\n' or '\r')).Select(c => (byte)c)]);

    static char Separator(ReadOnlySpan<byte> octets)
    {
        var end = octets.IndexOf((byte)'\n');
        var head = end < 0 ? octets : octets[..end];
        return head.Count((byte)';') > 0 ? ';' : ',';
    }

    static List<string>? Names(string source, SepReader.Row row, List<InputError> errors)
    {
        var before = errors.Count;
        var names = new List<string>();
        for (var c = 0; c < row.ColCount; c++) names.Add(CaptureNames.Channel(source, row[c].ToString().TrimStart('\uFEFF'), errors));
        foreach (var twice in names.GroupBy(n => n).Where(g => g.Count() > 1)) errors.Add(new(source, 1, twice.Key, "the column twice", "each column once"));
        if (!names.Contains(CaptureChannel.Time)) errors.Add(CaptureNames.NoTime(source, names));
        return errors.Count == before ? names : null;
    }

    static void ReadRow(string source, SepReader.Row row, List<string> names, List<List<double>> columns, char separator, List<InputError> errors, ref int wrong)
    {
        if (row.ColCount == 1 && row[0].Span.IsEmpty) return; // a blank line at the end of the file
        if (row.ColCount != names.Count)
        {
            if (wrong++ < ErrorsListed)
                errors.Add(new(source, row.LineNumberFrom, "", Invariant($"a row of length {row.ColCount}"), Invariant($"{names.Count} cells as in the header"), "A row that breaks off at the end of a file was cut short: send it again."));
            return;
        }

        for (var c = 0; c < names.Count; c++)
        {
            var cell = row[c].Span.Trim();
            var value = double.NaN; // a missing cell is a missing value, never zero
            var unreadable = !cell.IsEmpty && !IsNumber(cell, separator, out value);
            if (unreadable) value = double.NaN;
            if (unreadable && CaptureNames.IsOurs(names[c]) && wrong++ < ErrorsListed) // a column of someone else's may hold words
            {
                errors.Add(new(source, row.LineNumberFrom, names[c], $"'{cell}'", "a number such as 12.7",
                    separator == ',' && cell.Contains(',') ? "For decimal commas, separate the columns by ';'." : null));
            }

            columns[c].Add(value);
        }
    }

    static bool IsNumber(ReadOnlySpan<char> cell, char separator, out double value) =>
        double.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out value)
        || (separator == ';' && double.TryParse(cell, NumberStyles.Float, DecimalComma, out value));
}
