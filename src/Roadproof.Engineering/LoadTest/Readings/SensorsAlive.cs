using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Whether each sensor lives: what it reads beside what others read of the same thing at the same time.</summary>
/// <remarks>
/// A sensor that sees nothing reads its own noise about its zero, which no check of one channel by itself can tell from a quiet machine. Only instruments of the rig and messages without which the
/// unit could not have run are refused here; a part of the unit that is dead is judged, and the unit does not pass (<see cref="TorqueSensorSilent"/>).
/// </remarks>
static class SensorsAlive
{
    const double DeadShare = ChannelsAgree.DeadShare;

    /// <summary>The same torque twice, by the slow and by the fast recorder: further apart than any filter leaves them.</summary>
    const double RecordersAgree = 0.1;

    /// <summary>A unit that runs under load shakes more than its accelerometer's own noise, by this factor at least (common practice, no source).</summary>
    const double ShakesOverNoise = 1.2;

    /// <summary>A winding that should warm by this much and did not by a tenth of it has a dead sensor, K.</summary>
    const double WorthwhileRiseK = 10;

    public static void Find(RunChannels channels, LoadTestPlan plan, ChannelsAgree.Loaded loaded, List<InputError> errors)
    {
        CrankTorque(channels, plan, loaded, errors);
        ReportedCurrent(channels, errors);
        FastTorque(channels, errors);
        Shaking(channels, plan, errors);
        WindingWarms(channels, plan, errors);
    }

    /// <summary>The unit's own torque sensor tells nothing of the rider's pull that the rig puts on the crank: a fault of the unit, or of its message. Null where it lives or the unit has none.</summary>
    public static string? TorqueSensorSilent(RunChannels channels, LoadTestPlan plan, ChannelsAgree.Loaded loaded)
    {
        if (!channels.HasCrank || plan.Unit.TorqueSensor is null || plan.Cycle.CrankTorqueNm <= 0) return null;
        double crankNm = loaded.Mean(CaptureChannel.CrankTorque), reportedNm = loaded.Mean(CaptureChannel.ReportedTorque);
        return crankNm > plan.Cycle.CrankTorqueNm / 2 && Math.Abs(reportedNm) < DeadShare * crankNm
            ? Invariant($"The unit's torque sensor reports {reportedNm:0.##} N·m while the rig pulls the crank with {crankNm:0.##} N·m: it is dead, or its message is. A unit cannot pass by that.")
            : null;
    }

    static void CrankTorque(RunChannels channels, LoadTestPlan plan, ChannelsAgree.Loaded loaded, List<InputError> errors)
    {
        if (!channels.HasCrank || plan.Cycle.CrankTorqueNm <= 0) return;
        var crankNm = loaded.Mean(CaptureChannel.CrankTorque);
        if (Math.Abs(crankNm) >= DeadShare * plan.Cycle.CrankTorqueNm) return;
        var reported = plan.Unit.TorqueSensor is null ? "" : Invariant($", while the unit reports {loaded.Mean(CaptureChannel.ReportedTorque):0.##} N·m of it");
        errors.Add(new(channels.Slow.Source, 0, CaptureChannel.CrankTorque, Invariant($"{crankNm:0.##} N·m under load{reported}"), Invariant($"about {plan.Cycle.CrankTorqueNm:0.#} N·m, the cycle's share of the rider"),
            "The crank's torque sensor is dead or its drive is not coupled: the drive's torque would be a guess."));
    }

    static void ReportedCurrent(RunChannels channels, List<InputError> errors)
    {
        var loudest = channels.FastWindows.Where(w => w.Count > 1).Select(w => (Window: w, PeakA: PeakCurrentA(channels, (w.From, w.To)))).MaxBy(w => w.PeakA);
        if (!(loudest.PeakA > 1)) return;
        var rows = channels.Run.Rows(channels.Slow.TimeS, loudest.Window.FromS, loudest.Window.ToS);
        if (rows.To <= rows.From) return;
        var reportedA = Moments.MeanOf(channels.SlowRows(CaptureChannel.ReportedPhaseCurrent, rows));
        if (Math.Abs(reportedA) < DeadShare * loudest.PeakA)
            errors.Add(new(channels.Slow.Source, 0, CaptureChannel.ReportedPhaseCurrent, Invariant($"{reportedA:0.##} A from {loudest.Window.FromS:0.#} s to {loudest.Window.ToS:0.#} s, where the phases carry {loudest.PeakA:0.##} A"), "the peak that the controller itself holds",
                "The controller's message is dead or scaled wrongly: no controller holds a current that it does not see."));
    }

    /// <summary>Peak of a three-phase current from its three root mean squares, A.</summary>
    static double PeakCurrentA(RunChannels channels, (int From, int To) rows) =>
        Math.Sqrt(2.0 / 3 * new[] { CaptureChannel.PhaseCurrentU, CaptureChannel.PhaseCurrentV, CaptureChannel.PhaseCurrentW }.Sum(c => Math.Pow(Moments.Of(channels.FastRows(c, rows)).StandardDeviation, 2)));

    static void FastTorque(RunChannels channels, List<InputError> errors)
    {
        if (channels.Fast == channels.Slow || !channels.Fast.Channels.ContainsKey(CaptureChannel.OutputTorque)) return;
        var worst = channels.FastWindows.Where(w => w.Count > 1).Select(w =>
        {
            var rows = channels.Run.Rows(channels.Slow.TimeS, w.FromS, w.ToS);
            return (Window: w, SlowNm: rows.To > rows.From ? Moments.MeanOf(channels.SlowRows(CaptureChannel.OutputTorque, rows)) : double.NaN, FastNm: Moments.MeanOf(channels.FastRows(CaptureChannel.OutputTorque, (w.From, w.To))));
        }).Where(w => Math.Abs(w.SlowNm) > 1).MaxBy(w => Math.Abs(w.SlowNm));
        if (worst.Window.Count > 0 && Math.Abs(worst.FastNm - worst.SlowNm) > RecordersAgree * Math.Abs(worst.SlowNm))
            errors.Add(new(channels.Fast.Source, 0, CaptureChannel.OutputTorque, Invariant($"{worst.FastNm:0.##} N·m from {worst.Window.FromS:0.#} s to {worst.Window.ToS:0.#} s, where {channels.Slow.Source} has {worst.SlowNm:0.##} N·m"), "the same torque by both recorders",
                "One of the two is dead, scaled wrongly, or of another run."));
    }

    static void Shaking(RunChannels channels, LoadTestPlan plan, List<InputError> errors)
    {
        if (channels.Vibration is not { } table || plan.Gauges.Gauges.FirstOrDefault(g => g.Channel == CaptureChannel.Vibration) is not { NoiseRms: > 0 } gauge) return;
        var loudest = channels.VibrationWindows.Where(w => w.Count > 1).Select(w => Moments.Of(table.Channels[CaptureChannel.Vibration].AsSpan(w.From, w.To - w.From)).StandardDeviation).DefaultIfEmpty(double.PositiveInfinity).Max();
        if (loudest < ShakesOverNoise * gauge.NoiseRms)
            errors.Add(new(table.Source, 0, CaptureChannel.Vibration, Invariant($"no more than {loudest:0.###} m/s² (rms) in any window"), Invariant($"more than the instrument's own noise of {gauge.NoiseRms:0.###} m/s²: the unit runs under load"),
                "The accelerometer is dead, loose or not plugged in."));
    }

    static void WindingWarms(RunChannels channels, LoadTestPlan plan, List<InputError> errors)
    {
        var second = (int)Math.Min(channels.Run.Count, Math.Ceiling(channels.Run.RateHz));
        var winding = channels.Slow.Channels[CaptureChannel.Winding].AsSpan(channels.Run.From, channels.Run.To - channels.Run.From);
        var (startC, endC) = (Moments.MeanOf(winding[..second]), Moments.MeanOf(winding[^second..]));
        if (Math.Abs(endC - startC) >= DeadShare * WorthwhileRiseK) return;
        var unit = plan.Unit;
        var start = new ThermalState(startC, startC, startC, startC, startC);
        var expectedK = CycleWarmth.Over(plan.Cycle, new ThermalNetwork(unit.Thermal), start, startC, (point, state) =>
        {
            var running = new RunningUnit(unit, Deviation.None, point.SpeedRadPerS, state.WindingC, state.RotorC, state.HousingC, unit.Supply.NominalV);
            return running.LossesAt(point.TorqueNm > 0 ? RunningUnit.AskedCurrentA(unit, point) : running.CurrentForA(0));
        }).WindingRiseK;
        if (expectedK > WorthwhileRiseK)
            errors.Add(new(channels.Slow.Source, 0, CaptureChannel.Winding, Invariant($"{startC:0.#} °C at the start and {endC:0.#} °C at the end"), Invariant($"a winding that the cycle warms by about {expectedK:0} K"),
                "The sensor is dead or its cable broken: nothing can be carried to 20 °C by it."));
    }
}
