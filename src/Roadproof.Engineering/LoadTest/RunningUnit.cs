using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.LoadTest;

/// <summary>One unit held at one output speed and state of warmth, driven by a current along its own q axis: how a rig sees it.</summary>
/// <remarks>
/// The controller keeps the d current at zero in the frame of its stored rotor angle; where that angle is wrong by δ, the machine sees
/// id = −I·sin δ and iq = I·cos δ. Unlike <see cref="OperatingPoints"/>, which takes a wrong angle as a loss of torque only, the reluctance torque and
/// the voltages of the stray d current are kept: a rig's readings resolve them. With δ = 0 both agree to rounding (<c>CarryTests</c>).
/// No field weakening: load points lie below the voltage limit.
/// Source: standard dq equations (textbook); loss models as in <c>docs/methods/drive.md</c>.
/// </remarks>
readonly struct RunningUnit
{
    readonly double resistanceOhm, fluxWb, electricalRadPerS, inductanceDH, inductanceQH;
    readonly double torquePerWbA, saturation, saturationAtA, sinOffset, cosOffset;
    readonly double outputRadPerS, rotorRadPerS, ratio, mesh, busV;
    readonly double ironW, frictionW, gearDragW, standingW, onResistanceOhm, switchingWPerVA;

    /// <param name="unworkedShare">Gear drag over that with worked grease, as <see cref="SettledGrease"/> has it.</param>
    public RunningUnit(DriveUnit unit, Deviation deviation, double speedRadPerS, double windingC, double magnetC, double greaseC, double busV, double unworkedShare = 1)
    {
        var motor = unit.Motor;
        ratio = unit.Ratio;
        mesh = unit.MeshEfficiency * deviation.MeshFactor;
        outputRadPerS = speedRadPerS;
        rotorRadPerS = speedRadPerS * ratio;
        electricalRadPerS = rotorRadPerS * motor.PolePairs;
        this.busV = busV;

        resistanceOhm = motor.PhaseResistanceOhm(windingC) * deviation.ResistanceFactor + deviation.AddedResistanceOhm;
        fluxWb = motor.FluxLinkageWb(magnetC) * deviation.FluxFactor;
        (inductanceDH, inductanceQH) = (motor.InductanceDH, motor.InductanceQH);
        torquePerWbA = 1.5 * motor.PolePairs;
        (saturation, saturationAtA) = (motor.SaturationAtCurrentLimit, motor.PhaseCurrentLimitPeakA);
        (sinOffset, cosOffset) = Math.SinCos(deviation.RotorOffsetRad);

        var hz = electricalRadPerS / (2 * Math.PI);
        var fluxShare = fluxWb / motor.FluxLinkage20Wb;
        ironW = (motor.IronLossHysteresisWPerHz * hz + motor.IronLossEddyWPerHz2 * hz * hz) * fluxShare * fluxShare;
        frictionW = (motor.CoulombFrictionNm + motor.ViscousFrictionNmS * rotorRadPerS + deviation.AddedMotorDragNm) * rotorRadPerS;
        gearDragW = (unit.GearDrag.CoulombNm + unit.GearDrag.ViscousNmS * rotorRadPerS) * deviation.GearDragFactor * unit.GearDrag.ShareAt(greaseC) * unworkedShare * rotorRadPerS;
        (standingW, onResistanceOhm, switchingWPerVA) = (unit.Inverter.StandingLossW, unit.Inverter.OnResistanceOhm, unit.Inverter.SwitchingLossWPerVA);
    }

    bool Rests => rotorRadPerS == 0;

    /// <summary>Torque that the drive gives to the output, N·m; below zero where the current does not even carry the drags.</summary>
    public double DriveTorqueNm(double currentA) => DriveTorqueNm(0, currentA);

    /// <summary>The same for a pair of currents in the frame of the angle that the controller reports, N·m.</summary>
    public double DriveTorqueNm(double idA, double iqA)
    {
        if (Rests) return 0;
        var rotorNm = AirGapNm(idA, iqA) - (ironW + frictionW + gearDragW) / rotorRadPerS;
        return rotorNm * ratio * (rotorNm >= 0 ? mesh : 1 / mesh);
    }

    /// <summary>The current that holds a drive torque at the output, A peak.</summary>
    public double CurrentForA(double torqueNm)
    {
        if (Rests) return 0;
        var airGapNm = torqueNm / (torqueNm >= 0 ? ratio * mesh : ratio / mesh) + (ironW + frictionW + gearDragW) / rotorRadPerS;

        // Torque is nearly straight in the current: Newton's steps from the unsaturated current end in four or five.
        var currentA = airGapNm / (torquePerWbA * fluxWb * cosOffset);
        for (var step = 0; step < 30; step++)
        {
            var change = (airGapNm - AirGapNm(currentA)) / AirGapSlopeNmPerA(currentA);
            currentA += change;
            if (Math.Abs(change) <= 1e-13 * Math.Abs(currentA)) break;
        }

        return currentA;
    }

    /// <summary>Power from the bus at a current, with the torque that it gives, W.</summary>
    public double BusPowerW(double currentA) => DriveTorqueNm(currentA) * outputRadPerS + LossesAt(currentA).TotalW;

    /// <summary>The same for a pair of currents as reported: what crosses the air gap, copper and inverter; drags and teeth take theirs from the first, W.</summary>
    public double BusPowerW(double idA, double iqA)
    {
        var square = idA * idA + iqA * iqA;
        return AirGapNm(idA, iqA) * rotorRadPerS + standingW + 1.5 * square * (resistanceOhm + onResistanceOhm) + switchingWPerVA * busV * Math.Sqrt(square);
    }

    public Losses LossesAt(double currentA)
    {
        if (Rests) return new(0, 0, 0, standingW, 0);
        var rotorW = AirGapNm(currentA) * rotorRadPerS - ironW - frictionW - gearDragW;
        var meshW = rotorW - rotorW * (rotorW >= 0 ? mesh : 1 / mesh);
        var square = 1.5 * currentA * currentA;
        return new(square * resistanceOhm, ironW, frictionW, standingW + square * onResistanceOhm + switchingWPerVA * busV * Math.Abs(currentA), gearDragW + meshW);
    }

    /// <summary>Phase voltages as the rig finds them in the frame of the angle that the controller reports, V peak.</summary>
    public (double VdV, double VqV) ReportedVoltagesV(double currentA) => ReportedVoltagesV(0, currentA);

    public (double VdV, double VqV) ReportedVoltagesV(double reportedIdA, double reportedIqA)
    {
        var (idA, iqA) = Turned(reportedIdA, reportedIqA);
        var vdV = DqEquations.DirectV(resistanceOhm, inductanceQH, electricalRadPerS, idA, iqA);
        var vqV = DqEquations.QuadratureV(resistanceOhm, inductanceDH, SaturatedFluxWb(iqA), electricalRadPerS, idA, iqA);
        return (vdV * cosOffset + vqV * sinOffset, -vdV * sinOffset + vqV * cosOffset);
    }

    public double ElectricalRadPerS => electricalRadPerS;

    double AirGapNm(double currentA) => AirGapNm(0, currentA);

    double AirGapNm(double reportedIdA, double reportedIqA)
    {
        var (idA, iqA) = Turned(reportedIdA, reportedIqA);
        return torquePerWbA * (SaturatedFluxWb(iqA) + (inductanceDH - inductanceQH) * idA) * iqA;
    }

    // From the frame of the stored angle into the rotor's own.
    (double IdA, double IqA) Turned(double idA, double iqA) => (idA * cosOffset - iqA * sinOffset, idA * sinOffset + iqA * cosOffset);

    // The same flux makes torque and voltage: with less in one of them alone, power would vanish.
    double SaturatedFluxWb(double iqA)
    {
        var share = Math.Min(1, Math.Abs(iqA) / saturationAtA);
        return fluxWb * (1 - saturation * share * share);
    }

    double AirGapSlopeNmPerA(double currentA)
    {
        var share = Math.Min(1, Math.Abs(currentA * cosOffset) / saturationAtA);
        var slopeOfSaturation = share < 1 ? 3 : 1;
        return torquePerWbA * (fluxWb * (1 - slopeOfSaturation * saturation * share * share) - 2 * (inductanceDH - inductanceQH) * currentA * sinOffset) * cosOffset;
    }

    /// <summary>At reference conditions: winding, magnets and grease at 20 °C, nominal bus.</summary>
    public static RunningUnit AtReference(DriveUnit unit, Deviation deviation, double speedRadPerS) =>
        new(unit, deviation, speedRadPerS, ReferenceConditions.TemperatureC, ReferenceConditions.TemperatureC, ReferenceConditions.TemperatureC, unit.Supply.NominalV);

    /// <summary>The current that the controller of any unit asks for: what the nominal unit at reference conditions needs, A peak.</summary>
    public static double AskedCurrentA(DriveUnit unit, LoadPoint point) => AtReference(unit, Deviation.None, point.SpeedRadPerS).CurrentForA(point.TorqueNm);

    /// <summary>The current that truly flows at a load point. With torque asked the controller's reading is wrong by its gain; without, the rig lets the unit
    /// hold the speed.</summary>
    public static double TrueCurrentA(DriveUnit unit, Deviation deviation, LoadPoint point, in RunningUnit running) => point.TorqueNm > 0
        ? AskedCurrentA(unit, point) / deviation.CurrentGainFactor
        : running.CurrentForA(0);
}
