using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>What the curve of one screw says. Where it cannot tell, a reading is <see cref="Reading.None"/>.</summary>
/// <param name="FinalTorque">Torque at the end of the drive, N·m.</param>
/// <param name="FinalAngle">Turn from <paramref name="CountedFrom"/> to the end of the drive, °.</param>
/// <param name="RundownAngle">Turn from the start to <paramref name="CountedFrom"/>, °.</param>
/// <param name="CountedFrom">Where the final angle is counted from, as the curve's own angle: the snug point, or the threshold where one is set.</param>
/// <param name="Prevailing">Torque of the last half turn before the head seats, N·m.</param>
/// <param name="RundownPeak">Largest torque before the head seats, N·m.</param>
/// <param name="SnugAngle">Where the line of the steepest rise meets the prevailing torque, as the curve's own angle.</param>
/// <param name="Slope">Of the steepest rise, N·m/°.</param>
/// <param name="YieldTorque">Where the slope falls below <see cref="YieldShare"/> of its best and stays there, N·m; none where it does not.</param>
/// <param name="YieldAngle">The same place, as turn from the snug point, °.</param>
/// <param name="SeatingSpeed">Speed over the last degrees before the snug point, °/s; none without times.</param>
/// <param name="Energy">Work of the whole drive, J.</param>
/// <param name="SeatingEnergy">Work after the snug point, J.</param>
/// <param name="Top">Largest torque of the whole drive, N·m.</param>
/// <param name="TurnAfterTop">Turn of the screw after it, °.</param>
/// <param name="NoiseNm">Scatter of a torque sample about its neighbours.</param>
/// <param name="Seated">Torque rose clearly above the run-down; where slope and snug point are missing all the same, the rise has too few samples.</param>
public sealed record TighteningFeatures(
    Reading FinalTorque, Reading FinalAngle, Reading RundownAngle, Reading CountedFrom, Reading Prevailing, Reading RundownPeak, Reading SnugAngle, Reading Slope,
    Reading YieldTorque, Reading YieldAngle, Reading SeatingSpeed, Reading Energy, Reading SeatingEnergy, Reading Top, Reading TurnAfterTop, double NoiseNm, RundownKind Rundown, bool Seated)
{
    /// <summary>Share of its largest torque that the screw has lost at the end of the drive.</summary>
    public double Fall => 1 - FinalTorque.Value / Top.Value;

    /// <summary>The slope that counts as yielded, as a share of the best one. Yield-controlled drivers stop at a half to a quarter of it (common practice).</summary>
    public const double YieldShare = 0.5;

    const double LastTurnDeg = 360, PrevailingDeg = 180, ShortestRundownDeg = 20, StartDeg = 30, SpeedDeg = 20;

    /// <summary>Parts of the rise below this share of it belong to the run-down.</summary>
    const double RiseBegins = 0.1;

    const int FewestForNoise = 8;

    /// <param name="angleFromNm">The threshold torque that the final angle is counted from; the snug point where it is null.</param>
    public static TighteningFeatures Of(TighteningCurve curve, TighteningGauge gauge, double? angleFromNm = null)
    {
        var (angle, torque, time) = DrivenCurve.Of(curve);
        var angleU = Root(gauge.AngleDeg, StepOf(curve.AngleDeg) / Math.Sqrt(12));
        var (last, top) = (torque.Length - 1, Largest(torque, 0, torque.Length));
        var foot = FootOfRise(angle, torque, top);
        var noise = NoiseOf(top - foot < FewestForNoise ? torque : torque.AsSpan(foot..(top + 1)));
        var torqueU = Root(gauge.TorqueNm, noise);

        var kind = angle[foot] - angle[0] >= ShortestRundownDeg ? RundownKind.Seen
            : torque[0] > RiseBegins * torque[top] ? RundownKind.NotRecorded : RundownKind.None;
        var (prevailing, scatter) = PrevailingOf(angle, torque, EndOfRundown(angle, foot, top), kind, gauge);
        var seat = kind == RundownKind.Seen ? prevailing.Value : 0;
        var seated = torque[top] - seat > 5 * Math.Max(noise, scatter);
        var rise = seated ? SteepestRise.Of(angle, torque, foot, top, noise) : null;

        var slope = rise is null ? Reading.None : new Reading(rise.Line.Slope, Root(rise.Line.SlopeUncertainty, rise.Line.Slope * gauge.TorqueNm / torque[top]));
        // Without a run-down before it the rise starts from nothing; a curve that begins inside its rise does not know from where.
        var snug = rise is null || kind == RundownKind.NotRecorded ? Reading.None
            : new Reading(rise.Line.At(seat), Root(rise.Line.UncertaintyAt(seat, kind == RundownKind.Seen ? MeanU(prevailing, gauge) : noise), angleU));
        var from = angleFromNm is { } threshold ? Crossing(angle, torque, foot, top, threshold, noise, slope, angleU) : snug;
        var yield = rise?.Yield(angle, torque, top, noise, YieldShare) is { } y && !double.IsNaN(snug.Value) ? y : (Row: -1, BlurDeg: 0.0);
        var snugRow = double.IsNaN(snug.Value) ? -1 : Array.FindIndex(angle, a => a >= snug.Value);

        return new(
            new(torque[last], torqueU),
            Turn(from, angle[last], angleU),
            double.IsNaN(from.Value) ? Reading.None : new(from.Value - angle[0], Root(from.StandardUncertainty, angleU)),
            from, prevailing,
            kind == RundownKind.Seen ? new(torque[Largest(torque, AfterStart(angle, foot), foot + 1)], torqueU) : Reading.None,
            snug, slope,
            yield.Row < 0 ? Reading.None : new(torque[yield.Row], torqueU),
            yield.Row < 0 ? Reading.None : new(angle[yield.Row] - snug.Value, Root(snug.StandardUncertainty, yield.BlurDeg)),
            snugRow < 0 || time is null ? Reading.None : SpeedBefore(snugRow, angle, time, StepOf(curve.AngleDeg)),
            Work(angle, torque, 0, gauge), snugRow < 0 ? Reading.None : Work(angle, torque, snugRow, gauge),
            new(torque[top], torqueU), new(angle[last] - angle[top], angleU), noise, kind, seated);
    }

    /// <summary>The last sample before the largest torque that still lies at the run-down's level.</summary>
    static int FootOfRise(double[] angle, double[] torque, int top)
    {
        var first = top;
        while (first > 0 && angle[first - 1] >= angle[top] - LastTurnDeg) first--;
        var lastTurn = torque[first..(top + 1)];
        Array.Sort(lastTurn);
        var level = lastTurn[lastTurn.Length / 10];
        var height = level + RiseBegins * (torque[top] - level);
        for (var i = top; i > 0; i--)
            if (torque[i] <= height) return i;
        return 0;
    }

    /// <summary>Past the first degrees, in which the bit finds the screw; the foot itself where the run-down is no longer than they.</summary>
    static int AfterStart(double[] angle, int foot) => angle[foot] < angle[0] + StartDeg ? foot : Array.FindIndex(angle, a => a >= angle[0] + StartDeg);

    /// <summary>A quarter of the rise before its foot: there the parts have not begun to close up. Where the run-down is shorter, its foot.</summary>
    static int EndOfRundown(double[] angle, int foot, int top)
    {
        var before = angle[foot] - (angle[top] - angle[foot]) / 4;
        return before - angle[0] < ShortestRundownDeg ? foot : Array.FindLastIndex(angle, foot, a => a <= before);
    }

    static (Reading Mean, double Scatter) PrevailingOf(double[] angle, double[] torque, int end, RundownKind kind, TighteningGauge gauge)
    {
        var first = end;
        while (first > 0 && angle[first - 1] >= angle[end] - PrevailingDeg) first--;
        if (kind != RundownKind.Seen || end - first < 6) return (Reading.None, 0);
        var mean = SteadyMean.Of(torque.AsSpan(first..end));
        return (new(mean.Value, Root(mean.StandardUncertainty, gauge.TorqueNm)), LineFit.Of(angle.AsSpan(first..end), torque.AsSpan(first..end)).Scatter);
    }

    // The gauge's own error moves the rise and the prevailing torque alike: it does not move where they meet.
    static double MeanU(Reading prevailing, TighteningGauge gauge) => Math.Sqrt(Math.Max(0, prevailing.StandardUncertainty * prevailing.StandardUncertainty - gauge.TorqueNm * gauge.TorqueNm));

    /// <summary>Where the rise first reaches a threshold, as a driver counts it.</summary>
    static Reading Crossing(double[] angle, double[] torque, int foot, int top, double threshold, double noise, Reading slope, double angleU)
    {
        for (var i = foot + 1; i <= top; i++)
        {
            if (torque[i] < threshold || torque[i - 1] >= threshold) continue;
            var (rise, turn) = (torque[i] - torque[i - 1], angle[i] - angle[i - 1]);
            return new(angle[i] - turn * (torque[i] - threshold) / rise, Root(noise / (double.IsNaN(slope.Value) ? rise / Math.Max(turn, angleU) : slope.Value), angleU));
        }

        return Reading.None;
    }

    static Reading Turn(Reading from, double to, double angleU) => double.IsNaN(from.Value) ? Reading.None : new(to - from.Value, Root(from.StandardUncertainty, angleU));

    static Reading SpeedBefore(int row, double[] angle, double[] time, double step)
    {
        var first = row;
        while (first > 0 && angle[row] - angle[first] < SpeedDeg) first--;
        var took = time[row] - time[first];
        return took > 0 ? new((angle[row] - angle[first]) / took, step / Math.Sqrt(6) / took) : Reading.None;
    }

    static Reading Work(double[] angle, double[] torque, int from, TighteningGauge gauge)
    {
        var work = 0.0;
        for (var i = from + 1; i < angle.Length; i++) work += (angle[i] - angle[i - 1]) * (torque[i] + torque[i - 1]) / 2;
        var turn = angle[^1] - angle[from];
        var meanTorque = turn > 0 ? work / turn : 0;
        return new(work * Math.PI / 180, Root(gauge.TorqueNm * turn, gauge.AngleDeg * meanTorque) * Math.PI / 180);
    }

    /// <summary>From second differences, which a straight piece of the curve does not enter; the median leaves bends and stick-slip out.</summary>
    static double NoiseOf(ReadOnlySpan<double> torque)
    {
        if (torque.Length < FewestForNoise) return 0;
        var bends = new double[torque.Length - 2];
        for (var i = 0; i < bends.Length; i++) bends[i] = Math.Abs(torque[i] - 2 * torque[i + 1] + torque[i + 2]);
        Array.Sort(bends);
        return 1.4826 * bends[bends.Length / 2] / Math.Sqrt(6);
    }

    /// <summary>The encoder's step: the smallest change of the angle.</summary>
    static double StepOf(double[] angle)
    {
        var step = double.PositiveInfinity;
        for (var i = 1; i < angle.Length; i++)
            if (angle[i] != angle[i - 1]) step = Math.Min(step, Math.Abs(angle[i] - angle[i - 1]));
        return step;
    }

    static int Largest(double[] torque, int from, int to)
    {
        var largest = from;
        for (var i = from; i < to; i++)
            if (torque[i] > torque[largest]) largest = i;
        return largest;
    }

    static double Root(double a, double b) => Math.Sqrt(a * a + b * b);
}

/// <summary>What the curve shows before its torque rises.</summary>
public enum RundownKind
{
    Seen,

    /// <summary>The torque rises from nothing within the first degrees: the screw was down already.</summary>
    None,

    /// <summary>The first sample is well up in the rise: recording began later than turning.</summary>
    NotRecorded,
}
