using CsCheck;
using Roadproof.Engineering.Life;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>Load matrices against cycles sorted into classes one by one.</summary>
public sealed class RangeMeanMatrixTests
{
    static readonly Gen<CountedCycle> Cycle = Gen.Select(Gen.Double[0, 5], Gen.Double[-5, 5], Gen.Bool, (size, mean, whole) => new CountedCycle(Math.Exp(size) - 1, Math.Sign(mean) * (Math.Exp(Math.Abs(mean)) - 1), whole ? 1 : 0.5));

    [Fact]
    public void Classes_hold_what_lies_within_them_however_they_grew() =>
        Cycle.Array[1, 80].Sample(cycles =>
        {
            var matrix = Of(cycles);
            for (var r = 0; r < matrix.Classes; r++)
                for (var m = 0; m < matrix.Classes; m++)
                {
                    var held = cycles.Where(c => c.Range >= r * matrix.RangeWidth && c.Range < (r + 1) * matrix.RangeWidth && c.Mean >= matrix.MeanFrom(m) && c.Mean < matrix.MeanFrom(m + 1)).Sum(c => c.Count);
                    Assert.Equal(held, matrix[r, m]);
                }
        }, iter: 500, seed: "0000000000006");

    [Fact]
    public void Merged_matrices_are_that_of_all_cycles() =>
        Gen.Select(Cycle.Array[0, 60], Cycle.Array[0, 60]).Sample((one, other) =>
        {
            var (merged, together) = (Of(one), Of([.. one, .. other]));
            merged.Add(Of(other));
            Assert.Equal((together.RangeWidth, together.MeanWidth), (merged.RangeWidth, merged.MeanWidth));
            Assert.Equal(together.Cycles(), merged.Cycles());
        }, iter: 500, seed: "0000000000007");

    [Fact]
    public void A_thousand_times_the_same_ride_is_a_thousand_times_its_cycles()
    {
        var (life, ride) = (new RangeMeanMatrix(8, 1), Of([new(3, 1, 1), new(40, -20, 0.5)]));
        life.Add(ride, 1000);
        Assert.Equal(1500, life.Total);
        Assert.Equal([new CountedCycle(44, -20, 500), new(4, 4, 1000)], life.Cycles()); // classes 8 wide, by their middles
    }

    [Fact]
    public void Odd_classes_and_widths_of_nothing_are_refused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => new RangeMeanMatrix(7, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => new RangeMeanMatrix(8, 0));
        Assert.Throws<ArgumentException>(() => new RangeMeanMatrix(8, 1).Add(new RangeMeanMatrix(16, 1)));
    }

    // 67838 for the example of the rainflow standard (see RainflowTests); an odd slope by powers.
    [Theory]
    [InlineData(5), InlineData(3), InlineData(8.7)]
    public void A_sum_of_damage_is_that_of_its_cycles(double slope)
    {
        double[] history = [-2, 1, -3, 5, -1, 3, -4, 4, -2];
        var counter = new Rainflow<DamageSum>(new(2, slope));
        counter.Add(history);
        var sum = counter.Finish();
        Assert.Equal(Rainflow.Count(history).Sum(c => c.Count * Math.Pow(c.Range / 2, slope)), sum.Damage, 1e-12 * sum.Damage);
        Assert.Equal(9, sum.Largest);
    }

    static RangeMeanMatrix Of(IEnumerable<CountedCycle> cycles)
    {
        var matrix = new RangeMeanMatrix(8, 1);
        foreach (var c in cycles) matrix.Add(c.Range, c.Mean, c.Count);
        return matrix;
    }
}
