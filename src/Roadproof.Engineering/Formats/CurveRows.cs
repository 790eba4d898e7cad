using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Formats;

/// <summary>What the rows of a check's curve have to be before they are read as one.</summary>
public static class CurveRows
{
    /// <summary>Each row later than the one before.</summary>
    public static void RequireRising(CurveTable table, string column, List<InputError> errors)
    {
        var x = table.Columns[column];
        for (var i = 1; i < x.Length; i++)
        {
            if (x[i] > x[i - 1]) continue;
            errors.Add(new(table.Source, table.Lines[i], column, x[i] == x[i - 1] ? Invariant($"{x[i]:G9} twice") : Invariant($"{x[i]:G9} after {x[i - 1]:G9}"), "values that rise from row to row"));
            return;
        }
    }

    /// <summary>A channel that never moves comes from a sensor that is not connected.</summary>
    public static void RequireChange(CurveTable table, string column, List<InputError> errors)
    {
        var values = table.Columns[column];
        if (values.Length > 1 && values.AsSpan().IndexOfAnyExcept(values[0]) < 0)
            errors.Add(new(table.Source, table.Lines[0], column, Invariant($"{values[0]:G6} in every row"), "a signal that moves", "Is the sensor connected?"));
    }
}
