using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.LoadTest;

/// <summary>How warm a unit's lumps are over the load points of a cycle, in the still air of a rig.</summary>
/// <remarks>Steps of at most two seconds, exact for the network and second order in the losses; ramps between points are left out.</remarks>
sealed class CycleWarmth
{
    const double LongestStepS = 2;

    readonly double[] edgesS;
    readonly ThermalState[] states;

    CycleWarmth(double[] edgesS, ThermalState[] states) => (this.edgesS, this.states) = (edgesS, states);

    /// <param name="losses">Losses at a load point while the lumps are that warm.</param>
    public static CycleWarmth Over(LoadCycle cycle, ThermalNetwork network, ThermalState start, double ambientC, Func<LoadPoint, ThermalState, Losses> losses)
    {
        var edges = new List<double> { 0 };
        var reached = new List<ThermalState> { start };
        var state = start;
        var now = 0.0;
        foreach (var point in cycle.Points)
        {
            var steps = Math.Max(1, (int)Math.Ceiling(point.HoldS / LongestStepS));
            var stepS = point.HoldS / steps;
            for (var step = 0; step < steps; step++)
            {
                var halfWay = network.Step(state, Heat.From(losses(point, state)), ambientC, stepS / 2);
                state = network.Step(state, Heat.From(losses(point, halfWay)), ambientC, stepS);
                now += stepS;
                edges.Add(now);
                reached.Add(state);
            }
        }

        return new([.. edges], [.. reached]);
    }

    // Both ends are read as the mean of a second.
    ThermalState First => At(0.5);

    ThermalState Last => At(edgesS[^1] - 0.5);

    public double WindingRiseK => Last.WindingC - First.WindingC;

    public double ControllerRiseK => Last.ControllerC - First.ControllerC;

    /// <summary>Temperatures at a time of the run, straight between steps; after the last load point those of its end.</summary>
    public ThermalState At(double timeS)
    {
        var place = Array.BinarySearch(edgesS, timeS);
        if (place >= 0) return states[place];
        var after = ~place;
        if (after >= states.Length) return states[^1];
        if (after == 0) return states[0];
        var (a, b) = (states[after - 1], states[after]);
        var share = (timeS - edgesS[after - 1]) / (edgesS[after] - edgesS[after - 1]);
        return new(
            a.WindingC + share * (b.WindingC - a.WindingC), a.StatorC + share * (b.StatorC - a.StatorC), a.RotorC + share * (b.RotorC - a.RotorC),
            a.ControllerC + share * (b.ControllerC - a.ControllerC), a.HousingC + share * (b.HousingC - a.HousingC));
    }
}
