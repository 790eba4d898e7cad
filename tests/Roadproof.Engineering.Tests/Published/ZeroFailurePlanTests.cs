using Roadproof.Engineering.Life;

namespace Roadproof.Engineering.Tests.Published;

public sealed class ZeroFailurePlanTests
{
    /// <summary>Success run: 22, 45, 29 and 230 units are textbook values (from memory; checks 6-Z, recomputed outside the project).</summary>
    [Theory]
    [InlineData(0.9, 0.9, 22), InlineData(0.95, 0.9, 45), InlineData(0.9, 0.95, 29), InlineData(0.99, 0.9, 230)]
    public void So_many_units_without_a_failure(double reliability, double confidence, int units)
    {
        Assert.Equal(units, ZeroFailurePlan.Units(reliability, confidence, 2, 1));
        Assert.True(Math.Pow(reliability, units) <= 1 - confidence && Math.Pow(reliability, units - 1) > 1 - confidence);
    }

    /// <summary>Twice the life at shape 2 needs a quarter: 5.4636, so 6 units (check 6-Z5); 6 units need 1.91 lives.</summary>
    [Fact]
    public void A_longer_run_needs_fewer_units()
    {
        Assert.Equal(6, ZeroFailurePlan.Units(0.9, 0.9, 2, 2));
        Assert.Equal(Math.Sqrt(21.8543 / 6), ZeroFailurePlan.Lives(0.9, 0.9, 2, 6), 1e-4);
        Assert.Equal(6, ZeroFailurePlan.Units(0.9, 0.9, 2, ZeroFailurePlan.Lives(0.9, 0.9, 2, 6)));
        Assert.Equal(1, ZeroFailurePlan.Units(0.9, 0.9, 2, 10));
    }
}
