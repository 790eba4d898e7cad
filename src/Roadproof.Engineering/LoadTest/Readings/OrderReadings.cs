using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Lines of torque and vibration that are tied to the rotor, read at one load point.</summary>
/// <param name="Point">The point whose torque lies nearest to 0.59 of the largest: enough load to press the teeth, far from every limit.</param>
/// <param name="Ripple6Nm">Sixth electrical order of the output torque, N·m peak.</param>
/// <param name="Rotor1x">ln of the rotor's own order, m/s² peak; NaN without vibration.</param>
/// <param name="Mesh">ln of each stage's mesh order, m/s² peak, from the rotor on; NaN without vibration.</param>
public sealed record OrderReadings(string Point, Reading Ripple6Nm, Reading Rotor1x, IReadOnlyList<Reading> Mesh)
{
    const double ShareOfLargestTorque = 0.59;

    /// <summary>Mesh orders of a gear train by the rotor's turn: teeth that meet in a turn times the turns of the shaft.</summary>
    public static IReadOnlyList<double> MeshOrders(IReadOnlyList<GearStage> gears)
    {
        var orders = new List<double>();
        var turns = 1.0;
        foreach (var stage in gears)
        {
            orders.Add(turns * stage.MeshesPerTurn);
            turns /= stage.Ratio;
        }

        return orders;
    }

    internal static OrderReadings? Of(IReadOnlyList<PointReading> points, RunChannels channels, LoadTestPlan plan)
    {
        var planned = PointOf(plan.Cycle);
        var point = points.FirstOrDefault(p => p.Point == planned && p.Phase is not null);
        if (point is null || TurnedWindow.Of(point, channels) is not { } window) return null;

        var ripple = window.FastTorqueNm is { Length: > 0 } torque ? OrderLine.Of(torque, window.FastAngleRad, 6 * plan.Unit.Motor.PolePairs) : Reading.None;
        return new(point.Point.Id, ripple, Ln(Line(1)), [.. MeshOrders(plan.Unit.Gears).Select(order => Ln(Line(order)))]);

        Reading Line(double order) => window.VibrationMPerS2.Length > 0 ? OrderLine.Of(window.VibrationMPerS2, window.VibrationAngleRad, order) : Reading.None;
    }

    /// <summary>The load point at which they are read; null where a cycle has no fast window.</summary>
    internal static LoadPoint? PointOf(LoadCycle cycle)
    {
        var wantedNm = ShareOfLargestTorque * cycle.Points.Max(p => p.TorqueNm);
        return cycle.Points.Where(p => p.WindowForS > 0).MinBy(p => Math.Abs(p.TorqueNm - wantedNm));
    }

    static Reading Ln(Reading amplitude) => new(Math.Log(amplitude.Value), amplitude.StandardUncertainty / amplitude.Value);
}

/// <summary>The fast and vibration samples of a load point with the rotor's angle beside each.</summary>
sealed record TurnedWindow(float[] FastTorqueNm, double[] FastAngleRad, float[] VibrationMPerS2, double[] VibrationAngleRad, double VibrationHz)
{
    public static TurnedWindow? Of(PointReading point, RunChannels channels)
    {
        var inside = channels.FastWindows.FirstOrDefault(w => w.FromS <= point.FromS && w.ToS >= point.ToS);
        if (inside.Count == 0) return null;

        var rows = inside.Rows(channels.Fast.TimeS, point.FromS, point.RecordedToS);
        var track = AngleTrack.FromWrapped(channels.Fast.TimeS.AsSpan(rows.From, rows.To - rows.From), channels.FastRows(CaptureChannel.MotorAngle, rows));
        float[] torque = channels.Fast.Channels.ContainsKey(CaptureChannel.OutputTorque) ? channels.FastRows(CaptureChannel.OutputTorque, rows).ToArray() : [];

        var shaking = channels.VibrationWindows.FirstOrDefault(w => w.FromS < point.RecordedToS && w.ToS > point.FromS);
        if (channels.Vibration is not { } table || shaking.Count == 0) return new(torque, track.AngleRad, [], [], 0);
        var shakingRows = shaking.Rows(table.TimeS, point.FromS, point.RecordedToS);
        var samples = table.Channels[CaptureChannel.Vibration][shakingRows.From..shakingRows.To];
        return new(torque, track.AngleRad, samples, track.At(table.TimeS.AsSpan(shakingRows.From, shakingRows.To - shakingRows.From)), shaking.RateHz);
    }
}
