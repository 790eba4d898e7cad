using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>How long a unit cools down after a load test before another run begins as the first one did.</summary>
public sealed class CoolDownTests
{
    // The trade handbook says of this unit: winding within 3 K of the housing after about 5 min, the housing itself only 2 to 3 K warm (read; computed there). The network here is quicker, 84 s
    // after the last load point: the demo's 4 min lie between.
    [Fact]
    public void The_winding_is_within_three_kelvins_of_the_shell_after_minutes()
    {
        var plan = DemoPlan.Plan;
        var network = new ThermalNetwork(plan.Unit.Thermal);
        var state = CycleWarmth.Over(plan.Cycle, network, ThermalState.At(20), 20, (point, s) =>
        {
            var running = new RunningUnit(plan.Unit, Deviation.None, point.SpeedRadPerS, s.WindingC, s.RotorC, s.HousingC, plan.Unit.Supply.NominalV);
            return running.LossesAt(point.TorqueNm > 0 ? RunningUnit.AskedCurrentA(plan.Unit, point) : point.OutputRpm > 0 ? running.CurrentForA(0) : 0);
        }).At(plan.Cycle.PointsDurationS);
        Assert.InRange(state.WindingC - state.HousingC, 8, 14);
        var forS = 0.0;
        while (state.WindingC - state.HousingC > 3) (state, forS) = (network.Step(state, default, 20, 1), forS + 1);
        Assert.InRange(forS, 60, 240);
        Assert.InRange(state.HousingC - 20, 1, 4);
    }
}
