using Roadproof.Engineering.Drive;

namespace Roadproof.Plant.Rigs;

/// <summary>Heat of one time step by its source, J.</summary>
readonly record struct Heat(double Copper, double Iron, double Friction, double Gears, double Inverter);

/// <summary>Temperatures of winding, stator, rotor, controller and housing, stepped with the heat that was really made. The rig's air stands still.</summary>
/// <remarks>Copper heats the winding; iron nine tenths the stator and one tenth the rotor; friction half the rotor, half the housing; gears the housing; the inverter the controller.
/// Explicit steps: they must be short against the smallest time constant (tens of seconds).</remarks>
sealed class HeatFlow(Thermal network, double startC, double ambientC)
{
    readonly double _startJ = HeatContentJ(network, startC, startC, startC, startC, startC);

    public double WindingC { get; private set; } = startC;
    public double StatorC { get; private set; } = startC;
    public double RotorC { get; private set; } = startC;
    public double ControllerC { get; private set; } = startC;
    public double HousingC { get; private set; } = startC;

    /// <summary>Gone to the room since the start, J.</summary>
    public double ToAirJ { get; private set; }

    /// <summary>Kept in the unit since the start, J.</summary>
    public double StoredJ => HeatContentJ(network, WindingC, StatorC, RotorC, ControllerC, HousingC) - _startJ;

    public void Step(double forS, in Heat heat)
    {
        var windingToStatorJ = forS * (WindingC - StatorC) / network.WindingStatorKPerW;
        var statorToHousingJ = forS * (StatorC - HousingC) / network.StatorHousingKPerW;
        var rotorToStatorJ = forS * (RotorC - StatorC) / network.RotorStatorKPerW;
        var rotorToHousingJ = forS * (RotorC - HousingC) / network.RotorHousingKPerW;
        var controllerToHousingJ = forS * (ControllerC - HousingC) / network.ControllerHousingKPerW;
        var toAirJ = forS * (HousingC - ambientC) / network.HousingAmbientStillKPerW;
        var controllerToAirJ = network.ControllerAmbientKPerW is { } straight ? forS * (ControllerC - ambientC) / straight : 0;

        WindingC += (heat.Copper - windingToStatorJ) / network.WindingJPerK;
        StatorC += (0.9 * heat.Iron + windingToStatorJ + rotorToStatorJ - statorToHousingJ) / network.StatorJPerK;
        RotorC += (0.1 * heat.Iron + 0.5 * heat.Friction - rotorToStatorJ - rotorToHousingJ) / network.RotorJPerK;
        ControllerC += (heat.Inverter - controllerToHousingJ - controllerToAirJ) / network.ControllerJPerK;
        HousingC += (heat.Gears + 0.5 * heat.Friction + statorToHousingJ + rotorToHousingJ + controllerToHousingJ - toAirJ) / network.HousingJPerK;
        ToAirJ += toAirJ + controllerToAirJ;
    }

    static double HeatContentJ(Thermal network, double windingC, double statorC, double rotorC, double controllerC, double housingC) =>
        network.WindingJPerK * windingC + network.StatorJPerK * statorC + network.RotorJPerK * rotorC + network.ControllerJPerK * controllerC + network.HousingJPerK * housingC;
}
