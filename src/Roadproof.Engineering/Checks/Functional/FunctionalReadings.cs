using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks.Functional;

/// <summary>What a functional check says. Where it cannot tell, a reading is <see cref="Reading.None"/>.</summary>
/// <param name="Lock">Largest torque that the clutch held, N·m; at least that, where it never let go.</param>
/// <param name="TakeUp">Angle of the chainring before the drive train is turned along, °.</param>
/// <param name="SensorZero">Of the unit's torque sensor at 20 °C, N·m.</param>
/// <param name="PhaseBalance">Largest difference of a phase's current from the mean of the three, %.</param>
/// <param name="Missed">Messages that did not come; NaN where nobody counted.</param>
/// <param name="DriveRadPerS">Speed of the chainring while it drove gears and rotor.</param>
public sealed record FunctionalReadings(
    Reading Forward, Reading Backward, Reading Driven, Reading Free, Reading TakeUp, Reading Lock, Reading SensorZero, Reading PhaseBalance, double Missed, double DriveRadPerS)
{
    /// <summary>The ends of a section belong to starting and stopping.</summary>
    const double EndShare = 0.15;

    /// <summary>A clutch has let go when this share of its torque is gone while the shaft turned on by <see cref="SlipDeg"/>. Common practice, no source.</summary>
    const double SlipShare = 0.1, SlipDeg = 0.5;

    const int LeastRows = 20;

    public static FunctionalReadings From(FunctionalCapture c, FunctionalTest test)
    {
        var partK = c.PartC is { } part ? Moments.MeanOf(part) - ReferenceConditions.TemperatureC : double.NaN;
        var driven = c.Rows(FunctionalSection.Driven)!.Value;
        var takeUp = TakeUpOf(c, driven, test);
        var behind = double.IsNaN(takeUp.Value) ? driven : After(c, driven, takeUp.Value);
        return new(
            Drag(c, c.Rows(FunctionalSection.Forward)!.Value, 360, test, partK), Drag(c, c.Rows(FunctionalSection.Backward)!.Value, 360, test, partK),
            Drag(c, behind, 360 / test.Unit.Ratio, test, partK), Drag(c, c.Rows(FunctionalSection.Free)!.Value, 360, test, partK),
            takeUp, LockOf(c, c.Rows(FunctionalSection.Lock)!.Value, test), SensorZeroOf(c, c.Rows(FunctionalSection.Still)!.Value, test, partK), BalanceOf(c, c.Rows(FunctionalSection.Still)!.Value, test),
            c.MessagesMissed is { } missed ? missed[^1] - missed[0] : double.NaN, Speed(c, behind));
    }

    /// <summary>Mean torque over whole turns of what turns most often, in the direction of turning.</summary>
    static Reading Drag(FunctionalCapture c, Range rows, double turnDeg, FunctionalTest test, double partK)
    {
        var steady = Steady(c, rows, turnDeg);
        if (steady.End.Value - steady.Start.Value < LeastRows) return Reading.None;
        var mean = SteadyMean.Of(c.TorqueNm.AsSpan(steady));
        var value = Direction(c, rows) * mean.Value;
        return new(value, double.Hypot(double.Hypot(mean.StandardUncertainty, test.TorqueZeroNm), double.Hypot(test.TorqueGainShare, test.DragSharePerK * (double.IsNaN(partK) ? test.UnknownTemperatureK : partK)) * value));
    }

    /// <summary>The section without its ends, and of that as many whole turns as there are, counted back from the end; all of it where it is less than one.</summary>
    static Range Steady(FunctionalCapture c, Range rows, double turnDeg)
    {
        var (from, to) = (rows.Start.Value, rows.End.Value);
        var way = Math.Abs(c.AngleDeg[to - 1] - c.AngleDeg[from]);
        while (from < to - 1 && Math.Abs(c.AngleDeg[from] - c.AngleDeg[rows.Start.Value]) < EndShare * way) from++;
        while (to > from + 1 && Math.Abs(c.AngleDeg[to - 1] - c.AngleDeg[rows.Start.Value]) > (1 - EndShare) * way) to--;
        var turns = Math.Floor(Math.Abs(c.AngleDeg[to - 1] - c.AngleDeg[from]) / turnDeg);
        while (turns >= 1 && from < to - 1 && Math.Abs(c.AngleDeg[to - 1] - c.AngleDeg[from]) > turns * turnDeg) from++;
        return from..to;
    }

    static double Direction(FunctionalCapture c, Range rows) => Math.Sign(c.AngleDeg[rows.End.Value - 1] - c.AngleDeg[rows.Start.Value]);

    static double Speed(FunctionalCapture c, Range rows)
    {
        var (first, last) = (rows.Start.Value, rows.End.Value - 1);
        return last > first ? Math.Abs(c.AngleDeg[last] - c.AngleDeg[first]) * Math.PI / 180 / (c.TimeS[last] - c.TimeS[first]) : 0;
    }

    /// <summary>Where the torque first rises over the middle between what it was and what it becomes, and stays there.</summary>
    static Reading TakeUpOf(FunctionalCapture c, Range rows, FunctionalTest test)
    {
        var (first, end, sign) = (rows.Start.Value, rows.End.Value, Direction(c, rows));
        var later = new double[(end - first) / 2];
        for (var i = 0; i < later.Length; i++) later[i] = sign * c.TorqueNm[end - later.Length + i];
        if (later.Length < LeastRows) return Reading.None;
        Array.Sort(later);
        var half = (sign * c.TorqueNm[first] + later[later.Length / 2]) / 2;
        for (var i = first + 1; i < end - 3; i++)
        {
            if (sign * c.TorqueNm[i] < half || sign * c.TorqueNm[i + 1] < half || sign * c.TorqueNm[i + 2] < half) continue;
            var (before, at) = (sign * c.TorqueNm[i - 1], sign * c.TorqueNm[i]);
            var share = at > before ? Math.Clamp((half - before) / (at - before), 0, 1) : 1;
            var step = Math.Abs(c.AngleDeg[i] - c.AngleDeg[i - 1]);
            return new(Math.Abs(c.AngleDeg[i - 1] - c.AngleDeg[first]) + share * step, double.Hypot(test.AngleDeg, step / Math.Sqrt(12)));
        }

        return Reading.None;
    }

    static Range After(FunctionalCapture c, Range rows, double deg)
    {
        var from = rows.Start.Value;
        while (from < rows.End.Value - 1 && Math.Abs(c.AngleDeg[from] - c.AngleDeg[rows.Start.Value]) < deg) from++;
        return from..rows.End;
    }

    static Reading LockOf(FunctionalCapture c, Range rows, FunctionalTest test)
    {
        var (first, end, sign) = (rows.Start.Value, rows.End.Value, Direction(c, rows));
        var (top, slipped) = (first, false);
        for (var i = first; i < end && !slipped; i++)
        {
            if (sign * c.TorqueNm[i] > sign * c.TorqueNm[top]) top = i;
            slipped = sign * c.TorqueNm[i] < (1 - SlipShare) * sign * c.TorqueNm[top] && sign * (c.AngleDeg[i] - c.AngleDeg[top]) > SlipDeg;
        }

        var held = sign * c.TorqueNm[top];
        return new(held, double.Hypot(test.TorqueZeroNm, test.TorqueGainShare * held)) { AtLeast = !slipped };
    }

    static Reading SensorZeroOf(FunctionalCapture c, Range rows, FunctionalTest test, double partK)
    {
        if (c.SensorNm is not { } sensor || test.Unit.TorqueSensor is not { } drawn) return Reading.None;
        var mean = SteadyMean.Of(sensor.AsSpan(rows));
        var known = !double.IsNaN(partK);
        return new(mean.Value - (known ? drawn.ZeroDriftNmPerK * partK : 0), double.Hypot(mean.StandardUncertainty, Math.Abs(drawn.ZeroDriftNmPerK) * (known ? 1 : test.UnknownTemperatureK)));
    }

    static Reading BalanceOf(FunctionalCapture c, Range rows, FunctionalTest test)
    {
        if (c.PhaseA is not { } phases || rows.End.Value - rows.Start.Value < LeastRows) return Reading.None;
        var whole = WholeTurns(phases[0], rows);
        var size = phases.Select(p => Size(p.AsSpan(whole))).ToArray();
        var mean = size.Average();
        return mean > 0 ? new(100 * size.Max(s => Math.Abs(s - mean)) / mean, 100 * test.PhaseGainShare) : Reading.None;
    }

    /// <summary>From the first to the last rise of the current through its mean, each after it was well below: whole turns of the test current; all rows where there are none.</summary>
    static Range WholeTurns(double[] current, Range rows)
    {
        var (mean, low) = (Moments.MeanOf(current.AsSpan(rows)), current.AsSpan(rows)[0]);
        foreach (var a in current.AsSpan(rows)) low = Math.Min(low, a);
        var (first, last, below) = (-1, -1, false);
        for (var i = rows.Start.Value; i < rows.End.Value; i++)
        {
            if (current[i] < (mean + low) / 2) below = true;
            else if (below && current[i] >= mean) (first, last, below) = (first < 0 ? i : first, i, false);
        }

        return last > first ? first..last : rows;
    }

    // An offset of a current sensor is no imbalance.
    static double Size(ReadOnlySpan<double> current)
    {
        var (mean, sum) = (Moments.MeanOf(current), 0.0);
        foreach (var a in current) sum += (a - mean) * (a - mean);
        return Math.Sqrt(sum / current.Length);
    }
}
