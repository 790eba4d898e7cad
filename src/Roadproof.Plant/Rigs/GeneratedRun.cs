using Roadproof.Engineering.Formats;

namespace Roadproof.Plant.Rigs;

/// <summary>One simulated load-test run: the three tables a rig would record, and the truth behind them for tests of the tool.</summary>
public sealed record GeneratedRun(CaptureTable Slow, CaptureTable Fast, CaptureTable Vibration, RunTruth Truth);

/// <summary>What no rig can see.</summary>
public sealed record RunTruth(IReadOnlyList<PointTruth> Points, EnergyTruth Energy, UnitCharacter Unit);

/// <summary>True means over the steady part of a load point: its window, or where it has none, from the window's start to the point's end.</summary>
/// <param name="DriveTorqueNm">At the output, without the rider's share.</param>
/// <param name="BusPowerW">At the unit's terminals.</param>
/// <param name="IdA">In the true rotor frame, A peak; <paramref name="IqA"/> likewise.</param>
public sealed record PointTruth(
    string Point, double DriveTorqueNm, double BusPowerW, double BusVoltageV, double RotorRadPerS, double OutputRadPerS,
    double IdA, double IqA, double VdV, double VqV, double WindingC, double MagnetC, double ControllerC, double HousingC);

/// <summary>Where the energy of the whole run went, J.</summary>
/// <param name="Output">Drive's share at the output.</param>
/// <param name="Rotating">Left in the rotor's turning and given or taken when the clutch closes.</param>
/// <param name="Stored">Kept as heat in the unit.</param>
/// <param name="ToAir">Gone to the room.</param>
public sealed record EnergyTruth(
    double Bus, double Output, double Copper, double Iron, double Friction, double Gears, double Inverter, double Rotating, double Stored, double ToAir)
{
    public double Losses => Copper + Iron + Friction + Gears + Inverter;
}
