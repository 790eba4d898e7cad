using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What a faultless rig reads of a unit, by characteristic, at reference conditions: the model behind every expectation limit.</summary>
public static class ExpectedReadings
{
    /// <summary>Every characteristic of <see cref="Characteristics.Expectations"/>, in that order, then torques and limits of
    /// <see cref="ModelledRequirements"/>.</summary>
    /// <remarks>
    /// Reference: winding, magnets, unit and room at 20 °C, nominal bus, nominal speed; currents and powers at the nominal drive torque, torques delivered as
    /// the
    /// controller gives them. Vibration and ripple come from proven units and do not follow the deviation, but for the blow of a damaged tooth.
    /// </remarks>
    public static IReadOnlyDictionary<string, double> At(LoadTestPlan plan, Deviation deviation)
    {
        var ids = Characteristics.Expectations(plan).Select(c => c.Id).Concat(ModelledRequirements(plan)).ToArray();
        var values = new ExpectationModel(plan, SampleRates.Usual).At(deviation);
        return ids.Zip(values).ToDictionary(pair => pair.First, pair => pair.Second, StringComparer.Ordinal);
    }

    /// <summary>Requirements that follow the parts, so that a fault can move them; the rest depends on software alone.</summary>
    public static IReadOnlyList<string> ModelledRequirements(LoadTestPlan plan) =>
    [
        .. Characteristics.Loaded(plan).Select(p => Characteristics.TorqueDelivered(p.Id)),
        .. plan.Unit.TorqueSensor is null ? [] : (string[])[Characteristics.TorqueSensorZero],
        Characteristics.PhaseCurrentLimit, Characteristics.BusCurrentLimit,
    ];
}

/// <summary>The same, prepared for thousands of deviations.</summary>
sealed class ExpectationModel
{
    readonly LoadTestPlan plan;
    readonly LoadPoint[] loaded, noLoad;
    readonly ThermalNetwork network;
    readonly ToothBlow tooth;

    public ExpectationModel(LoadTestPlan plan, SampleRates rates)
    {
        this.plan = plan;
        (loaded, noLoad) = ([.. Characteristics.Loaded(plan)], [.. Characteristics.NoLoad(plan)]);
        network = new(plan.Unit.Thermal);
        tooth = new(plan, rates.VibrationHz);
        Faults = FaultHypotheses.Of(plan.Unit);
        JointCount = 4 + noLoad.Length + 2 * loaded.Length + 2 + plan.Population.Count;
    }

    /// <summary>How many characteristics are judged together; they come first.</summary>
    public int JointCount { get; }

    /// <summary>The faults whose signatures it computes.</summary>
    public IReadOnlyList<FaultHypothesis> Faults { get; }

    public double[] At(Deviation deviation)
    {
        var unit = plan.Unit;
        var values = new List<double>(JointCount + loaded.Length + 3)
        {
            1e3 * (unit.Motor.PhaseResistance20Ohm * deviation.ResistanceFactor + deviation.AddedResistanceOhm),
            1e3 * unit.Motor.FluxLinkage20Wb * deviation.FluxFactor,
            deviation.RotorOffsetRad * 180 / Math.PI,
            deviation.CurrentGainFactor,
        };

        values.AddRange(noLoad.Select(p => PowerForW(p, deviation)));
        values.AddRange(loaded.Select(p => RunningUnit.AtReference(unit, deviation, p.SpeedRadPerS).CurrentForA(p.TorqueNm)));
        values.AddRange(loaded.Select(p => PowerForW(p, deviation)));

        const double referenceC = ReferenceConditions.TemperatureC;
        var warmth = Warmth(deviation, plan.Cycle, ThermalState.At(referenceC), referenceC);
        values.Add(warmth.WindingRiseK);
        values.Add(warmth.ControllerRiseK);
        values.AddRange(plan.Population.Select(p => p.Mean + (p.Id == Characteristics.WheelTooth ? tooth.Growth(deviation.ToothBlowMPerS2) : 0)));

        values.AddRange(loaded.Select(p => RunningUnit.AtReference(unit, deviation, p.SpeedRadPerS).DriveTorqueNm(RunningUnit.AskedCurrentA(unit, p) / deviation.CurrentGainFactor)));
        if (unit.TorqueSensor is not null) values.Add(deviation.TorqueSensorZeroNm);

        // Both limits act on what the controller's current sensors read.
        values.Add(unit.Motor.PhaseCurrentLimitPeakA / deviation.CurrentGainFactor);
        values.Add(unit.Supply.CurrentLimitA / deviation.CurrentGainFactor);
        return [.. values];
    }

    /// <summary>Temperatures over a cycle when the controller drives a unit with that deviation.</summary>
    public CycleWarmth Warmth(Deviation deviation, LoadCycle cycle, ThermalState start, double ambientC)
    {
        var unit = plan.Unit;
        var askedA = cycle.Points.ToDictionary(p => p, p => p.TorqueNm > 0 ? RunningUnit.AskedCurrentA(unit, p) / deviation.CurrentGainFactor : double.NaN);
        return CycleWarmth.Over(cycle, network, start, ambientC, (point, state) =>
        {
            var running = new RunningUnit(unit, deviation, point.SpeedRadPerS, state.WindingC, state.RotorC, state.HousingC, unit.Supply.NominalV);
            var currentA = askedA[point];
            return running.LossesAt(double.IsNaN(currentA) ? running.CurrentForA(0) : currentA);
        });
    }

    double PowerForW(LoadPoint point, Deviation deviation)
    {
        var running = RunningUnit.AtReference(plan.Unit, deviation, point.SpeedRadPerS);
        return running.BusPowerW(running.CurrentForA(point.TorqueNm));
    }
}
