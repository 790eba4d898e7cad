namespace Roadproof.Engineering.Drive;

/// <summary>What a time of one length does to the temperatures of a unit, under heat and air that stand still; see <see cref="ThermalNetwork.StepOf"/>.</summary>
public sealed class ThermalStep
{
    const int Lumps = 5;
    readonly double[] keep, warm;
    readonly double controllerToAirWPerK, housingToAirWPerK;

    internal ThermalStep(double[] keep, double[] warm, double durationS, double controllerToAirWPerK, double housingToAirWPerK)
    {
        (this.keep, this.warm, DurationS) = (keep, warm, durationS);
        (this.controllerToAirWPerK, this.housingToAirWPerK) = (controllerToAirWPerK, housingToAirWPerK);
    }

    /// <summary>Length of the step, s.</summary>
    public double DurationS { get; }

    /// <summary>The temperatures at the step's end, °C.</summary>
    public ThermalState Apply(in ThermalState state, in Heat heat, double ambientC)
    {
        ReadOnlySpan<double> above = [state.WindingC - ambientC, state.StatorC - ambientC, state.RotorC - ambientC, state.ControllerC - ambientC, state.HousingC - ambientC];
        ReadOnlySpan<double> heatW = [heat.WindingW, heat.StatorW, heat.RotorW, heat.ControllerW, heat.HousingW];
        Span<double> end = stackalloc double[Lumps];
        for (var i = 0; i < Lumps; i++)
        {
            var sum = ambientC;
            for (var j = 0; j < Lumps; j++) sum += keep[i * Lumps + j] * above[j] + warm[i * Lumps + j] * heatW[j];
            end[i] = sum;
        }

        return new(end[0], end[1], end[2], end[3], end[4]);
    }

    /// <summary>Heat that goes to the air at these temperatures, W.</summary>
    public double ToAirW(in ThermalState state, double ambientC) =>
        housingToAirWPerK * (state.HousingC - ambientC) + controllerToAirWPerK * (state.ControllerC - ambientC);
}
