using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.LoadTest;

/// <summary>One characteristic of a run: as read, and carried to reference conditions.</summary>
public readonly record struct CarriedReading(double Raw, double Value);

/// <summary>A run's readings as if unit and room had been at 20 °C, the grease worked, the bus at its nominal voltage and the torque exactly what the load point asks
/// for.</summary>
/// <remarks>
/// value = raw + model(reference) − model(conditions seen). The model is that of this very unit: resistance, flux and rotor angle are identified first, so
/// that a sound unit's own
/// scatter does not pass for an effect of temperature. Magnets and grease have no sensor: their temperature is stepped through the thermal network from the start of the
/// run, with the losses of the
/// currents that were measured. Equations: <c>docs/methods/expectation-limits.md</c>.
/// </remarks>
public sealed record CarriedReadings(IReadOnlyDictionary<string, CarriedReading> Readings)
{
    public static CarriedReadings Of(MeasuredRun run, LoadTestPlan plan) => new Carry(run, plan).All();

    /// <summary>One run on its way to reference conditions.</summary>
    sealed class Carry(MeasuredRun run, LoadTestPlan plan)
    {
        const double ReferenceC = ReferenceConditions.TemperatureC;
        readonly DriveUnit unit = plan.Unit;
        readonly Dictionary<string, LoadPoint> points = plan.Cycle.Points.ToDictionary(p => p.Id, StringComparer.Ordinal);
        readonly Dictionary<string, CarriedReading> readings = new(StringComparer.Ordinal);

        readonly LoadCycle held = WarmthSeen.Held(run, plan);
        readonly ThermalState start = WarmthSeen.Start(run);

        public CarriedReadings All()
        {
            var warmth = WarmthSeen.Over(run, plan);
            var identified = Identify(warmth);
            foreach (var point in run.Points) Point(point, points[point.Point], warmth, identified);
            Rises(identified);
            foreach (var (id, direct) in run.Direct) readings[id] = new(direct.Value, Direct(id, direct.Value));
            return new(readings);
        }

        Deviation Identify(CycleWarmth warmth)
        {
            var gain = CurrentGain();
            var seen = run.Points.Where(p => p.Fast is { HasVoltages: true }).ToArray();

            // Resistance needs two loads to part from flux; flux alone would take its error from the drawing.
            if (seen.Length < 2) return Deviation.None with { CurrentGainFactor = gain };

            double[] windingC = [.. seen.Select(p => p.WindingC)], magnetC = [.. seen.Select(p => MagnetC(warmth, p.AtS))];
            var fit = MachineIdentification.Fit([.. seen.Select(Electrical)], unit.Motor, windingC, magnetC);
            readings[Characteristics.Resistance] = new(1e3 * fit.Resistance20Ohm * unit.Motor.PhaseResistanceOhm(windingC.Average()) / unit.Motor.PhaseResistance20Ohm, 1e3 * fit.Resistance20Ohm);
            readings[Characteristics.Flux] = new(1e3 * fit.Flux20Wb * unit.Motor.FluxLinkageWb(magnetC.Average()) / unit.Motor.FluxLinkage20Wb, 1e3 * fit.Flux20Wb);
            readings[Characteristics.RotorOffset] = Same(fit.RotorOffsetRad * 180 / Math.PI);
            return new()
            {
                ResistanceFactor = fit.Resistance20Ohm / unit.Motor.PhaseResistance20Ohm,
                FluxFactor = fit.Flux20Wb / unit.Motor.FluxLinkage20Wb,
                RotorOffsetRad = fit.RotorOffsetRad,
                CurrentGainFactor = gain,
            };
        }

        // Weighted by the gauges' noise, not by what this run happens to scatter.
        SteadyElectricalPoint Electrical(MeasuredPoint p)
        {
            var (fast, noise) = (p.Fast!, ReadingErrors.FastNoise(points[p.Point], run.Rates));
            return new(fast.IdA, fast.IqA, fast.VdV, fast.VqV, fast.ElectricalRadPerS,
                plan.Gauges.Of("phase_current_u_a").NoiseRms * noise, plan.Gauges.Of("phase_voltage_u_v").NoiseRms * noise);
        }

        double CurrentGain()
        {
            var loaded = run.Points.Where(p => p.Fast is not null && points[p.Point].TorqueNm > 0).ToArray();
            if (loaded.Length == 0) return 1;
            var gain = loaded.Sum(p => p.ReportedCurrentA) / loaded.Sum(p => p.Fast!.PhaseCurrentPeakA);
            readings[Characteristics.CurrentGain] = Same(gain);
            return gain;
        }

        void Point(MeasuredPoint seen, LoadPoint asked, CycleWarmth warmth, Deviation identified)
        {
            if (asked.OutputRpm == 0) return;
            var atReference = RunningUnit.AtReference(unit, identified, asked.SpeedRadPerS);
            var asSeen = new RunningUnit(unit, identified, seen.OutputRadPerS, seen.WindingC, MagnetC(warmth, seen.AtS), GreaseC(warmth, seen.AtS), seen.BusV, SettledGrease.ShareAt(run, plan, seen.AtS));

            var referenceA = atReference.CurrentForA(asked.TorqueNm);
            var steadyNm = seen.DriveTorqueNm + seen.InertiaNm;
            var seenTorqueNm = asked.TorqueNm > 0 ? steadyNm : seen.InertiaNm;
            var seenA = asSeen.CurrentForA(seenTorqueNm);
            var powerW = seen.BusV * seen.BusA;
            var power = new CarriedReading(powerW, powerW + atReference.BusPowerW(referenceA) - asSeen.BusPowerW(seenA));
            if (asked.TorqueNm == 0)
            {
                readings[asked.Id] = power;
                return;
            }

            readings[Characteristics.Power(asked.Id)] = power;
            if (seen.Fast is { } fast)
                readings[Characteristics.Current(asked.Id)] = new(fast.PhaseCurrentPeakA, fast.PhaseCurrentPeakA + referenceA - seenA);

            var trueA = RunningUnit.AskedCurrentA(unit, asked) / identified.CurrentGainFactor;
            readings[Characteristics.TorqueDelivered(asked.Id)] =
                new(seen.DriveTorqueNm, steadyNm + atReference.DriveTorqueNm(trueA) - asSeen.DriveTorqueNm(trueA));
        }

        void Rises(Deviation identified)
        {
            var model = new ExpectationModel(plan, run.Rates);
            var atReference = model.Warmth(identified, plan.Cycle, ThermalState.At(ReferenceC), ReferenceC);
            var asSeen = model.Warmth(identified, held, start, run.Start.AmbientC);
            readings[Characteristics.WindingRise] = new(run.WindingRiseK, run.WindingRiseK + atReference.WindingRiseK - asSeen.WindingRiseK);
            readings[Characteristics.ControllerRise] = new(run.ControllerRiseK, run.ControllerRiseK + atReference.ControllerRiseK - asSeen.ControllerRiseK);
        }

        // The sensor's zero drifts with the unit's warmth; everything else that is read directly does not depend on it.
        double Direct(string id, double raw) => id == Characteristics.TorqueSensorZero && unit.TorqueSensor is { } sensor
            ? raw - sensor.ZeroDriftNmPerK * (run.ShellAtRestC - ReferenceC)
            : raw;

        double MagnetC(CycleWarmth warmth, double atS) => warmth.At(atS).RotorC + run.MagnetErrorK;

        // Gears and grease sit in the shell and are taken to be as warm as it.
        double GreaseC(CycleWarmth warmth, double atS) => warmth.At(atS).HousingC + run.GreaseErrorK;

        static CarriedReading Same(double value) => new(value, value);
    }
}
