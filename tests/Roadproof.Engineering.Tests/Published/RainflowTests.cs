using CsCheck;
using Roadproof.Engineering.Life;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>Source: ASTM E1049-85 (2017), 5.4.4, Fig. 6 (as quoted by open test suites; the paid text was not read). Means: the same example in an open library's documentation (read).</summary>
public sealed class RainflowTests
{
    static readonly double[] History = [-2, 1, -3, 5, -1, 3, -4, 4, -2];

    [Fact]
    public void Counts_the_worked_example_with_its_means() =>
        Assert.Equal(
            [new(3, -0.5, 0.5), new(4, -1, 0.5), new(4, 1, 1), new(6, 1, 0.5), new(8, 0, 0.5), new(8, 1, 0.5), new CountedCycle(9, 0.5, 0.5)],
            Rainflow.Count(History).OrderBy(c => c.Range).ThenBy(c => c.Mean));

    // Palmgren-Miner with N = 1e6 / S^5: 0.5·3^5 + 1.5·4^5 + 0.5·6^5 + 8^5 + 0.5·9^5 = 67838 (recomputed by hand).
    [Fact]
    public void The_example_s_damage_sum_is_that_of_the_rule() =>
        Assert.Equal(67838, Rainflow.Count(History).Sum(c => c.Count * Math.Pow(c.Range, 5)), 1e-9);

    // The standard's own rule, three points with the start of the history in mind, written down as it is quoted: an independent way to the same counts.
    [Fact]
    public void Four_points_and_a_rest_count_like_the_standard_s_three() =>
        Gen.Int[-20, 20].Array[1, 60].Sample(history =>
        {
            double[] samples = [.. history];
            Assert.Equal(Sorted(ThreePoints(samples)), Sorted(Rainflow.Count(samples)));
        }, iter: 20_000, seed: "0000000000002");

    // Every rise and fall is in exactly one cycle.
    [Fact]
    public void The_ranges_hold_every_step_of_the_history() =>
        Gen.Double[-1e3, 1e3].Array[2, 300].Sample(samples =>
        {
            var steps = samples.Zip(samples[1..], (a, b) => Math.Abs(b - a)).Sum();
            Assert.Equal(steps, Rainflow.Count(samples).Sum(c => 2 * c.Count * c.Range), 1e-9 * steps);
        }, iter: 2000, seed: "0000000000003");

    // In pieces of any length, in single precision, through the sixteen at once and through the one by one: the same.
    [Fact]
    public void Pieces_and_lanes_change_nothing() =>
        Gen.Select(Gen.Int[-9, 9].Array[1, 300], Gen.Int[1, 90]).Sample((history, piece) =>
        {
            float[] samples = [.. history];
            var (whole, parts) = (new Rainflow<Sums>(default), new Rainflow<Sums>(default));
            whole.Add([.. history.Select(h => (double)h)]);
            for (var at = 0; at < samples.Length; at += piece) parts.Add(samples.AsSpan(at, Math.Min(piece, samples.Length - at)));
            Assert.Equal(whole.Finish(), parts.Finish());
            Assert.Equal((whole.TurningPoints, whole.Closed), (parts.TurningPoints, parts.Closed));
        }, iter: 5000, seed: "0000000000004");

    // Many rides are counted each by itself: what each left open is counted on, and the sum is that of one long ride.
    [Fact]
    public void Two_counts_merge_into_that_of_one_history_behind_the_other() =>
        Gen.Select(Gen.Int[-9, 9].Array[1, 60], Gen.Int[-9, 9].Array[1, 60]).Sample((first, second) =>
        {
            double[] a = [.. first], b = [.. second];
            Rainflow<Sums> one = new(default), other = new(default), together = new(default);
            one.Add(a);
            other.Add(b);
            together.Add([.. a, .. b]);
            var closed = other.Cycles;
            one.Follow(other);
            one.Cycles.Add(closed);
            Assert.Equal(together.Finish(), one.Finish());
            Assert.Equal((together.TurningPoints, together.Closed), (one.TurningPoints, one.Closed));
        }, iter: 20_000, seed: "0000000000005");

    [Theory]
    [InlineData(double.NaN), InlineData(double.PositiveInfinity)]
    public void A_gap_is_refused(double gap)
    {
        Assert.Contains("a load history has no gaps", Assert.Throws<ArgumentException>(() => Rainflow.Count([0, 4, gap, 3])).Message, StringComparison.Ordinal);
        var counter = new Rainflow<Sums>(default);
        var samples = Enumerable.Range(0, 64).Select(i => (float)(i % 7)).ToArray();
        samples[40] = (float)gap;
        Assert.Throws<ArgumentException>(() => counter.Add(samples));
    }

    [Fact]
    public void A_level_has_no_cycle()
    {
        Assert.Empty(Rainflow.Count([]));
        Assert.Empty(Rainflow.Count([5]));
        Assert.Empty(Rainflow.Count([5, 5, 5]));
        Assert.Equal([new CountedCycle(2, 6, 0.5)], Rainflow.Count([5, 5, 7, 7]));
    }

    /// <summary>Whole numbers: sums of squares and means are exact in any order.</summary>
    record struct Sums : ICountCycles
    {
        public double Cycles, Ranges, Squares, Means;

        public void Count(double from, double to, double count)
        {
            var range = Math.Abs(to - from);
            Cycles += count;
            Ranges += count * range;
            Squares += count * range * range;
            Means += count * (from + to) / 2;
        }

        public void Add(Sums more) => (Cycles, Ranges, Squares, Means) = (Cycles + more.Cycles, Ranges + more.Ranges, Squares + more.Squares, Means + more.Means);
    }

    static CountedCycle[] Sorted(IEnumerable<CountedCycle> cycles) =>
        [.. cycles.GroupBy(c => (c.Range, c.Mean)).Select(g => new CountedCycle(g.Key.Range, g.Key.Mean, g.Sum(c => c.Count))).OrderBy(c => c.Range).ThenBy(c => c.Mean)];

    static List<CountedCycle> ThreePoints(double[] samples)
    {
        List<double> points = [], open = [];
        foreach (var s in samples)
        {
            if (points.Count > 0 && s == points[^1]) continue;
            if (points.Count > 1 && s > points[^1] == points[^1] > points[^2]) points[^1] = s;
            else points.Add(s);
        }

        var cycles = new List<CountedCycle>();
        foreach (var point in points)
        {
            open.Add(point);
            while (open.Count >= 3 && Math.Abs(open[^1] - open[^2]) is var x && Math.Abs(open[^2] - open[^3]) is var y && x >= y)
            {
                if (open.Count == 3)
                {
                    cycles.Add(new(y, (open[0] + open[1]) / 2, 0.5));
                    open.RemoveAt(0);
                }
                else
                {
                    cycles.Add(new(y, (open[^2] + open[^3]) / 2, 1));
                    open.RemoveRange(open.Count - 3, 2);
                }
            }
        }

        for (var i = 1; i < open.Count; i++) cycles.Add(new(Math.Abs(open[i] - open[i - 1]), (open[i] + open[i - 1]) / 2, 0.5));
        return cycles;
    }
}
