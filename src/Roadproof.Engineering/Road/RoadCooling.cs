using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.Road;

/// <summary>How a unit cools at every speed of a ride: one network for each quarter of a metre per second, made once and shared by all rides of the unit.</summary>
/// <remarks>The air over the housing is as fast as the bicycle. Rounding the speed to 0.25 m/s moves a temperature by less than 0.1 K.</remarks>
sealed class RoadCooling
{
    const double StepMps = 0.25;
    const double FastestMps = 25;

    readonly ThermalNetwork still;
    readonly ThermalStep[] second;

    public RoadCooling(Thermal thermal)
    {
        still = new ThermalNetwork(thermal);
        second = new ThermalStep[(int)(FastestMps / StepMps) + 1];
        for (var i = 0; i < second.Length; i++) second[i] = new ThermalNetwork(thermal, i * StepMps).StepOf(1);
    }

    /// <summary>One second at a road speed.</summary>
    public ThermalStep Second(double speedMps) => second[Math.Min((int)(speedMps / StepMps + 0.5), second.Length - 1)];

    /// <summary>A pause without heat in still air.</summary>
    public ThermalState Pause(in ThermalState state, double ambientC, double durationS) => still.Step(state, default, ambientC, durationS);
}
