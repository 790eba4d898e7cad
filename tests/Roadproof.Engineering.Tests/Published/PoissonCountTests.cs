using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>Source: exact limits of a Poisson count at 95 % as handbooks print them after Garwood 1936 (from memory); the sums of the tails below are another way to the same.</summary>
public sealed class PoissonCountTests
{
    [Theory]
    [InlineData(0, 0, 3.689), InlineData(1, 0.0253, 5.572), InlineData(2, 0.2422, 7.225), InlineData(5, 1.623, 11.668), InlineData(10, 4.795, 18.390), InlineData(20, 12.217, 30.888)]
    public void Bounds_are_those_of_the_tables(int count, double lower, double upper)
    {
        var expected = PoissonCount.Expected(count, 0.95);
        Assert.Equal((lower, upper), (expected.Lower, expected.Upper), (a, b) => Math.Abs(a.Item1 - b.Item1) < 6e-4 && Math.Abs(a.Item2 - b.Item2) < 6e-4);
    }

    [Theory]
    [InlineData(1, 0.9), InlineData(3, 0.95), InlineData(17, 0.99), InlineData(150, 0.95)]
    public void At_a_bound_the_count_lies_in_the_tail(int count, double confidence)
    {
        var expected = PoissonCount.Expected(count, confidence);
        Assert.Equal((1 - confidence) / 2, AtMost(count, expected.Upper), 1e-9);
        Assert.Equal((1 - confidence) / 2, 1 - AtMost(count - 1, expected.Lower), 1e-9);
    }

    static double AtMost(int count, double mean)
    {
        var (sum, term) = (0.0, Math.Exp(-mean));
        for (var n = 0; n <= count; n++)
        {
            sum += term;
            term *= mean / (n + 1);
        }

        return sum;
    }
}
