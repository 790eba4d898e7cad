using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>A line through samples that resemble their neighbours, and the noise of a signal that does other things as well.</summary>
public sealed class SteadyLineTests
{
    // First-order noise: sums of n samples scatter as if there were n·(1 − ρ)/(1 + ρ) independent ones, so the slope over n rows has σ²·(1 + ρ)/(1 − ρ)·12/n³.
    [Theory]
    [InlineData(0)]
    [InlineData(0.6)]
    [InlineData(0.9)]
    public void Its_slope_is_as_unsure_as_its_noise_makes_it(double rho)
    {
        const int n = 1000, runs = 400;
        double[] x = [.. Enumerable.Range(0, n)];
        var noise = new SeededNoise(11, "line");
        double told = 0, seen = 0;
        for (var r = 0; r < runs; r++)
        {
            var y = new double[n];
            var at = noise.Normal() / Math.Sqrt(1 - rho * rho);
            for (var i = 0; i < n; i++)
            {
                at = rho * at + noise.Normal();
                y[i] = 3 + 0.02 * i + at;
            }

            var line = SteadyLine.Of(x, y);
            told += line.Slope.StandardUncertainty * line.Slope.StandardUncertainty / runs;
            seen += (line.Slope.Value - 0.02) * (line.Slope.Value - 0.02) / runs;
        }

        var theory = 1 / (1 - rho * rho) * (1 + rho) / (1 - rho) * 12 / Math.Pow(n, 3);
        Assert.Equal(1, Math.Sqrt(seen / theory), 0.12);
        Assert.Equal(1, Math.Sqrt(told / theory), 0.12);
    }

    [Fact]
    public void A_signal_that_stands_on_one_step_is_known_no_better_than_the_step()
    {
        double[] x = [.. Enumerable.Range(0, 100)];
        var line = SteadyLine.Of(x, new double[100], resolution: 1);
        Assert.Equal(Math.Sqrt(1.0 / 12 / 20), line.Value.StandardUncertainty, 1e-12);
        Assert.Equal(0, SteadyLine.Of(x, new double[100]).Slope.StandardUncertainty);
    }

    [Fact]
    public void Noise_is_found_on_a_slope_on_a_wave_and_beside_jumps()
    {
        var noise = new SeededNoise(12, "rows");
        double[] signal = [.. Enumerable.Range(0, 2000).Select(i => 5.0 * i + 40 * Math.Sin(i / 60.0) + (i % 100 == 0 ? 500 : 0) + 3 * noise.Normal())];
        Assert.Equal(3, RowNoise.Of(signal), 0.4);
    }
}
