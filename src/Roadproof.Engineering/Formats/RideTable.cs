using System.Globalization;
using nietras.SeparatedValues;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Formats;

/// <summary>Reads a ride from a table: a header row, then one line per fix; comma or semicolon found by itself.</summary>
/// <remarks>A unit may stand in brackets behind a name: <c>speed [m/s]</c>, <c>speed(km/h)</c>. An empty cell is a missing value, never zero. Between semicolons a decimal comma is understood.</remarks>
static class RideTable
{
    /// <summary>Number of the unbroken piece of recording, as a ride that was written by us tells it.</summary>
    const string PieceWord = "recording_piece";

    /// <param name="Field">Null for the time and for the piece.</param>
    sealed record Column(int Index, RideField? Field, double Factor, bool IsPiece = false);

    /// <exception cref="InputException">Everything that is wrong with the table, at once.</exception>
    public static Ride Read(string source, string text)
    {
        var separator = SeparatorOf(text);
        var recorder = new RideRecorder(source);

        // The header is read as a row of its own: two columns of one name are our matter, and only where the name means something.
        using var reader = Sep.New(separator)
            .Reader(options => options with { HasHeader = false, Unescape = true, DisableColCountCheck = true, Trim = SepTrim.Outer }).FromText(text);
        List<string> titles = [];
        List<Column> columns = [];
        List<string> unused = [];
        var piece = 0;
        foreach (var row in reader)
        {
            if (row.ColCount == 1 && row.Span.Trim().IsEmpty) continue;
            if (titles.Count == 0)
            {
                for (var i = 0; i < row.ColCount; i++) titles.Add(row[i].ToString());
                (columns, unused) = ColumnsOf(source, titles, recorder.Errors);
                if (recorder.Errors.Count > 0) throw new InputException([.. recorder.Errors]);
                continue;
            }

            if (row.ColCount != titles.Count)
            {
                recorder.Errors.Add(new(
                    source, row.LineNumberFrom, "", Cells(row.ColCount), Cells(titles.Count) + " as in the header",
                    separator == ',' ? "For decimal commas, separate the columns by ';'." : null));
                continue;
            }

            var fix = new RideFix { Line = row.LineNumberFrom };
            foreach (var column in columns)
            {
                if (column.IsPiece) TakePiece(ref fix, row[column.Index].Span, piece, source, recorder.Errors);
                else if (column.Field is null) recorder.TakeTime(ref fix, row[column.Index].Span, secondsPerNumber: column.Factor);
                else recorder.Take(column.Field, ref fix, row[column.Index].Span, column.Factor, decimalComma: separator == ';');
            }

            piece = fix.Piece;
            recorder.Add(fix);
        }

        return recorder.Close("CSV", [], unused);
    }

    /// <summary>An empty cell goes on with the piece of the line before.</summary>
    static void TakePiece(ref RideFix fix, ReadOnlySpan<char> cell, int before, string source, List<InputError> errors)
    {
        fix.Piece = before;
        if (cell.Trim().IsEmpty) return;
        if (int.TryParse(cell, NumberStyles.None, CultureInfo.InvariantCulture, out var piece) && piece >= before) fix.Piece = piece;
        else errors.Add(new(source, fix.Line, PieceWord, $"'{cell}'", string.Create(CultureInfo.InvariantCulture, $"the number of a piece of the recording, {before} or more")));
    }

    static char SeparatorOf(string text)
    {
        var header = text.AsSpan().TrimStart();
        var end = header.IndexOfAny('\r', '\n');
        if (end >= 0) header = header[..end];
        return header.Count(';') > header.Count(',') ? ';' : ',';
    }

    static (List<Column> Columns, List<string> Unused) ColumnsOf(string source, List<string> titles, List<InputError> errors)
    {
        List<Column> columns = [];
        List<string> unused = [];
        var taken = new Dictionary<string, string>(StringComparer.Ordinal);
        for (var index = 0; index < titles.Count; index++)
        {
            var title = titles[index];
            var (name, unit) = NameAndUnit(title);
            if (RideField.Plain(name) == PieceWord && taken.TryAdd(PieceWord, title))
            {
                columns.Add(new(index, null, 1, IsPiece: true));
                continue;
            }

            var isTime = RideField.TimeNames.Contains(RideField.Plain(name), StringComparer.Ordinal);
            var field = isTime ? null : RideField.NamedInTable(name);
            if (!isTime && field is null)
            {
                if (!string.IsNullOrWhiteSpace(title)) unused.Add(title.Trim());
                continue;
            }

            var word = field?.Word ?? RideField.TimeWord;
            if (!taken.TryAdd(word, title))
            {
                errors.Add(new(source, 1, title, $"a second column of {word} beside '{taken[word]}'", "one", "Rename the one that is not meant."));
                continue;
            }

            if (FactorOf(field, unit) is { } factor) columns.Add(new(index, field, factor));
            else errors.Add(new(source, 1, title, $"unit '{unit}'", "one of " + string.Join(", ", UnitsOf(field))));
        }

        // Without a place or a time a line is not a point of a ride: a table of rides has distances, too.
        var hasTime = taken.ContainsKey(RideField.TimeWord);
        var (hasLatitude, hasLongitude) = (taken.ContainsKey(RideField.Latitude.Word), taken.ContainsKey(RideField.Longitude.Word));
        if (!hasTime && !hasLatitude && !hasLongitude)
        {
            errors.Add(new(
                source, 1, "", "no column of time and none of position", "a header row with names such as timestamp, position_lat, position_long, altitude, distance, speed, cadence, power",
                "A ride is read from GPX or CSV, one line per point."));
        }
        else if (hasLatitude != hasLongitude)
        {
            errors.Add(new(source, 1, "", hasLatitude ? "a latitude without a longitude" : "a longitude without a latitude", "both"));
        }

        return (columns, unused);
    }

    static (string Name, string Unit) NameAndUnit(string title)
    {
        var open = title.IndexOfAny(['[', '(']);
        return open < 0 ? (title, "") : (title[..open], title[(open + 1)..].Trim().TrimEnd(']', ')').Trim());
    }

    static double? FactorOf(RideField? field, string unit)
    {
        if (field is null) return unit is "" or "s" or "UTC" ? 1 : unit == "ms" ? 1e-3 : null;
        if (unit.Length == 0) return field.Units[0].Factor;
        foreach (var (name, factor) in field.Units)
        {
            if (name.Equals(unit.Replace(" ", "", StringComparison.Ordinal), StringComparison.OrdinalIgnoreCase)) return factor;
        }

        return null;
    }

    static IEnumerable<string> UnitsOf(RideField? field) => field?.Units.Select(unit => unit.Name) ?? ["s", "ms", "UTC"];

    static string Cells(int count) => string.Create(CultureInfo.InvariantCulture, $"{count} {(count == 1 ? "cell" : "cells")}");
}
