using MathNet.Numerics.Statistics;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class UnitIdentificationTests(ITestOutputHelper output)
{
    [Theory]
    [InlineData(true), InlineData(false)]
    public void Try(bool voltages)
    {
        var plan = DemoPlan.Plan;
        var drawn = new DrawnParameters(plan);
        var (constant, perSpeed) = drawn.Drag();
        const int units = 2000;
        var all = new (double[] Z, IdentifiedUnit U)[units];
        Parallel.For(0, units, i =>
        {
            var (z, run) = DrawnRun.Of(plan, (ulong)i + 1);
            all[i] = (z, UnitIdentification.Of(voltages ? run : DrawnRun.WithoutVoltages(run), plan, []));
        });
        double Theta(double[] z, int k) => drawn.Value[k] + z[k] * drawn.Spread[k];
        for (var k = 0; k < DrawnParameters.Count + 2; k++)
        {
            double Truth(double[] z) => k < DrawnParameters.Count ? Theta(z, k) : Enumerable.Range(0, DrawnParameters.Count).Sum(j => (k == DrawnParameters.Count ? constant : perSpeed)[j] * Theta(z, j));
            IdentifiedParameter P(IdentifiedUnit u) => k < DrawnParameters.Count ? u.Parameters[k] : u.Combinations[k - DrawnParameters.Count];
            var e = all.Select(a => (P(a.U).Value - Truth(a.Z)) / P(a.U).StandardUncertainty).ToArray();
            var b = all.Select(a => (P(a.U).WithDrawing.Value - Truth(a.Z)) / P(a.U).WithDrawing.StandardUncertainty).ToArray();
            output.WriteLine($"{P(all[0].U).Id,-26} identified {all.Average(a => P(a.U).Identified ? 1.0 : 0):F3} cover {e.Average(x => Math.Abs(x) < 1.96 ? 1 : 0.0):F4} sd {e.StandardDeviation():F3} mean {e.Mean():F3}  both {b.Average(x => Math.Abs(x) < 1.96 ? 1 : 0.0):F4}");
        }

        output.WriteLine($"fits {all.Average(a => a.U.Fit.Fits ? 1.0 : 0):F4} left out {all.Sum(a => a.U.LeftOut.Count)} chi2/dof {all.Average(a => a.U.Fit.ChiSquare / a.U.Fit.DegreesOfFreedom):F3}");
    }
}
