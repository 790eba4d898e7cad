using Roadproof.Engineering.Drive;

namespace Roadproof.Plant.Rigs;

/// <summary>What the controller asks of its current loop: in its own frame, as it reads, A peak.</summary>
readonly record struct CurrentRequest(double IdA, double IqA, bool Awake);

/// <summary>The unit's controller above its current loop: from a torque asked for to a q current, with its limits, its reactions and its sleep.</summary>
/// <remarks>
/// Open loop: the asked torque becomes current with the drawing's unit at 20 °C; a unit that differs delivers something else. Without torque asked in service, the motor spins itself just
/// below the point where the clutch closes, by a speed loop. The phase limit acts at once; the bus limit reads a mean over about 0.3 s, so that for most of a second the phase limit alone holds.
/// </remarks>
sealed class DriveController(DriveUnit unit, Deviation deviation, UnitCharacter character, double wheelRadiusM, double stepS, bool startsByItself = false)
{
    const double ShareRampS = 0.05, CutOffSpanMps = 1.5 / 3.6, SlipShare = 0.001;
    const double GovernorRadPerS = 40, BusFilterS = 0.3, BusLoopRadPerS = 8, WeakenAPerVS = 200, SleepAfterS = 0.1;

    readonly double _ratio = unit.Ratio;
    readonly double _ratioEfficiency = unit.Ratio * unit.MeshEfficiency;
    readonly double _torquePerA = 1.5 * unit.Motor.PolePairs * unit.Motor.FluxLinkage20Wb;
    readonly double _limitA = unit.Motor.PhaseCurrentLimitPeakA;
    readonly double _governorAPerRadPerS = GovernorRadPerS * unit.Motor.RotorInertiaKgM2 / (1.5 * unit.Motor.PolePairs * unit.Motor.FluxLinkage20Wb);
    double _share, _refusedS, _governorA, _busFilteredA, _busHoldBackA, _weakenA, _idleS;
    bool _walking, _braked, _started;

    /// <param name="busA">True bus current and phase voltage of the step before.</param>
    public CurrentRequest Ask(in Demand demand, double rotorRadPerS, double busA, double phaseV, double usableV, double windingC)
    {
        var requestNm = Assistance(demand) * demand.TorqueNm;
        var spinFree = demand.Service && demand.TorqueNm <= 0 && demand.OutputRadPerS > 0;

        var iqA = 0.0;
        if (requestNm > 0) iqA = CurrentFor(requestNm / _ratioEfficiency + NominalDragNm(rotorRadPerS));
        else if (spinFree) iqA = Governed(demand.OutputRadPerS * _ratio * (1 - SlipShare) - rotorRadPerS, rotorRadPerS);
        if (!spinFree) _governorA = 0;

        _weakenA = Math.Clamp(_weakenA - WeakenAPerVS * stepS * (phaseV - 0.99 * usableV), -_limitA, 0);
        var leftA = Math.Sqrt(_limitA * _limitA - _weakenA * _weakenA);
        iqA = Math.Clamp(iqA, 0, Math.Max(0, Math.Min(leftA * Derating(windingC), BusLimited(busA))));
        _idleS = requestNm > 0 || demand.Service || rotorRadPerS > 0 ? 0 : _idleS + stepS;
        return new(_weakenA, iqA, Awake: _idleS < SleepAfterS);
    }

    /// <summary>Share of the asked torque that pedals, brake, button and road speed allow.</summary>
    double Assistance(in Demand demand)
    {
        _started = demand is { Brake: false, Pedalling: false } && (_started || (startsByItself && _braked));
        _braked = demand.Brake;
        var allowed = demand.Service || demand.WalkAssist || _started || (demand.Pedalling && !demand.Brake);
        if (allowed)
        {
            (_refusedS, _walking) = (0, demand.WalkAssist);
            _share = Math.Min(1, _share + stepS / ShareRampS);
        }
        else
        {
            _refusedS += stepS;
            var delayS = demand.Brake ? character.BrakeDelayS : _walking ? character.WalkReleaseDelayS : character.StopDelayS;
            if (_refusedS > delayS) _share = Math.Max(0, _share - stepS / ShareRampS);
        }

        return demand.Service ? _share : _share * Math.Clamp((character.CutOffMps - demand.WheelRadPerS * wheelRadiusM) / CutOffSpanMps, 0, 1);
    }

    double NominalDragNm(double rotorRadPerS)
    {
        var motor = unit.Motor;
        var perTurn = motor.PolePairs / Math.Tau;
        return motor.CoulombFrictionNm + motor.ViscousFrictionNmS * rotorRadPerS
            + unit.GearDrag.CoulombNm + unit.GearDrag.ViscousNmS * rotorRadPerS
            + motor.IronLossHysteresisWPerHz * perTurn + motor.IronLossEddyWPerHz2 * perTurn * perTurn * rotorRadPerS;
    }

    /// <summary>Solves torque = Kt·(1 − k·(iq/limit)²)·iq; beyond the limit saturation is held, the limit cuts anyway.</summary>
    double CurrentFor(double motorTorqueNm)
    {
        var iqA = motorTorqueNm / _torquePerA;
        for (var round = 0; round < 4; round++)
        {
            var share = Math.Min(iqA / _limitA, 1);
            iqA = motorTorqueNm / (_torquePerA * (1 - unit.Motor.SaturationAtCurrentLimit * share * share));
        }

        return iqA;
    }

    double Governed(double missingRadPerS, double rotorRadPerS)
    {
        // Far off, the motor is still running up: summing then would carry it past and close the clutch. Too fast is mended sooner than too slow.
        var haste = missingRadPerS > 10 ? 0 : missingRadPerS > 0 ? 0.25 : 1;
        _governorA = Math.Clamp(_governorA + haste * _governorAPerRadPerS * GovernorRadPerS * stepS * missingRadPerS, -1, 1);
        return NominalDragNm(rotorRadPerS) / _torquePerA + _governorAPerRadPerS * missingRadPerS + _governorA;
    }

    double BusLimited(double busA)
    {
        // What the controller takes for the bus current comes from the same current sensors.
        _busFilteredA += (busA * deviation.CurrentGainFactor - _busFilteredA) * stepS / BusFilterS;
        var roomA = unit.Supply.CurrentLimitA - _busFilteredA;
        const double phasePerBus = 1.6;
        _busHoldBackA = Math.Min(0, _busHoldBackA + phasePerBus * BusLoopRadPerS * stepS * roomA);
        return _limitA + Math.Min(0, _busHoldBackA + phasePerBus * BusLoopRadPerS * BusFilterS * roomA);
    }

    double Derating(double windingC) =>
        Math.Clamp((unit.Motor.DeratingEndC - windingC) / (unit.Motor.DeratingEndC - unit.Motor.DeratingStartC), 0, 1);
}
