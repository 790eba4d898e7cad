using Roadproof.Engineering.Drive;

namespace Roadproof.Plant.Rigs;

/// <summary>Rotor, gears and the one-way clutch to the output, whose speed the rig holds.</summary>
/// <param name="settled">How far the grease has settled at the start: 0 for worked, about 1 after long standing.</param>
/// <remarks>The clutch carries torque one way only: a rotor that turns slower than the output runs free; one that would turn faster is caught and drives.</remarks>
sealed class Driveline(DriveUnit unit, Deviation deviation, double settled)
{
    readonly Motor _motor = unit.Motor;
    readonly double _ratio = unit.Ratio;
    readonly double _efficiency = unit.MeshEfficiency * deviation.MeshFactor;
    readonly double _hysteresisNm = unit.Motor.IronLossHysteresisWPerHz * unit.Motor.PolePairs / Math.Tau;
    readonly double _eddyNmS = unit.Motor.IronLossEddyWPerHz2 * unit.Motor.PolePairs * unit.Motor.PolePairs / (Math.Tau * Math.Tau);

    public double RotorRadPerS { get; private set; }
    public bool Closed { get; private set; } = true;

    /// <summary>Rotor angle since the start, turns.</summary>
    public double RotorTurns { get; private set; }

    /// <summary>Drags at the rotor at the last step's speed, N·m.</summary>
    public double DragNm { get; private set; }
    public double FrictionNm { get; private set; }
    public double IronNm { get; private set; }
    public double GearDragNm { get; private set; }

    /// <summary>At the output, for a motor torque at a moment of the last step; 0 while the clutch is open.</summary>
    public double DriveTorqueNm(double motorTorqueNm) => Closed ? Math.Max(0, motorTorqueNm - DragNm - _inertiaNm) * _ratio * _efficiency : 0;

    double _inertiaNm;

    /// <summary>The rotor's speed at the end of the step that comes, from the torque of the step that was.</summary>
    public double NextRotorRadPerS(double motorTorqueNm, double outputFromRadPerS, double outputToRadPerS, double forS)
    {
        var caughtRadPerS = outputToRadPerS * _ratio;
        var followNm = _motor.RotorInertiaKgM2 * (outputToRadPerS - outputFromRadPerS) * _ratio / forS;
        if (Closed && motorTorqueNm - DragNm - followNm >= 0) return caughtRadPerS;

        Closed = false;
        var freeRadPerS = Math.Max(0, RotorRadPerS + (motorTorqueNm - DragNm) / _motor.RotorInertiaKgM2 * forS);
        if (freeRadPerS < caughtRadPerS) return freeRadPerS;
        Closed = true;
        return caughtRadPerS;
    }

    /// <summary>Turns the rotor on to its next speed. Flux share: the magnets' flux now over the drawing's at 20 °C; iron loss goes with its square.</summary>
    public void Turn(double toRadPerS, double fluxShare, double greaseC, double forS)
    {
        var meanRadPerS = 0.5 * (RotorRadPerS + toRadPerS);
        _inertiaNm = Closed ? _motor.RotorInertiaKgM2 * (toRadPerS - RotorRadPerS) / forS : 0;
        RotorTurns += meanRadPerS * forS / Math.Tau;
        RotorRadPerS = toRadPerS;
        FrictionNm = _motor.CoulombFrictionNm + _motor.ViscousFrictionNmS * meanRadPerS + deviation.AddedMotorDragNm;
        GearDragNm = (unit.GearDrag.CoulombNm + unit.GearDrag.ViscousNmS * meanRadPerS) * deviation.GearDragFactor * unit.GearDrag.ShareAt(greaseC) * unit.GearDrag.ShareUnworked(settled, RotorTurns / _ratio);
        IronNm = (_hysteresisNm + _eddyNmS * meanRadPerS) * fluxShare * fluxShare;
        DragNm = FrictionNm + GearDragNm + IronNm;
    }
}
