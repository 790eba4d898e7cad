using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Rigs;

/// <summary>What rides on the drive torque at the output while the clutch is closed: 6th electrical, cogging, both meshes, the eccentric wheel.</summary>
sealed class TorqueRipple(DriveUnit unit, UnitCharacter character, ulong unitSeed)
{
    readonly double _six = 6 * unit.Motor.PolePairs;
    readonly double _cogging = ShellVibration.Cogging(unit.Motor);
    readonly double _mesh1 = unit.Gears[0].MeshesPerTurn;
    readonly double _wheel = unit.Gears[0].WheelTurnsPerTurn;
    readonly double _mesh2 = unit.Gears.Count > 1 ? unit.Gears[1].MeshesPerTurn / unit.Gears[0].Ratio : 0;
    readonly double _mesh2Share = unit.Gears.Count > 1 ? character.RippleMesh2Share : 0;
    readonly double[] _phases = Phases(unitSeed);

    public double AtNm(double rotorTurns, double driveNm) => driveNm <= 0 ? 0
        : character.CoggingNm * Sine.OfTurns(_cogging * rotorTurns + _phases[0])
        + driveNm * (character.Ripple6Share * Sine.OfTurns(_six * rotorTurns + _phases[1])
            + character.RippleMesh1Share * Sine.OfTurns(_mesh1 * rotorTurns + _phases[2])
            + Slow(rotorTurns));

    /// <summary>The mean over a short time: what turns slowly stays, by the sinc of the turns meanwhile; the fast orders are gone.</summary>
    public double MeanNm(double rotorTurns, double turnsMeanwhile, double driveNm) => driveNm <= 0 ? 0
        : driveNm * (_mesh2Share * Sinc(_mesh2 * turnsMeanwhile) * Sine.OfTurns(_mesh2 * rotorTurns + _phases[3])
            + character.RippleWheelShare * Sinc(_wheel * turnsMeanwhile) * Sine.OfTurns(_wheel * rotorTurns + _phases[4]));

    double Slow(double rotorTurns) => _mesh2Share * Sine.OfTurns(_mesh2 * rotorTurns + _phases[3])
        + character.RippleWheelShare * Sine.OfTurns(_wheel * rotorTurns + _phases[4]);

    static double Sinc(double turns) => Math.Abs(turns) < 1e-9 ? 1 : Math.Sin(Math.PI * turns) / (Math.PI * turns);

    static double[] Phases(ulong unitSeed)
    {
        var noise = new SeededNoise(unitSeed, "ripple phases");
        return [noise.Share(), noise.Share(), noise.Share(), noise.Share(), noise.Share()];
    }
}
