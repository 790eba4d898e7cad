using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks;

/// <summary>Reads a grease dose from CSV: weighings (<c>before_g</c>, <c>after_g</c>) or a shot (<c>time_s</c>, <c>gauge_pressure_pa</c>).</summary>
public static class GreaseFile
{
    static readonly CurveColumn
        Before = new("before", "before_g", ["g"], Required: false), After = new("after", "after_g", ["g"], Required: false),
        Time = CurveColumn.Time with { Required = false }, Pressure = new("gauge_pressure", "gauge_pressure_pa", ["Pa"], Required: false);

    /// <returns>One of the two.</returns>
    /// <exception cref="InputException">Everything that is wrong with the file.</exception>
    public static (GreaseWeighings? Weighings, GreaseShot? Shot) Read(string source, Stream stream)
    {
        var table = CurveFile.Read(source, stream, [Before, After, Time, Pressure]);
        var columns = table.Columns;
        var errors = new List<InputError>();
        if (columns.TryGetValue(Before.Name, out var before) && columns.TryGetValue(After.Name, out var after))
        {
            foreach (var i in Enumerable.Range(0, before.Length).Where(i => after[i] < before[i]).Take(1))
                errors.Add(new(source, table.Lines[i], After.Name, Invariant($"{after[i]:G6} g after {before[i]:G6} g before"), "a unit that is heavier with its grease", "Were the two swapped, or was the scale not at rest?"));
            return errors.Count == 0 ? (new(before, after), null) : throw new InputException(errors);
        }

        if (!columns.TryGetValue(Time.Name, out var time) || !columns.TryGetValue(Pressure.Name, out var pressure))
            throw new InputException(new InputError(source, 1, "", "neither weighings nor a shot", $"columns {Before.Name} and {After.Name}, or {Time.Name} and {Pressure.Name}"));
        CurveRows.RequireRising(table, Time.Name, errors);
        CurveRows.RequireChange(table, Pressure.Name, errors);
        return errors.Count == 0 ? (null, new(time, pressure)) : throw new InputException(errors);
    }
}
