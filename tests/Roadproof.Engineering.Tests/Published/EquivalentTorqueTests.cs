using Roadproof.Engineering.Life;

namespace Roadproof.Engineering.Tests.Published;

public sealed class EquivalentTorqueTests
{
    /// <summary>The equivalent torque of a list of load bins does in the same turns what the bins do (idea of ISO 6336-6: T_eq = (Σ nᵢTᵢᵖ/Σ nᵢ)^(1/p); check 7-4, numbers recomputed outside the project).</summary>
    [Theory]
    [InlineData(6.61, 54.120230), InlineData(8.738, 58.286056)]
    public void The_equivalent_torque_does_the_same_in_as_many_turns(double slope, double equivalentNm)
    {
        double[] torquesNm = [20, 40, 60, 80];
        double[] shares = [0.5, 0.3, 0.15, 0.05];
        var line = new FatigueLine { PivotCycles = 1e6, Slope = slope, SlopeLower = slope, SlopeUpper = slope, Strength = [new() { TemperatureC = 20, Value = 100 }], StrengthUncertaintyShare = 0, Origin = "test" };
        Assert.Equal(1 / line.CyclesTo(equivalentNm), torquesNm.Zip(shares).Sum(bin => bin.Second / line.CyclesTo(bin.First)), 1e-6 / line.CyclesTo(equivalentNm));
    }
}
