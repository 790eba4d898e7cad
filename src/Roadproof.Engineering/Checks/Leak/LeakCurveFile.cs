using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Checks;

/// <summary>Reads a hold of pressure from CSV: <c>time_s</c>, <c>gauge_pressure_pa</c> or <c>absolute_pressure_pa</c>, and where recorded <c>part_c</c>, <c>room_c</c>.</summary>
public static class LeakCurveFile
{
    static readonly CurveColumn
        Gauge = new("gauge_pressure", "gauge_pressure_pa", ["Pa"], Required: false),
        Absolute = new("absolute_pressure", "absolute_pressure_pa", ["Pa"], Required: false),
        Part = new("part", "part_c", ["°C", "C"], Required: false),
        Room = new("room", "room_c", ["°C", "C"], Required: false);

    /// <exception cref="InputException">Everything that is wrong with the file.</exception>
    public static LeakCurve Read(string source, Stream stream, double atmospherePa)
    {
        var table = CurveFile.Read(source, stream, [CurveColumn.Time, Gauge, Absolute, Part, Room]);
        var columns = table.Columns;
        var absolute = columns.GetValueOrDefault(Absolute.Name) ?? columns.GetValueOrDefault(Gauge.Name)?.Select(p => p + atmospherePa).ToArray()
            ?? throw new InputException(new InputError(source, 1, "", "no pressure", $"a column {Gauge.Name} (above the atmosphere) or {Absolute.Name}"));

        var errors = new List<InputError>();
        CurveRows.RequireRising(table, CurveColumn.Time.Name, errors);
        CurveRows.RequireChange(table, columns.ContainsKey(Absolute.Name) ? Absolute.Name : Gauge.Name, errors);
        foreach (var wrong in Enumerable.Range(0, absolute.Length).Where(i => absolute[i] <= 0).Take(1))
            errors.Add(new(source, table.Lines[wrong], columns.ContainsKey(Absolute.Name) ? Absolute.Name : Gauge.Name, FormattableString.Invariant($"{absolute[wrong]:G6} Pa absolute"), "a pressure above a perfect vacuum"));
        return errors.Count == 0 ? new(columns[CurveColumn.Time.Name], absolute, columns.GetValueOrDefault(Part.Name), columns.GetValueOrDefault(Room.Name)) : throw new InputException(errors);
    }
}
