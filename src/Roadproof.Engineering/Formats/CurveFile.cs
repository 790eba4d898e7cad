using System.Globalization;
using System.Text;
using nietras.SeparatedValues;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Formats;

/// <summary>A column that a check's curve has, by its name without and with its unit.</summary>
/// <param name="Quantity">As it stands before a unit in brackets: <c>torque [N·m]</c>.</param>
/// <param name="Name">As it stands with its unit in the name: <c>torque_nm</c>.</param>
/// <param name="Units">How the unit may be written in brackets; anything else is refused, never converted.</param>
public sealed record CurveColumn(string Quantity, string Name, IReadOnlyList<string> Units, bool Required = true)
{
    public static readonly CurveColumn Time = new("time", "time_s", ["s"]);
}

/// <summary>The columns of a check's curve, row by row as they were recorded.</summary>
/// <param name="Lines">Line of each row in the source, for errors.</param>
/// <param name="Columns">By <see cref="CurveColumn.Name"/>, each of shape [rows]; an optional column that is not there is absent.</param>
public sealed record CurveTable(string Source, int[] Lines, IReadOnlyDictionary<string, double[]> Columns);

/// <summary>Reads the curve of one check from CSV: a header row, comma or semicolon found by itself, a number in every cell that is ours.</summary>
/// <remarks>Columns of other names are left alone. A decimal comma is understood between semicolons. Above the header may stand lines that begin with #, see <see cref="ItemOf"/>.</remarks>
public static class CurveFile
{
    /// <summary>Beyond this many the rest is only counted: a file with a wrong decimal sign has one error in every cell.</summary>
    const int ErrorsListed = 20;

    static readonly NumberFormatInfo DecimalComma = new() { NumberDecimalSeparator = ",", NumberGroupSeparator = "" };

    /// <exception cref="InputException">Everything that is wrong with the file, at once.</exception>
    public static CurveTable Read(string source, Stream stream, IReadOnlyList<CurveColumn> wanted)
    {
        var errors = new List<InputError>();
        var table = Read(source, stream, wanted, errors);
        return errors.Count == 0 ? table! : throw new InputException(errors);
    }

    /// <summary>The unit that a curve says it is of, in a line <c># item: SH-0001842</c> above its header; null where it does not say.</summary>
    public static string? ItemOf(ReadOnlySpan<byte> octets)
    {
        const string key = "item:";
        foreach (var line in Encoding.UTF8.GetString(octets[..Remarks(octets).Octets]).Split('\n'))
        {
            if (line.TrimStart('\uFEFF', '#', ' ').Trim() is var words && words.StartsWith(key, StringComparison.Ordinal)) return words[key.Length..].Trim();
        }

        return null;
    }

    /// <summary>What stands in the header's cells.</summary>
    public static IReadOnlyList<string> Titles(ReadOnlySpan<byte> octets)
    {
        var rest = octets[Remarks(octets).Octets..];
        var end = rest.IndexOf((byte)'\n');
        return [.. Encoding.UTF8.GetString(end < 0 ? rest : rest[..end]).Split(Separator(rest)).Select(t => t.Trim('\uFEFF', '"', ' ', '\r'))];
    }

    /// <summary>The lines above the header that begin with #, as octets and as lines.</summary>
    static (int Octets, int Lines) Remarks(ReadOnlySpan<byte> octets)
    {
        var (at, lines) = (0, 0);
        var mark = octets.StartsWith("\uFEFF"u8) ? 3 : 0;
        while (octets[(at + (at == 0 ? mark : 0))..].StartsWith("#"u8))
        {
            var end = octets[at..].IndexOf((byte)'\n');
            (at, lines) = (end < 0 ? octets.Length : at + end + 1, lines + 1);
        }

        return (at, lines);
    }

    static CurveTable? Read(string source, Stream stream, IReadOnlyList<CurveColumn> wanted, List<InputError> errors)
    {
        using var memory = new MemoryStream();
        stream.CopyTo(memory);
        var octets = memory.ToArray();
        if (octets.AsSpan().Contains((byte)0))
        {
            errors.Add(new(source, 0, "", "no text", "a curve as CSV"));
            return null;
        }

        var (said, above) = Remarks(octets);
        octets = octets[said..];
        var separator = Separator(octets);
        using var rows = Sep.New(separator).Reader(o => o with { HasHeader = false, DisableColCountCheck = true, Unescape = true }).From(octets);
        if (octets.Length == 0 || !rows.MoveNext())
        {
            errors.Add(new(source, 0, "", "an empty file", "a header row and samples"));
            return null;
        }

        var width = rows.Current.ColCount;
        var places = Places(source, rows.Current, above + 1, wanted, errors);
        if (errors.Count > 0) return null;

        var values = places.ConvertAll(_ => new List<double>());
        var lines = new List<int>();
        var wrong = 0;
        while (rows.MoveNext())
        {
            var row = rows.Current;
            if (row.ColCount == 1 && row[0].Span.Trim().IsEmpty) continue; // a blank line at the end of the file
            if (row.ColCount != width)
            {
                if (wrong++ < ErrorsListed)
                    errors.Add(new(source, above + row.LineNumberFrom, "", Invariant($"a row of length {row.ColCount}"), Invariant($"{width} cells as in the header"), "A row that breaks off at the end of a file was cut short: send it again."));
                continue;
            }

            lines.Add(above + row.LineNumberFrom);
            for (var c = 0; c < places.Count; c++)
            {
                var cell = row[places[c].Index].Span.Trim();
                if (!IsNumber(cell, separator, out var value) && wrong++ < ErrorsListed)
                    errors.Add(new(source, above + row.LineNumberFrom, places[c].Column.Name, cell.IsEmpty ? "an empty cell" : $"'{cell}'", "a number such as 1.27"));
                values[c].Add(value);
            }
        }

        if (wrong > ErrorsListed) errors.Add(new(source, 0, "", Invariant($"{wrong - ErrorsListed} more of the same kind"), "none"));
        if (lines.Count == 0 && wrong == 0) errors.Add(new(source, 0, "", "no rows", "samples below the header"));
        return new(source, [.. lines], places.Zip(values).ToDictionary(p => p.First.Column.Name, p => p.Second.ToArray(), StringComparer.Ordinal));
    }

    static List<(int Index, CurveColumn Column)> Places(string source, SepReader.Row head, int line, IReadOnlyList<CurveColumn> wanted, List<InputError> errors)
    {
        var places = new List<(int Index, CurveColumn Column)>();
        var titles = new List<string>();
        for (var i = 0; i < head.ColCount; i++)
        {
            var title = head[i].ToString().TrimStart('\uFEFF').Trim();
            titles.Add(title);
            if (Named(source, line, title, wanted, errors) is not { } column) continue;
            if (places.Exists(p => p.Column == column)) errors.Add(new(source, line, title, "the column twice", "each column once"));
            else places.Add((i, column));
        }

        foreach (var missing in wanted.Where(w => w.Required && !places.Exists(p => p.Column == w) && !errors.Exists(e => e.Column.StartsWith(w.Quantity, StringComparison.Ordinal))))
        {
            var near = CaptureChannel.Nearest(missing.Name, titles);
            errors.Add(new(source, line, "", $"no column {missing.Name} among {string.Join(", ", titles)}", $"a column {missing.Name} or {missing.Quantity} [{missing.Units[0]}]", near is null ? null : $"Is '{near}' meant? Then name it {missing.Name}."));
        }

        return places;
    }

    /// <summary>The column behind a title; a title that says our quantity in another unit is an error.</summary>
    static CurveColumn? Named(string source, int line, string title, IReadOnlyList<CurveColumn> wanted, List<InputError> errors)
    {
        if (wanted.FirstOrDefault(w => w.Name == title) is { } exact) return exact;
        var open = title.IndexOf('[', StringComparison.Ordinal);
        var (name, unit) = open > 0 && title.EndsWith(']') ? (title[..open].Trim(), title[(open + 1)..^1].Trim()) : (title, "");
        if (unit.Length > 0 && wanted.FirstOrDefault(w => w.Quantity == name || w.Name == name) is { } said)
        {
            if (said.Units.Contains(unit, StringComparer.Ordinal)) return said;
            errors.Add(new(source, line, title, $"unit [{unit}]", $"{said.Quantity} in {said.Units[0]}", "Convert the column before it is sent; units are not guessed."));
        }
        else if (unit.Length == 0 && wanted.FirstOrDefault(w => title.StartsWith(w.Quantity + "_", StringComparison.Ordinal) && IsUnitEnding(title[(w.Quantity.Length + 1)..])) is { } other)
            errors.Add(new(source, line, title, $"'{title}'", $"{other.Name}, in {other.Units[0]}", "Convert the column before it is sent; units are not guessed."));

        return null;
    }

    static bool IsUnitEnding(string ending) => ending is "s" or "ms" or "us" or "min" or "deg" or "rad" or "rev" or "nm" or "ncm" or "nmm" or "knm" or "lbfin" or "lbfft"
        or "n" or "kn" or "mm" or "m" or "um" or "pa" or "kpa" or "hpa" or "bar" or "mbar" or "c" or "k";

    internal static char Separator(ReadOnlySpan<byte> octets)
    {
        var end = octets.IndexOf((byte)'\n');
        return (end < 0 ? octets : octets[..end]).Contains((byte)';') ? ';' : ',';
    }

    static bool IsNumber(ReadOnlySpan<char> cell, char separator, out double value) =>
        (double.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out value)
            || (separator == ';' && double.TryParse(cell, NumberStyles.Float, DecimalComma, out value))) && double.IsFinite(value);
}
