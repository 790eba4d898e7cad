using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class FaultCycleTests
{
    static readonly LoadTestPlan Plan = DemoPlan.Plan;

    /// <summary>Sixty seconds chosen by what each tells find as much as the demo's ninety; and what is told of them is what the same points tell when they are asked for anew.</summary>
    [Fact]
    public void A_shorter_cycle_finds_as_much_by_better_points()
    {
        var cycle = FaultCycle.Design(Plan, 60);
        Assert.True(cycle.DurationS <= 60);
        Assert.True(cycle.Value >= cycle.PresentValue - 0.002, $"{cycle.Value} {cycle.PresentValue}");
        Assert.Contains("weak-flux", cycle.NotFound);
        Assert.DoesNotContain("torque-sensor-zero", cycle.NotFound);
        Assert.True(cycle.Points.Where(p => p.Point.OutputRpm > 0).Sum(p => p.Point.HoldS) >= FaultCycle.RunInS);

        // As a plan of its own, cooler and without the other candidates, it finds the same within what that changes.
        var own = new PointSubsets(Plan with { Cycle = Plan.Cycle with { Points = [.. cycle.Points.Select(p => p.Point)] } });
        var rates = own.RatesOf(cycle.Points.Select(p => p.Point.Id).ToHashSet());
        foreach (var (fault, rate) in cycle.Faults.Zip(rates)) Assert.Equal(fault.Designed, rate, 0.03);
    }

    /// <summary>What the present points find is what the sensitivity says of the best test for each fault alone, within its drawn units and the parts' curvature.</summary>
    [Fact]
    public void Shares_are_those_of_the_sensitivity()
    {
        var subsets = new PointSubsets(Plan);
        var rates = subsets.RatesOf(Plan.Cycle.Points.Select(p => p.Id).ToHashSet());
        foreach (var (fault, rate) in new LoadTestJudge(Plan).Sensitivity().Zip(rates).Where(f => f.First.Fault is not "torque-sensor-zero"))
            Assert.Equal(fault.Best.Alone, rate, fault.EitherSign ? 0.13 : 0.05);
    }

    [Theory]
    [InlineData("crimmp", 1.0, "crimmp")]
    [InlineData("crimp", -1.0, "worth -1")]
    [InlineData("crimp", 0.0, "no fault that is worth")]
    public void What_cannot_be_asked_for_is_refused(string fault, double worth, string sentence) =>
        Assert.Contains(sentence, Assert.Throws<InputException>(() => FaultCycle.Design(Plan, 60, new Dictionary<string, double> { [fault] = worth })).Errors.Single().Found);
}
