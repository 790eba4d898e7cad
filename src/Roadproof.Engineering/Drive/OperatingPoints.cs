using System.Globalization;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Drive;

/// <summary>Finds currents, voltages and losses of a unit that runs steadily at a torque and speed.</summary>
public static class OperatingPoints
{
    // What a limit may be passed by before a point counts as beyond it: rounding, not engineering.
    const double Slack = 1e-9;

    /// <summary>Solves one operating point.</summary>
    /// <returns>The point; if it is beyond a limit, what it would need and <see cref="OperatingPoint.Reason"/>.</returns>
    /// <exception cref="InputException">A number is not finite, the speed is negative, or the conditions leave no copper, flux or supply.</exception>
    /// <remarks>
    /// Bus power closes with output and losses to rounding; the bus voltage satisfies V = V0 − R·I to 1e-11 relative. Allocates nothing.
    /// About 0.1 µs, 0.4 µs where the field is weakened (optimised build, one core).
    /// Assumes sinusoidal current, constant mesh efficiency and no cross-saturation; far above the current limit saturation is held (see the methods page).
    /// A wrong rotor angle costs torque by its cosine; what its stray d current does to reluctance torque and voltage is left out.
    /// Source: standard dq equations (textbook); loss models are common practice. Equations and limits: <c>docs/methods/drive.md</c>.
    /// </remarks>
    public static OperatingPoint Solve(DriveUnit unit, Deviation deviation, in PointRequest request)
    {
        var supplyV = request.BusV ?? unit.Supply.NominalV;
        RequireUsable(unit.Motor, deviation, request, supplyV);

        var rotor = RotorLoad.Of(unit, deviation, request);
        var machine = Machine.Of(unit, deviation, request, rotor.SpeedRadPerS);
        var outputAndDragW = request.TorqueNm * request.SpeedRadPerS + rotor.IronW + rotor.FrictionW + rotor.GearsW;

        // Without field weakening first: nearly every point of a ride is one.
        var currents = machine.At(rotor.TorqueNm, idA: 0);
        var bus = Bus.Of(unit.Inverter, machine, currents, outputAndDragW, supplyV, request.SourceOhm);
        if (!bus.Collapses && currents.VoltageV > machine.UsableV(bus.VoltageV) * (1 + Slack))
            (currents, bus) = WeakenField(unit.Inverter, machine, rotor.TorqueNm, outputAndDragW, supplyV, request.SourceOhm);

        var phaseLimitA = unit.Motor.PhaseCurrentLimitPeakA / deviation.CurrentGainFactor;
        var busLimitA = unit.Supply.CurrentLimitA;
        var supplyLimitW = request.SourceOhm > 0 ? supplyV * supplyV / (4 * request.SourceOhm) : double.PositiveInfinity;
        var usableV = machine.UsableV(bus.VoltageV);

        var beyond = DriveLimits.None;
        if (currents.PeakA > phaseLimitA * (1 + Slack)) beyond |= DriveLimits.PhaseCurrent;
        if (bus.Collapses)
        {
            // No bus voltage holds this power, so there is none to judge the others by.
            beyond |= DriveLimits.SupplyPower;
        }
        else
        {
            if (currents.VoltageV > usableV * (1 + Slack)) beyond |= DriveLimits.PhaseVoltage;
            if (bus.CurrentA > busLimitA * (1 + Slack)) beyond |= DriveLimits.BusCurrent;
        }

        var shaftPowerW = request.TorqueNm * request.SpeedRadPerS;
        return new()
        {
            PhaseCurrentPeakA = currents.PeakA,
            IdA = currents.IdA,
            IqA = currents.IqA,
            VdV = currents.VdV,
            VqV = currents.VqV,
            BusVoltageV = bus.VoltageV,
            BusCurrentA = bus.CurrentA,
            BusPowerW = bus.PowerW,
            ShaftPowerW = shaftPowerW,
            Efficiency = shaftPowerW > 0 ? shaftPowerW / bus.PowerW : 0,
            Losses = new(bus.CopperW, rotor.IronW, rotor.FrictionW, bus.InverterW, rotor.GearsW),
            RotorSpeedRadPerS = rotor.SpeedRadPerS,
            ElectricalHz = rotor.SpeedRadPerS * unit.Motor.PolePairs / (2 * Math.PI),
            ElectromagneticTorqueNm = rotor.TorqueNm,
            RotorDragNm = rotor.DragNm,
            PhaseCurrentLimitPeakA = phaseLimitA,
            PhaseVoltageLimitV = usableV,
            BusCurrentLimitA = busLimitA,
            SupplyPowerLimitW = supplyLimitW,
            Beyond = beyond,
        };
    }

    /// <summary>The smallest weakening current that fits the voltage; where none fits, the one that needs the least voltage.</summary>
    static (Currents Currents, Bus Bus) WeakenField(
        Inverter inverter, in Machine machine, double torqueNm, double outputAndDragW, double supplyV, double sourceOhm)
    {
        // The square of the needed voltage falls and then rises again as the d current grows, hollow upwards, while the bus of a soft supply bends
        // down: Newton's steps from zero stay on the near side of the first crossing, and a slope that has turned says that there is none.
        // Only saturation far above the current limit bends the curve so that a step may fly over the crossing.
        var (idA, withoutFitA) = (0.0, 0.0);
        for (var step = 0; step < 200; step++)
        {
            var (currents, bus) = At(machine, idA);
            var usableV = machine.UsableV(bus.VoltageV);
            var excess = currents.VdV * currents.VdV + currents.VqV * currents.VqV - usableV * usableV;
            if (!bus.Collapses && Math.Abs(excess) <= 1e-13 * usableV * usableV) return (currents, bus);
            if (bus.Collapses) break;
            if (excess < 0) return Nearest(machine, withoutFitA, currents, bus);

            withoutFitA = idA;
            var slopeOfIq = machine.SlopeOfIq(currents);
            var usableSlope = 2 * usableV * machine.UsableV(bus.SlopeOfVoltage(inverter, machine, currents, slopeOfIq, supplyV, sourceOhm));
            var slope = machine.SlopeOfVoltageSquared(currents, slopeOfIq) - usableSlope;
            if (slope <= 0) break;
            idA -= excess / slope;
            if (idA < machine.DeepestIdA) break;
        }

        var (least, leastBus) = At(machine, machine.LeastVoltageIdA(torqueNm));
        return Fits(machine, least, leastBus) ? Nearest(machine, withoutFitA, least, leastBus) : (least, leastBus);

        (Currents, Bus) At(in Machine motor, double atIdA)
        {
            var currents = motor.At(torqueNm, atIdA);
            return (currents, Bus.Of(inverter, motor, currents, outputAndDragW, supplyV, sourceOhm));
        }

        // Halves the way between a d current without fit and one with.
        (Currents, Bus) Nearest(in Machine motor, double withoutA, Currents found, Bus foundBus)
        {
            for (var halving = 0; halving < 60; halving++)
            {
                var (currents, bus) = At(motor, (withoutA + found.IdA) / 2);
                if (Fits(motor, currents, bus)) (found, foundBus) = (currents, bus);
                else withoutA = currents.IdA;
            }

            return (found, foundBus);
        }

        static bool Fits(in Machine motor, in Currents currents, in Bus bus) => !bus.Collapses && currents.VoltageV <= motor.UsableV(bus.VoltageV);
    }

    static void RequireUsable(Motor motor, Deviation deviation, in PointRequest request, double supplyV)
    {
        var numbersAreFinite = double.IsFinite(request.TorqueNm + request.SpeedRadPerS + request.WindingC + request.MagnetC + supplyV + request.SourceOhm);
        if (numbersAreFinite && request.SpeedRadPerS >= 0 && supplyV > 0 && request.SourceOhm >= 0
            && motor.PhaseResistanceOhm(request.WindingC) > 0 && motor.FluxLinkageWb(request.MagnetC) > 0
            && deviation.FluxFactor > 0 && deviation.CurrentGainFactor > 0 && Math.Abs(deviation.RotorOffsetRad) < Math.PI / 2
            && motor.SaturationAtCurrentLimit is >= 0 and < 1.0 / 3) return;

        var errors = new List<InputError>();
        Expect(double.IsFinite(request.TorqueNm), "torqueNm", request.TorqueNm, "a torque in N·m such as 31.8");
        Expect(request.SpeedRadPerS is >= 0 and < double.PositiveInfinity, "speedRadPerS", request.SpeedRadPerS,
            "an output speed of 0 rad/s or more, such as 7.85",
            "A unit drives forwards only: its clutch lets go of an output that turns backwards.");
        Expect(double.IsFinite(request.WindingC) && motor.PhaseResistanceOhm(request.WindingC) > 0, "windingC", request.WindingC,
            "a winding temperature in °C such as 80");
        Expect(double.IsFinite(request.MagnetC) && motor.FluxLinkageWb(request.MagnetC) > 0, "magnetC", request.MagnetC,
            "a magnet temperature in °C such as 60, low enough to leave the magnets some flux");
        Expect(supplyV is > 0 and < double.PositiveInfinity, "busV", supplyV, "a bus voltage above 0 V, such as 48");
        Expect(request.SourceOhm is >= 0 and < double.PositiveInfinity, "sourceOhm", request.SourceOhm, "a source resistance of 0 Ω or more, such as 0.11");
        Expect(deviation.FluxFactor > 0, "fluxFactor", deviation.FluxFactor, "a factor above 0");
        Expect(deviation.CurrentGainFactor > 0, "currentGainFactor", deviation.CurrentGainFactor, "a factor above 0");
        Expect(Math.Abs(deviation.RotorOffsetRad) < Math.PI / 2, "rotorOffsetRad", deviation.RotorOffsetRad, "an electrical angle within ±π/2 rad",
            "Beyond a quarter turn the motor pulls backwards.");
        Expect(motor.SaturationAtCurrentLimit is >= 0 and < 1.0 / 3, "saturationAtCurrentLimit", motor.SaturationAtCurrentLimit, "a share from 0 up to 1/3",
            "With more, torque would fall with current below the current limit.");
        throw errors.Count > 0
            ? new InputException(errors)
            : new InvalidOperationException("Bug in Roadproof: an operating point was refused without a reason. Please report this with the point asked for.");

        void Expect(bool holds, string field, double found, string expected, string? hint = null)
        {
            if (!holds) errors.Add(new("operating point", 0, field, found.ToString(CultureInfo.InvariantCulture), expected, hint));
        }
    }

    /// <summary>What the motor has to hold at its rotor, and what is lost between air gap and output.</summary>
    readonly record struct RotorLoad(double SpeedRadPerS, double TorqueNm, double DragNm, double IronW, double FrictionW, double GearsW)
    {
        public static RotorLoad Of(DriveUnit unit, Deviation deviation, in PointRequest request)
        {
            var motor = unit.Motor;
            var ratio = unit.Ratio;
            var mesh = unit.MeshEfficiency * deviation.MeshFactor;
            var speedRadPerS = request.SpeedRadPerS * ratio;

            // Meshes take their share of the power on its way, whichever way it goes.
            var meshNm = request.TorqueNm >= 0 ? request.TorqueNm / (ratio * mesh) : request.TorqueNm * mesh / ratio;

            // Iron loss by speed is a torque, and stays one down to standstill: no division by a small speed.
            var hzPerRadPerS = motor.PolePairs / (2 * Math.PI);
            var fluxShare = motor.FluxLinkageWb(request.MagnetC) * deviation.FluxFactor / motor.FluxLinkage20Wb;
            var ironNm = fluxShare * fluxShare * hzPerRadPerS * (motor.IronLossHysteresisWPerHz + motor.IronLossEddyWPerHz2 * hzPerRadPerS * speedRadPerS);
            var frictionNm = motor.CoulombFrictionNm + motor.ViscousFrictionNmS * speedRadPerS + deviation.AddedMotorDragNm;
            var gearDragNm = (unit.GearDrag.CoulombNm + unit.GearDrag.ViscousNmS * speedRadPerS) * deviation.GearDragFactor;

            var dragNm = ironNm + frictionNm + gearDragNm;
            return new(speedRadPerS, meshNm + dragNm, dragNm, ironNm * speedRadPerS, frictionNm * speedRadPerS,
                GearsW: gearDragNm * speedRadPerS + (meshNm * speedRadPerS - request.TorqueNm * request.SpeedRadPerS));
        }
    }

    readonly record struct Currents(double IdA, double IqA, double VdV, double VqV)
    {
        public double PeakA => Math.Sqrt(IdA * IdA + IqA * IqA);
        public double VoltageV => Math.Sqrt(VdV * VdV + VqV * VqV);
    }

    /// <summary>The motor at one speed and temperature.</summary>
    readonly record struct Machine(
        double ResistanceOhm, double InductanceDH, double InductanceQH, double FluxWb, double ElectricalRadPerS,
        double TorquePerAmpereWeber, double Saturation, double SaturationAtA, double SaturationHeldFrom, double UsableVoltageShare)
    {
        public static Machine Of(DriveUnit unit, Deviation deviation, in PointRequest request, double rotorRadPerS)
        {
            var motor = unit.Motor;
            return new(
                motor.PhaseResistanceOhm(request.WindingC) * deviation.ResistanceFactor + deviation.AddedResistanceOhm,
                motor.InductanceDH, motor.InductanceQH,
                motor.FluxLinkageWb(request.MagnetC) * deviation.FluxFactor,
                rotorRadPerS * motor.PolePairs,
                1.5 * motor.PolePairs * Math.Cos(deviation.RotorOffsetRad),
                motor.SaturationAtCurrentLimit, motor.PhaseCurrentLimitPeakA,
                // Carried on above the current limit, to say what a point out of reach would need; no further than where the torque's slope has halved.
                Math.Clamp(Math.Sqrt(1 / (6 * motor.SaturationAtCurrentLimit)), 1, 10),
                unit.Inverter.UsableVoltageShare);
        }

        double SaliencyH => InductanceDH - InductanceQH;

        public double UsableV(double busV) => UsableVoltageShare * busV / Math.Sqrt(3);

        /// <summary>Currents and voltages that hold a torque beside a d current.</summary>
        public Currents At(double torqueNm, double idA)
        {
            var iqA = QCurrentA(torqueNm, idA);
            return new(idA, iqA,
                DqEquations.DirectV(ResistanceOhm, InductanceQH, ElectricalRadPerS, idA, iqA),
                DqEquations.QuadratureV(ResistanceOhm, InductanceDH, FluxWb, ElectricalRadPerS, idA, iqA));
        }

        /// <summary>The d current that takes the magnets' flux away; to go deeper raises the voltage again.</summary>
        public double DeepestIdA => -FluxWb / InductanceDH;

        /// <summary>The d current that needs the least voltage at a torque.</summary>
        public double LeastVoltageIdA(double torqueNm)
        {
            // For a q current that stands still it has a closed form; the q current follows the d current only weakly.
            var reactanceD = ElectricalRadPerS * InductanceDH;
            var reactanceQ = ElectricalRadPerS * InductanceQH;
            var idA = 0.0;
            for (var step = 0; step < 10; step++)
            {
                var iqA = QCurrentA(torqueNm, idA);
                idA = Math.Clamp((ResistanceOhm * reactanceQ * iqA - reactanceD * (ResistanceOhm * iqA + ElectricalRadPerS * FluxWb))
                    / (ResistanceOhm * ResistanceOhm + reactanceD * reactanceD), DeepestIdA, 0);
            }

            return idA;
        }

        /// <summary>How the q current follows the d current at a torque that stands still, A/A.</summary>
        public double SlopeOfIq(in Currents currents) =>
            -SaliencyH * currents.IqA / (FluxSlopeWb(currents.IqA) + SaliencyH * currents.IdA);

        /// <summary>How the square of the voltage follows the d current, V²/A.</summary>
        public double SlopeOfVoltageSquared(in Currents currents, double slopeOfIq) =>
            2 * (currents.VdV * (ResistanceOhm - ElectricalRadPerS * InductanceQH * slopeOfIq)
               + currents.VqV * (ResistanceOhm * slopeOfIq + ElectricalRadPerS * InductanceDH));

        /// <summary>The q current that holds a torque beside a d current, A peak, with the sign of the torque.</summary>
        double QCurrentA(double torqueNm, double idA)
        {
            var targetWbA = Math.Abs(torqueNm) / TorquePerAmpereWeber;
            var reluctanceWb = SaliencyH * idA;

            var heldWb = FluxWb * (1 - Saturation * SaturationHeldFrom * SaturationHeldFrom) + reluctanceWb;
            if (targetWbA >= SaturationHeldFrom * SaturationAtA * heldWb) return Math.CopySign(targetWbA / heldWb, torqueNm);

            // Torque over current bends downwards, so Newton's steps from the unsaturated current climb to the root from below.
            var iqA = targetWbA / (FluxWb + reluctanceWb);
            for (var step = 0; step < 50; step++)
            {
                var share = iqA / SaturationAtA;
                var missingWbA = targetWbA - iqA * (FluxWb * (1 - Saturation * share * share) + reluctanceWb);
                var change = missingWbA / (FluxSlopeWb(iqA) + reluctanceWb);
                iqA += change;
                if (Math.Abs(change) <= 1e-13 * iqA) break;
            }

            return Math.CopySign(iqA, torqueNm);
        }

        /// <summary>Slope of q current times saturated flux over the q current, Wb.</summary>
        double FluxSlopeWb(double iqA)
        {
            var share = Math.Abs(iqA / SaturationAtA);
            return share < SaturationHeldFrom
                ? FluxWb * (1 - 3 * Saturation * share * share)
                : FluxWb * (1 - Saturation * SaturationHeldFrom * SaturationHeldFrom);
        }
    }

    /// <summary>The supply's side: power, and the voltage that its own resistance leaves; half the supply's where it collapses.</summary>
    readonly record struct Bus(double VoltageV, double CurrentA, double PowerW, double CopperW, double InverterW, bool Collapses)
    {
        public static Bus Of(Inverter inverter, in Machine machine, in Currents currents, double outputAndDragW, double supplyV, double sourceOhm)
        {
            var peakA = currents.PeakA;
            var copperW = 1.5 * peakA * peakA * machine.ResistanceOhm;
            var conductionW = inverter.StandingLossW + 1.5 * inverter.OnResistanceOhm * peakA * peakA;
            var switchingA = inverter.SwitchingLossWPerVA * peakA;
            var otherW = outputAndDragW + copperW + conductionW;

            // V = V0 − R·(otherW/V + switchingA): the upper root of a square; without one the supply collapses before it gives the power.
            var sum = supplyV - sourceOhm * switchingA;
            var underRoot = sum * sum - 4 * sourceOhm * otherW;
            var collapses = underRoot < 0 || sum <= 0;
            var busV = collapses ? supplyV / 2 : (sum + Math.Sqrt(underRoot)) / 2;

            var inverterW = conductionW + switchingA * busV;
            var powerW = outputAndDragW + copperW + inverterW;
            return new(busV, powerW / busV, powerW, copperW, inverterW, collapses);
        }

        /// <summary>How the bus voltage follows the d current, V/A: the square above, differentiated.</summary>
        public double SlopeOfVoltage(Inverter inverter, in Machine machine, in Currents currents, double slopeOfIq, double supplyV, double sourceOhm)
        {
            if (sourceOhm == 0) return 0;
            var peakA = currents.PeakA;
            var slopeOfSquare = 2 * (currents.IdA + currents.IqA * slopeOfIq);
            var slopeOfSum = peakA > 0 ? -sourceOhm * inverter.SwitchingLossWPerVA * slopeOfSquare / (2 * peakA) : 0;
            var slopeOfOther = 1.5 * (machine.ResistanceOhm + inverter.OnResistanceOhm) * slopeOfSquare;
            var sum = supplyV - sourceOhm * inverter.SwitchingLossWPerVA * peakA;
            return (slopeOfSum * VoltageV - sourceOhm * slopeOfOther) / (2 * VoltageV - sum);
        }
    }
}
