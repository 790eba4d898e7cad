using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Takes from the readings of a capture what judging needs.</summary>
static class MeasuredRunOf
{
    /// <param name="idleH">How long the unit had stood by the records; null where they do not say.</param>
    public static MeasuredRun Readings(LoadTestReadings readings, LoadTestPlan plan, double? idleH = null)
    {
        var functions = readings.Functions;
        var first = readings.Points.Count > 0 ? readings.Points[0] : null;
        var shellC = Usable(first?.ShellC) ?? functions.Winding.StartC;

        // A rig without a shell or room sensor: a unit that has stood is as warm as its winding.
        return new([.. readings.Points.Where(p => p.Point.OutputRpm > 0).Select(p => Point(p, plan))],
            new(functions.Winding.StartC, functions.Controller.StartC, shellC, Usable(first?.AmbientC) ?? shellC), Usable(readings.Points.LastOrDefault(p => p.Point.OutputRpm == 0)?.ShellC) ?? shellC,
            functions.Winding.RiseK.Value, functions.Controller.RiseK.Value, Direct(readings), HeldS(readings, plan.Cycle), readings.Rates)
        {
            // Where grease does not settle it does not matter.
            IdleH = plan.Unit.GearDrag.SettledShare == 0 ? 0 : readings.Header.IdleS / 3600 ?? idleH,
        };
    }

    /// <summary>A change of load belongs to the point that it leads to, as in the cycle; points that were not found share the time before the next one that was.</summary>
    static Dictionary<string, double> HeldS(LoadTestReadings readings, LoadCycle cycle)
    {
        var heldS = cycle.Points.ToDictionary(p => p.Id, p => p.HoldS, StringComparer.Ordinal);
        var (endS, since) = (0.0, new List<LoadPoint>());
        foreach (var point in cycle.Points)
        {
            since.Add(point);
            if (readings.At(point.Id) is not { } seen) continue;
            var stretch = (seen.SteadyToS - endS) / since.Sum(p => p.HoldS);
            foreach (var p in since) heldS[p.Id] = stretch * p.HoldS;
            since.Clear();
            endS = seen.SteadyToS;
        }

        return heldS;
    }

    static MeasuredPoint Point(PointReading p, LoadTestPlan plan) => new(
        p.Point.Id, (p.FromS + p.ToS) / 2, p.BusVoltageV.Value, p.BusPowerW.Value / p.BusVoltageV.Value, p.DriveTorqueNm.Value, p.OutputSpeedRadPerS.Value, p.WindingC.Value,
        p.ReportedPhaseCurrentA.Value, p.Phase is { } phase
            ? new(phase.ElectricalSpeedRadPerS, phase.IdA.Value, phase.IqA.Value, phase.VdV.Value, phase.VqV.Value)
            : null)
    {
        InertiaNm = InertiaKgM2(plan) * p.OutputAccelerationRadPerS2.Value,
        Noise = new(p.BusVoltageV.StandardUncertainty, p.BusPowerW.StandardUncertainty / p.BusVoltageV.Value, p.DriveTorqueNm.StandardUncertainty, p.ReportedPhaseCurrentA.StandardUncertainty,
            p.Phase?.IdA.StandardUncertainty ?? double.NaN, p.Phase?.IqA.StandardUncertainty ?? double.NaN, p.Phase?.VdV.StandardUncertainty ?? double.NaN, p.Phase?.VqV.StandardUncertainty ?? double.NaN),
    };

    /// <summary>Seen at the output: the rotor behind its gears, and what turns before the rig's torque sensor.</summary>
    static double InertiaKgM2(LoadTestPlan plan) => plan.Unit.Motor.RotorInertiaKgM2 * plan.Unit.Ratio * plan.Unit.Ratio * plan.Unit.MeshEfficiency + plan.CouplingInertiaKgM2;

    static Dictionary<string, DirectReading> Direct(LoadTestReadings readings)
    {
        var direct = new Dictionary<string, DirectReading>(StringComparer.Ordinal);
        var (functions, orders) = (readings.Functions, readings.Orders);
        Add("stop-response", functions.StopResponseS);
        Add("brake-response", functions.BrakeResponseS);
        Add("cut-off-speed", functions.CutOffSpeedKmPerH);
        Add("walk-speed", functions.WalkSpeedKmPerH);
        Add("walk-release", functions.WalkReleaseS);
        Add(Characteristics.PhaseCurrentLimit, functions.PhaseCurrentLimitA);
        Add(Characteristics.BusCurrentLimit, functions.BusCurrentLimitA);
        Add("quiescent-current", functions.QuiescentCurrentMilliA);
        Add(Characteristics.SelfStartTorque, functions.SelfStartTorqueNm);
        Add(Characteristics.SelfStartSpeed, functions.SelfStartSpeedRadPerS);
        Add(Characteristics.TorqueSensorZero, functions.TorqueSensorZeroNm);
        if (orders is not null)
        {
            Add(Characteristics.Ripple, orders.Ripple6Nm);
            Add("rotor-1x", orders.Rotor1x);
            for (var stage = 0; stage < orders.Mesh.Count; stage++) Add(FormattableString.Invariant($"mesh-{stage + 1}"), orders.Mesh[stage]);
        }

        if (readings.ToothImpulse is { } tooth) Add(Characteristics.WheelTooth, tooth.LnImpulsiveness);
        return direct;

        void Add(string id, Reading reading)
        {
            if (double.IsFinite(reading.Value)) direct[id] = new(reading.Value, double.IsFinite(reading.StandardUncertainty) ? reading.StandardUncertainty : 0, reading.AtLeast);
        }
    }

    static double? Usable(Reading? reading) => reading is { } r && double.IsFinite(r.Value) ? r.Value : null;
}
