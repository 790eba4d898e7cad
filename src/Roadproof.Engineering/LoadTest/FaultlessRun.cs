using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.LoadTest;

/// <summary>The run that a rig without errors and noise would record of a unit: the other end of <see cref="CarriedReadings"/>.</summary>
static class FaultlessRun
{
    public static MeasuredRun Of(LoadTestPlan plan, Deviation deviation, double startC = 20, double ambientC = 20, double idleH = 0)
    {
        var unit = plan.Unit;
        var warmth = new ExpectationModel(plan, SampleRates.Usual).Warmth(deviation, plan.Cycle, ThermalState.At(startC), ambientC);
        var points = new List<MeasuredPoint>();
        var from = 0.0;
        foreach (var point in plan.Cycle.Points)
        {
            if (point.OutputRpm > 0) points.Add(Read(plan, deviation, point, from, warmth, idleH));
            from += point.HoldS;
        }

        var tooth = new ToothBlow(plan, SampleRates.Usual.VibrationHz);
        var direct = plan.Population.ToDictionary(
            p => p.Id, p => new DirectReading(p.Mean + (p.Id == Characteristics.WheelTooth ? tooth.Growth(deviation.ToothBlowMPerS2) : 0), 0), StringComparer.Ordinal);
        if (unit.TorqueSensor is { } sensor) direct[Characteristics.TorqueSensorZero] = new(deviation.TorqueSensorZeroNm + sensor.ZeroDriftNmPerK * (startC - 20), 0);
        direct[Characteristics.PhaseCurrentLimit] = new(unit.Motor.PhaseCurrentLimitPeakA / deviation.CurrentGainFactor, 0);
        direct[Characteristics.BusCurrentLimit] = new(unit.Supply.CurrentLimitA / deviation.CurrentGainFactor, 0);
        return new(points, new(startC, startC, startC, ambientC), startC, warmth.WindingRiseK, warmth.ControllerRiseK, direct,
            plan.Cycle.Points.ToDictionary(p => p.Id, p => p.HoldS, StringComparer.Ordinal), SampleRates.Usual) { IdleH = idleH };
    }

    static MeasuredPoint Read(LoadTestPlan plan, Deviation deviation, LoadPoint point, double fromS, CycleWarmth warmth, double idleH)
    {
        var (unit, atS) = (plan.Unit, fromS + Window(point).AtS);
        var state = warmth.At(atS);
        var running = new RunningUnit(unit, deviation, point.SpeedRadPerS, state.WindingC, state.RotorC, state.HousingC, unit.Supply.NominalV,
            unit.GearDrag.ShareUnworked(unit.GearDrag.SettledAfter(idleH), SettledGrease.TurnsAt(plan.Cycle, atS)));
        var currentA = RunningUnit.TrueCurrentA(unit, deviation, point, running);
        var (vdV, vqV) = running.ReportedVoltagesV(currentA);
        return new(point.Id, atS, unit.Supply.NominalV, running.BusPowerW(currentA) / unit.Supply.NominalV, point.TorqueNm > 0 ? running.DriveTorqueNm(currentA) : 0,
            point.SpeedRadPerS, state.WindingC, currentA * deviation.CurrentGainFactor, point.WindowForS > 0 ? new(running.ElectricalRadPerS, 0, currentA, vdV, vqV) : null);
    }

    /// <summary>Middle and length of what is read of a load point that turns, seconds after its start: the whole turns of its fast window, or of all that is steady.</summary>
    public static (double AtS, double ForS) Window(LoadPoint point)
    {
        var (fromS, steadyS) = point.WindowForS > 0 ? (point.WindowFromS, point.WindowForS) : (LoadPoint.SettlingS, point.HoldS - LoadPoint.SettlingS);
        var forS = LoadPoint.WholeTurns(steadyS * point.OutputRpm / 60) * 60 / point.OutputRpm;
        return (fromS + forS / 2, forS);
    }
}
