namespace Roadproof.Engineering.Drive;

/// <summary>How the crank side of one real unit differs from its drawing. The default is as drawn.</summary>
public readonly record struct CrankDeviation(double SealFactor, double MotorClutchFactor, double CrankClutchFactor, double TakeUpDeg)
{
    public static readonly CrankDeviation None = new(1, 1, 1, 0);
}

/// <summary>Torques that turn an unpowered unit slowly, N·m, and the angle before its drive train takes up.</summary>
/// <remarks>
/// Two one-way clutches sit on the chainring's sleeve: the motor's locks when the sleeve turns backward against the motor, the crank's when the crank turns it forward. Drag of an overrunning clutch
/// and of the seals is taken as constant. The rotor's drag stands behind the teeth, so that they add to it when the output drives (as in <see cref="OperatingPoints"/>). Source: balance of torques; docs/methods/functional-check.md.
/// </remarks>
/// <param name="CrankForward">Crank forward: it takes the sleeve along, the motor's clutch overruns.</param>
/// <param name="CrankBackward">Crank backward: its clutch overruns.</param>
/// <param name="Free">Chainring forward, crank still: both clutches overrun.</param>
/// <param name="Driven">Chainring backward: both clutches lock, crank, gears and rotor turn along.</param>
public readonly record struct SlowTurning(double CrankForward, double CrankBackward, double Free, double Driven, double TakeUpDeg)
{
    /// <param name="crank">The unit's crank side; a unit without one has no such check.</param>
    /// <param name="driveRadPerS">Speed of the chainring while it drives gears and rotor.</param>
    public static SlowTurning Of(DriveUnit unit, CrankSide crank, Deviation deviation, CrankDeviation side, double driveRadPerS)
    {
        var (motor, rotorRadPerS) = (unit.Motor, driveRadPerS * unit.Ratio);
        var hzPerRadPerS = motor.PolePairs / (2 * Math.PI);
        var ironNm = deviation.FluxFactor * deviation.FluxFactor * hzPerRadPerS * (motor.IronLossHysteresisWPerHz + motor.IronLossEddyWPerHz2 * hzPerRadPerS * rotorRadPerS);
        var frictionNm = motor.CoulombFrictionNm + motor.ViscousFrictionNmS * rotorRadPerS + deviation.AddedMotorDragNm;
        var gearsNm = (unit.GearDrag.CoulombNm + unit.GearDrag.ViscousNmS * rotorRadPerS) * deviation.GearDragFactor;
        var (seal, motorClutch, crankClutch) = (crank.SealDragNm * side.SealFactor, crank.MotorClutchOverrunDragNm * side.MotorClutchFactor, crank.CrankClutchOverrunDragNm * side.CrankClutchFactor);
        return new(seal + motorClutch, seal + crankClutch, motorClutch + crankClutch,
            seal + (ironNm + frictionNm + gearsNm) * unit.Ratio / (unit.MeshEfficiency * deviation.MeshFactor), crank.ClutchEngageDeg + side.TakeUpDeg);
    }
}
