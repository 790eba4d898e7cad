using CsCheck;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>The band of other units' runs: its edges, what they promise, and how runs are laid upon one another.</summary>
public sealed class RunBandTests
{
    static readonly double[] Values = [3.1, -2.0, 7.7, 0.4, 5.5, 1.2, 9.9, 4.4, -0.3, 2.2, 6.1, 8.8, 3.3, 0.9, 1.7, 2.8, 5.0, 7.1, 4.9, 6.6, -1.1, 3.9, 2.5];

    // numpy 1.24.2: np.quantile(x, [.05, .5, .95], method='weibull') of all 23 and of the first 7.
    [Theory]
    [InlineData(23, -1.82, 3.3, 9.68)]
    [InlineData(7, -2.0, 3.1, 9.9)]
    public void Edges_are_those_of_the_reference(int values, double lower, double median, double upper)
    {
        Assert.Equal(lower, RankBand.Lower(First(values)), 1e-12);
        Assert.Equal(median, RankBand.Median(First(values)), 1e-12);
        Assert.Equal(upper, RankBand.Upper(First(values)), 1e-12);
    }

    // A copy: the values are put in order.
    static double[] First(int count) => [.. Values.Take(count)];

    // 20,000 draws of a lopsided population: one standard error of a share is at most 0.35 %.
    [Theory]
    [InlineData(5)]
    [InlineData(8)]
    [InlineData(19)]
    [InlineData(40)]
    public void The_next_value_lies_within_as_often_as_is_said(int values)
    {
        var noise = new SeededNoise(11, "rank-band");
        var within = Enumerable.Range(0, 20_000).Count(_ =>
        {
            double[] of = [.. Enumerable.Range(0, values).Select(_ => Math.Exp(noise.Normal()))];
            var next = Math.Exp(noise.Normal());
            return next >= RankBand.Lower(of) && next <= RankBand.Upper(of);
        });
        Assert.Equal(RankBand.ShareBetween(values), within / 20_000.0, 0.014);
    }

    [Fact]
    public void A_place_that_too_few_runs_have_has_no_band()
    {
        var runs = Enumerable.Range(0, 6).Select(r => (new[] { r, r < 2 ? double.NaN : r }, new[] { r + 10.0, r < 2 ? double.NaN : r + 10.0 })).ToList();
        var band = RunBand.Of(runs);
        Assert.Equal((6, 0.0, 7.5, 15.0), (band.Runs, band.Lower[0], band.Median[0], band.Upper[0]));
        Assert.All([band.Lower[1], band.Median[1], band.Upper[1]], v => Assert.True(double.IsNaN(v)));
        Assert.Empty(RunBand.Of([]).Lower);
    }

    [Fact]
    public void Load_points_lie_upon_each_other_and_time_between_them_runs_on() =>
        Gen.Select(Gen.Double[0.5, 4].Array[6], Gen.Double[0.5, 4].Array[6], Gen.Double[0, 30]).Sample((own, other, s) =>
        {
            var (a, b) = (Windows(own), Windows(other));
            var (there, back) = (new RunAlignment(a, b), new RunAlignment(b, a));
            Assert.Equal(3, there.Points);
            foreach (var (x, y) in a.Zip(b))
            {
                Assert.Equal(y.FromS, there.At(x.FromS), 1e-9);
                Assert.Equal(y.ToS, there.At(x.ToS), 1e-9);
            }

            Assert.Equal(s, back.At(there.At(s)), 1e-9);
            Assert.True(there.At(s + 0.01) > there.At(s));
        }, iter: 200);

    [Fact]
    public void Without_a_load_point_in_common_both_runs_go_from_their_start()
    {
        var alone = new RunAlignment(Windows([1, 1, 1, 1, 1, 1]), []);
        Assert.Equal((0, 12.5), (alone.Points, alone.At(12.5)));
    }

    // A column is as wide as its own edges say: each sample is in exactly one of them.
    [Fact]
    public void Columns_between_any_edges_hold_the_extremes_of_their_own_samples() =>
        Gen.Select(Gen.Float[-100, 100].Array[60, 300], Gen.Double[0.01, 0.4].Array[2, 12]).Sample((samples, widths) =>
        {
            var timeS = Enumerable.Range(0, samples.Length).Select(i => i * 0.01).ToArray();
            double[] edges = [0.05, .. widths.Select((_, i) => 0.05 + widths.Take(i + 1).Sum())];
            var (least, greatest) = Thinning.Between(timeS, samples, edges);
            for (var c = 0; c < widths.Length; c++)
            {
                var inside = timeS.Zip(samples).Where(x => x.First >= edges[c] && (x.First < edges[c + 1] || (c == widths.Length - 1 && x.First == edges[c + 1]))).Select(x => (double)x.Second).ToList();
                Assert.Equal(inside.Count == 0 ? double.NaN : inside.Min(), least[c]);
                Assert.Equal(inside.Count == 0 ? double.NaN : inside.Max(), greatest[c]);
            }
        }, iter: 200);

    static List<SteadyPoint> Windows(double[] steps)
    {
        var edges = steps.Select((_, i) => steps.Take(i + 1).Sum()).ToList();
        return [.. Enumerable.Range(0, steps.Length / 2).Select(i => new SteadyPoint($"p{i}", edges[2 * i], edges[2 * i + 1], new Dictionary<string, double>()))];
    }
}
