using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>Source: NIST/SEMATECH e-Handbook 6.3.2.4, its worked example (from memory, recomputed); run lengths of Lucas and Saccucci 1990 for λ 0.2 and 2.962 (from memory, and recomputed by a simulation outside the project: 508.3, 40.9, 10.6, 3.8, 2.4).</summary>
public sealed class EwmaChartTests
{
    static readonly double[] Values = [52, 47, 53, 49.3, 50.1, 47, 51, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
    static readonly double[] Averages = [50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99];

    [Fact]
    public void The_handbook_s_averages_and_limits_come_out()
    {
        const double target = 50, sd = 2.0539;
        var chart = new EwmaChart(0.3, 3);
        var average = 0.0;
        for (var i = 0; i < Values.Length; i++)
        {
            average = chart.Next(average, (Values[i] - target) / sd);
            Assert.Equal(Averages[i], target + sd * average, 0.0051);
            Assert.True(Math.Abs(average) < chart.LimitAt(i + 1));
        }

        // The handbook prints 52.5884 and 47.4115 with a factor rounded to four digits.
        Assert.Equal(52.5884, target + sd * chart.LimitAt(1000), 0.0002);
        Assert.Equal(47.4115, target - sd * chart.LimitAt(1000), 0.0002);
    }

    [Theory]
    [InlineData(0, 508.3, 0.02)]
    [InlineData(0.5, 40.9, 0.03)]
    [InlineData(1, 10.6, 0.02)]
    [InlineData(2, 3.8, 0.03)]
    [InlineData(3, 2.4, 0.03)]
    public void Run_lengths_are_the_published_ones(double shift, double published, double share) =>
        Assert.Equal(published, EwmaChart.OfOne.MeanRunLength(shift), share * published);

    // The independent slow way: values drawn one by one. 4,000 runs of mean 10 to 500 are sure within 5 % (three standard errors).
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    public void Drawing_values_one_by_one_gives_the_same_run_lengths(double shift)
    {
        var (chart, noise, runs, total) = (EwmaChart.OfOne, new SeededNoise(5, "ewma"), 4_000, 0L);
        var limit = chart.LimitAt(1_000_000);
        for (var n = 0; n < runs; n++)
        {
            var average = 0.0;
            do
            {
                average = chart.Next(average, shift + noise.Normal());
                total++;
            }
            while (Math.Abs(average) <= limit);
        }

        Assert.Equal(chart.MeanRunLength(shift), (double)total / runs, 0.05 * chart.MeanRunLength(shift));
    }

    [Fact]
    public void A_family_of_charts_waits_as_long_as_one()
    {
        Assert.Equal(EwmaChart.OfOne.Limit, EwmaChart.OfFamily(1).Limit, 0.01);
        Assert.Equal(26 * 500, EwmaChart.OfFamily(26).MeanRunLength(0), 0.01 * 26 * 500);
    }
}
