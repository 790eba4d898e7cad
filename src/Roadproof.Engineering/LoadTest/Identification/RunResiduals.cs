using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.LoadTest;

/// <summary>One thing that a run read at a load point and the model computes.</summary>
/// <param name="Channel">Of the capture where it is one channel, else of what is made of several.</param>
readonly record struct ResidualRow(string Point, string Channel, string Unit);

/// <summary>What a run read less what a unit with given parameters would have shown at the same speeds, currents and temperatures.</summary>
/// <remarks>
/// With phase currents: d and q voltage where the rig has voltages, bus power, with load the drive torque, without load the current itself (no torque passes the open clutch).
/// Without: bus power at the current that the model needs for the torque.
/// </remarks>
sealed class RunResiduals
{
    /// <summary>How well the magnets' warming over the run is known, as a share of it: what heats them are the unit's own drags, which scatter by about as much. Common practice, no source.</summary>
    const double MagnetRiseShare = 0.1;

    /// <summary>How far behind the winding its sensor may read, s. Common practice, no source. At full load the winding warms by a kelvin a second, and the voltages resolve that.</summary>
    const double WindingLagS = 0.5;

    /// <summary>What is wrong with the temperatures that a computation takes for true: magnets by a share of their rise, winding by the time its sensor lags.</summary>
    readonly record struct WarmthError(double MagnetRiseShare, double WindingLagS);

    readonly LoadTestPlan plan;
    readonly DrawnParameters drawn;
    readonly MeasuredRun run;
    readonly CycleWarmth warmth;
    readonly WarmthError error;
    readonly (MeasuredPoint Seen, LoadPoint Asked)[] points;

    // The same run, wrong by one error each; made once for all the times that the covariance is asked for.
    RunResiduals[]? disturbed;

    /// <param name="leftOut">Load points that are not used.</param>
    public RunResiduals(LoadTestPlan plan, DrawnParameters drawn, MeasuredRun run, IReadOnlySet<string> leftOut)
        : this(plan, drawn, run, leftOut, WarmthSeen.Over(run, plan), default)
    {
    }

    RunResiduals(LoadTestPlan plan, DrawnParameters drawn, MeasuredRun run, IReadOnlySet<string> leftOut, CycleWarmth warmth, WarmthError error)
    {
        (this.plan, this.drawn, this.run, LeftOut, this.warmth, this.error) = (plan, drawn, run, leftOut, warmth, error);
        var asked = plan.Cycle.Points.ToDictionary(p => p.Id, StringComparer.Ordinal);
        points = [.. run.Points.Where(p => !leftOut.Contains(p.Point) && asked[p.Point].OutputRpm > 0).Select(p => (p, asked[p.Point]))];
        Rows = [.. points.SelectMany(p => RowsOf(p.Seen, p.Asked))];
    }

    public IReadOnlyList<ResidualRow> Rows { get; }

    public IReadOnlySet<string> LeftOut { get; }

    public bool HasVoltages => points.Any(p => p.Seen.Fast is { HasVoltages: true });

    /// <summary>Rotor speeds that were seen, rad/s.</summary>
    public IEnumerable<double> RotorRadPerS => points.Select(p => OutputRadPerS(p.Seen) * plan.Unit.Ratio);

    /// <param name="z">Parameters in spreads from the drawing.</param>
    /// <returns>Shape [Rows].</returns>
    public double[] At(ReadOnlySpan<double> z)
    {
        var (unit, deviation) = drawn.Unit(z);
        var residual = new double[Rows.Count];
        var row = 0;
        foreach (var (seen, asked) in points)
        {
            var running = Running(unit, deviation, seen);
            var powerW = seen.BusV * seen.BusA;
            if (seen.Fast is not { } fast)
            {
                residual[row++] = powerW - running.BusPowerW(running.CurrentForA(asked.TorqueNm > 0 ? seen.DriveTorqueNm + seen.InertiaNm : seen.InertiaNm));
                continue;
            }

            if (fast.HasVoltages)
            {
                var (vdV, vqV) = running.ReportedVoltagesV(fast.IdA, fast.IqA);
                (residual[row], residual[row + 1]) = (fast.VdV - vdV, fast.VqV - vqV);
                row += 2;
            }

            residual[row++] = powerW - running.BusPowerW(fast.IdA, fast.IqA);
            residual[row++] = asked.TorqueNm > 0 ? seen.DriveTorqueNm + seen.InertiaNm - running.DriveTorqueNm(fast.IdA, fast.IqA) : fast.IqA - running.CurrentForA(seen.InertiaNm);
        }

        return residual;
    }

    /// <summary>Covariance of the rows: every error that the plan knows of, of the size of its standard uncertainty, pushed through the whole computation.</summary>
    /// <param name="z">Parameters at which it is computed.</param>
    public double[,] Covariance(ReadOnlySpan<double> z)
    {
        var (undisturbed, n) = (At(z), Rows.Count);
        var covariance = new double[n, n];
        disturbed ??= [.. ReadingErrors.All(plan, run.Kind).Select(Disturbed), Warmer(new(MagnetRiseShare, 0)), Warmer(new(0, WindingLagS))];
        foreach (var other in disturbed)
        {
            var change = other.At(z);
            for (var i = 0; i < n; i++) change[i] -= undisturbed[i];
            for (var i = 0; i < n; i++)
            {
                if (change[i] == 0) continue;
                for (var j = 0; j < n; j++) covariance[i, j] += change[i] * change[j];
            }
        }

        return covariance;
    }

    /// <summary>The same run with the phase voltages that the model computes, where the rig had none.</summary>
    public RunResiduals WithVoltages(ReadOnlySpan<double> z)
    {
        var (unit, deviation) = drawn.Unit(z);
        var filled = new List<MeasuredPoint>();
        foreach (var p in run.Points)
        {
            if (p.Fast is not { HasVoltages: false } fast)
            {
                filled.Add(p);
                continue;
            }

            var (vdV, vqV) = Running(unit, deviation, p).ReportedVoltagesV(fast.IdA, fast.IqA);
            filled.Add(p with { Fast = fast with { VdV = vdV, VqV = vqV } });
        }

        return new(plan, drawn, run with { Points = filled }, LeftOut, warmth, default);
    }

    RunResiduals Disturbed(ReadingError by)
    {
        var other = by.Apply(run);
        return new(plan, drawn, other, LeftOut, other.Start == run.Start ? warmth : WarmthSeen.Over(other, plan), default);
    }

    RunResiduals Warmer(WarmthError by) => new(plan, drawn, run, LeftOut, warmth, by);

    RunningUnit Running(DriveUnit unit, Deviation deviation, MeasuredPoint p) =>
        new(unit, deviation, OutputRadPerS(p), WindingC(p), MagnetC(p), GreaseC(p), p.BusV, SettledGrease.ShareAt(run, plan, p.AtS));

    double WindingC(MeasuredPoint p) => p.WindingC + error.WindingLagS * (warmth.At(p.AtS + 0.5).WindingC - warmth.At(p.AtS - 0.5).WindingC);

    double MagnetC(MeasuredPoint p)
    {
        var magnetC = warmth.At(p.AtS).RotorC;
        return magnetC + run.MagnetErrorK + error.MagnetRiseShare * (magnetC - warmth.At(0).RotorC);
    }

    double GreaseC(MeasuredPoint p) => warmth.At(p.AtS).HousingC + run.GreaseErrorK;

    // The rotor's own speed where it was seen: without load it turns a little slower than the open clutch would take it along.
    double OutputRadPerS(MeasuredPoint p) => p.Fast is { } fast ? fast.ElectricalRadPerS / (plan.Unit.Motor.PolePairs * plan.Unit.Ratio) : p.OutputRadPerS;

    static IEnumerable<ResidualRow> RowsOf(MeasuredPoint seen, LoadPoint asked)
    {
        if (seen.Fast is { HasVoltages: true })
        {
            yield return new(seen.Point, "voltage_d_v", "V");
            yield return new(seen.Point, "voltage_q_v", "V");
        }

        yield return new(seen.Point, "bus_power_w", "W");
        if (seen.Fast is null) yield break;
        yield return asked.TorqueNm > 0 ? new(seen.Point, "drive_torque_nm", "N·m") : new(seen.Point, "no_load_current_a", "A");
    }
}
