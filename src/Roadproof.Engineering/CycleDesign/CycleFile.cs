using System.Globalization;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>A cycle that somebody wrote down: CSV with a row for each point.</summary>
/// <remarks>
/// Columns: <c>torque_nm</c> and <c>speed_rpm</c> at the unit's output (both 0 for rest), <c>hold_s</c>, and <c>times</c> where a point comes again and again, each time after a pause of 1 s in which the clutch lets go.
/// </remarks>
public static class CycleFile
{
    public const string Header = "torque_nm,speed_rpm,hold_s,times";
    static readonly string[] Columns = Header.Split(',');

    const double LongestS = 7200;
    const int MostPoints = 5000;

    /// <exception cref="InputException">Every place that cannot be, at once; a point that the unit cannot reach among them.</exception>
    public static IReadOnlyList<CyclePoint> Read(string source, Stream stream, DriveUnit unit)
    {
        ArgumentNullException.ThrowIfNull(unit);
        List<InputError> errors = [];
        List<CyclePoint> points = [];
        foreach (var row in NamedRows.Read(source, stream, Columns, 3, "points", errors))
        {
            var (torqueNm, rpm, holdS) = (Number(row, "torque_nm", 0, 1000, "N·m"), Number(row, "speed_rpm", 0, 2000, "turns per minute"), Number(row, "hold_s", 1, LongestS, "s"));
            var times = row["times"].Length == 0 ? 1 : NamedRows.Count(source, row, "times", "repeats", errors) ?? 0;
            if (torqueNm is not { } nm || rpm is not { } speed || holdS is not { } hold || times == 0) continue;
            if (nm > 0 && speed == 0) errors.Add(new(source, row.Line, "speed_rpm", "0", "a speed: torque at standstill is not a point that a unit is held at"));
            else if (!Reaches(unit, nm, speed)) errors.Add(new(source, row.Line, "torque_nm", Invariant($"{nm} N·m at {speed} turns per minute"), Invariant($"a point that the unit reaches: up to {unit.Rating.MaximumTorqueNm:0.#} N·m and {unit.Rating.MaximumOutputW:0} W")));
            else if (points.Count + 2 * times > MostPoints) errors.Add(new(source, row.Line, "times", Invariant($"{times}"), Invariant($"at most {MostPoints} points and pauses in all")));
            else
            {
                for (var i = 0; i < times; i++)
                {
                    if (i > 0) points.Add(new(0, 0, CycleDraft.PauseS));
                    points.Add(new(nm, nm > 0 ? speed * ReferenceConditions.RadPerSPerRpm : 0, hold));
                }
            }

            if (errors.Count > 20) break;
        }

        if (errors.Count == 0 && points.TrueForAll(p => p.TorqueNm == 0)) errors.Add(new(source, 0, "torque_nm", "no torque in any row", "at least one point under torque"));
        if (errors.Count == 0 && points.Sum(p => p.HoldS) > LongestS) errors.Add(new(source, 0, "hold_s", Invariant($"{points.Sum(p => p.HoldS):0} s in all"), Invariant($"a pass of at most {LongestS:0} s")));
        return errors.Count > 0 ? throw new InputException(errors) : points;

        double? Number(NamedRow row, string column, double least, double most, string of)
        {
            if (double.TryParse(row[column], NumberStyles.Float, CultureInfo.InvariantCulture, out var value) && value >= least && value <= most) return value;
            errors.Add(new(source, row.Line, column, row[column].Length == 0 ? "nothing" : $"'{row[column]}'", Invariant($"a number from {least} to {most} {of}"), row[column].Contains(',', StringComparison.Ordinal) ? "Write the decimals behind a point." : null));
            return null;
        }
    }

    /// <summary>The same form, to be kept or changed.</summary>
    public static string Write(IReadOnlyList<CyclePoint> points)
    {
        ArgumentNullException.ThrowIfNull(points);
        return string.Join('\n', [Header, .. Runs(points).Select(r => Invariant($"{r.Point.TorqueNm:0.###},{r.Point.SpeedRadPerS / ReferenceConditions.RadPerSPerRpm:0.###},{r.Point.HoldS:0.###},{r.Times}"))]);
    }

    /// <summary>Pulses that repeat, each after a pause, as one point that comes so many times.</summary>
    public static IEnumerable<(CyclePoint Point, int Times)> Runs(IReadOnlyList<CyclePoint> points)
    {
        ArgumentNullException.ThrowIfNull(points);
        for (var i = 0; i < points.Count; i++)
        {
            var times = 1;
            while (i + 2 < points.Count && points[i].TorqueNm > 0 && points[i + 1] == new CyclePoint(0, 0, CycleDraft.PauseS) && points[i + 2] == points[i])
            {
                times++;
                i += 2;
            }

            yield return (points[i], times);
        }
    }

    /// <summary>True where a warm unit gives the torque at the speed of its output, turns per minute.</summary>
    public static bool Reaches(DriveUnit unit, double torqueNm, double rpm) =>
        torqueNm == 0 || (torqueNm <= unit.Rating.MaximumTorqueNm
            && OperatingPoints.Solve(unit, Deviation.None, new(torqueNm, rpm * ReferenceConditions.RadPerSPerRpm) { WindingC = 80, MagnetC = 60 }).Reachable);
}
