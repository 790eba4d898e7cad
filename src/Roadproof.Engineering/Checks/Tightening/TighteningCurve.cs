using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>Torque over angle of one screw, from the first turn to the spindle's stop.</summary>
/// <param name="AngleDeg">Counted through all steps of the driver, forward positive.</param>
/// <param name="TimeS">Null where the driver did not record it.</param>
public sealed record TighteningCurve(string Source, double[] AngleDeg, double[] TorqueNm, double[]? TimeS = null)
{
    /// <summary>Fewer samples draw no curve: a line through the last rise needs some, the run-down before it as well.</summary>
    const int FewestSamples = 20;

    /// <summary>A spindle springs back by its own wind-up and may back off a little between steps; a counter that was set to zero goes back by more.</summary>
    const double BackwardsDeg = 90;

    static readonly CurveColumn Angle = new("angle", "angle_deg", ["°", "deg"]);
    static readonly CurveColumn Torque = new("torque", "torque_nm", ["N·m", "Nm", "N m"]);
    static readonly CurveColumn Time = CurveColumn.Time with { Required = false };

    internal static readonly IReadOnlyList<CurveColumn> Columns = [Angle, Torque, Time];

    /// <summary>Reads the curve from CSV: <c>angle_deg</c>, <c>torque_nm</c> and, where the driver has it, <c>time_s</c>.</summary>
    /// <exception cref="InputException">Everything that is wrong with it.</exception>
    public static TighteningCurve Read(string source, Stream stream)
    {
        var table = CurveFile.Read(source, stream, Columns);
        var (curve, errors) = Of(source, table, ..);
        return errors.Count == 0 ? curve : throw new InputException(errors);
    }

    /// <summary>Some rows of a table as a curve of its own, and everything that is wrong with them.</summary>
    internal static (TighteningCurve Curve, IReadOnlyList<InputError> Errors) Of(string source, CurveTable table, Range rows)
    {
        var lines = table.Lines[rows];
        var curve = new TighteningCurve(source, table.Columns[Angle.Name][rows], table.Columns[Torque.Name][rows], table.Columns.GetValueOrDefault(Time.Name)?[rows]);
        return (curve, [.. curve.Errors(row => lines[row])]);
    }

    IEnumerable<InputError> Errors(Func<int, int> line)
    {
        if (AngleDeg.Length < FewestSamples)
        {
            yield return new(Source, 0, "", Invariant($"{AngleDeg.Length} samples"), Invariant($"{FewestSamples} or more"), "A curve that was cut short cannot be judged: send it again.");
            yield break;
        }

        if (TimeS is { } time && Enumerable.Range(1, time.Length - 1).FirstOrDefault(i => time[i] < time[i - 1]) is > 0 and var late)
            yield return new(Source, line(late), Time.Name, Invariant($"{time[late]} s after {time[late - 1]} s"), "times that go forward from row to row", "Was the driver's clock set meanwhile? Use the time since the start of the tightening.");

        var farthest = AngleDeg[0];
        for (var i = 1; i < AngleDeg.Length; i++)
        {
            farthest = Math.Max(farthest, AngleDeg[i]);
            if (AngleDeg[i] >= farthest - BackwardsDeg) continue;
            yield return new(Source, line(i), Angle.Name, Invariant($"{AngleDeg[i]}° after {farthest}°"), "an angle that goes forward", "Count the angle through all steps of the driver; loosening is no tightening.");
            break;
        }

        if (TimeS is { } clock && IsConstant(clock)) yield return new(Source, line(0), Time.Name, Invariant($"{clock[0]} s in every row"), "times that go forward from row to row");
        if (IsConstant(AngleDeg)) yield return new(Source, line(0), Angle.Name, Invariant($"{AngleDeg[0]}° in every row"), "an angle that turns", "Even a screw that is tight already lets the spindle wind up: an encoder that stands still is dead.");
        if (IsConstant(TorqueNm)) yield return new(Source, line(0), Torque.Name, Invariant($"{TorqueNm[0]} N·m in every row"), "a torque that changes", "A gauge that shows one value throughout is dead.");
        else if (Array.TrueForAll(TorqueNm, t => t <= 0)) yield return new(Source, line(0), Torque.Name, "no torque above 0", "a tightening torque, counted positive", "Is the sign turned round? A left-hand screw is counted positive as well.");
    }

    static bool IsConstant(double[] values) => Array.TrueForAll(values, v => v == values[0]);
}
