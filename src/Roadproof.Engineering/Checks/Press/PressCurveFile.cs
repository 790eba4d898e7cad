using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks;

/// <summary>Reads a press-in from CSV: <c>distance_mm</c>, <c>force_n</c>, row by row as pressed.</summary>
public static class PressCurveFile
{
    /// <summary>A ram's distance gauge may tremble back by this much, m.</summary>
    const double TrembleM = 0.05e-3;

    static readonly CurveColumn Distance = new("distance", "distance_mm", ["mm"]), Force = new("force", "force_n", ["N"]);

    /// <exception cref="InputException">Everything that is wrong with the file.</exception>
    public static PressCurve Read(string source, Stream stream)
    {
        var table = CurveFile.Read(source, stream, [Distance, Force]);
        var errors = new List<InputError>();
        CurveRows.RequireChange(table, Distance.Name, errors);
        CurveRows.RequireChange(table, Force.Name, errors);
        var distance = Array.ConvertAll(table.Columns[Distance.Name], mm => mm / 1e3);
        if (errors.Count == 0) RequireOneStroke(table, distance, errors);
        return errors.Count == 0 ? new(distance, table.Columns[Force.Name]) : throw new InputException(errors);
    }

    static void RequireOneStroke(CurveTable table, double[] distance, List<InputError> errors)
    {
        var end = PressReadings.EndOfStroke(distance);
        var farthest = distance[0];
        for (var i = 1; i <= end; i++)
        {
            if (distance[i] < farthest - TrembleM)
            {
                errors.Add(new(table.Source, table.Lines[i], Distance.Name, Invariant($"{distance[i] * 1e3:G6} mm after {farthest * 1e3:G6} mm"), "one stroke, forth and then back", "Send each stroke as a file of its own."));
                return;
            }

            farthest = Math.Max(farthest, distance[i]);
        }

        if (end + 1 < PressReadings.LeastRows)
            errors.Add(new(table.Source, table.Lines[end], "", Invariant($"{end + 1} rows up to the end of the stroke"), Invariant($"at least {PressReadings.LeastRows}"), "Was the file cut short?"));
    }
}
