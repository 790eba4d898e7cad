namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>The samples of a tightening during which the spindle drives the screw forward.</summary>
/// <remarks>
/// A driver stops between its steps and at the end: the spindle slows, torque falls, wind-up springs back, and the next step loads the same torque again. None of
/// that is the screw's. A stop is seen where the angle stands or goes back while torque falls; what follows the last top before it is left out until
/// that torque is reached again.
/// </remarks>
/// <param name="TimeS">Null where the driver did not record it.</param>
public sealed record DrivenCurve(double[] AngleDeg, double[] TorqueNm, double[]? TimeS)
{
    /// <summary>What a spindle turns at most while it brakes, or while it winds up again. Common practice, no source; up to 9° in recordings.</summary>
    public const double StopDeg = 15;

    /// <summary>A fall smaller than this share of the curve's largest torque is ripple, not a stop.</summary>
    const double StopFall = 0.05;

    public static DrivenCurve Of(TighteningCurve curve)
    {
        var (angle, torque) = (curve.AngleDeg, curve.TorqueNm);
        var fall = StopFall * Largest(torque);
        var kept = new List<int>(angle.Length) { 0 };
        var farthest = angle[0];
        var (reload, reloadUntil) = (double.NaN, double.NaN);
        for (var i = 1; i < angle.Length; i++)
        {
            var stopped = !double.IsNaN(reload);
            if (angle[i] > farthest)
            {
                farthest = angle[i];
                if (stopped && torque[i] < reload && farthest <= reloadUntil) continue;
                reload = double.NaN;
                kept.Add(i);
            }
            else if (!stopped && angle[i] == farthest && torque[i] >= torque[kept[^1]]) kept.Add(i); // the encoder's step is coarser than the turn
            else if (!stopped && torque[i] < torque[kept[^1]] - fall)
            {
                BackToTop(kept, angle, torque);
                (reload, reloadUntil) = (torque[kept[^1]], farthest + StopDeg);
            }
        }

        BackToTop(kept, angle, torque);
        return new([.. kept.Select(i => angle[i])], [.. kept.Select(i => torque[i])], curve.TimeS is { } time ? [.. kept.Select(i => time[i])] : null);
    }

    /// <summary>Takes off what came after the largest torque of the last degrees: the spindle was braking there already.</summary>
    static void BackToTop(List<int> kept, double[] angle, double[] torque)
    {
        var (top, end) = (kept.Count - 1, angle[kept[^1]]);
        for (var k = kept.Count - 1; k >= 0 && angle[kept[k]] >= end - StopDeg; k--)
            if (torque[kept[k]] > torque[kept[top]]) top = k;
        kept.RemoveRange(top + 1, kept.Count - top - 1);
    }

    static double Largest(double[] torque)
    {
        var largest = double.NegativeInfinity;
        foreach (var t in torque) largest = Math.Max(largest, t);
        return largest;
    }
}
