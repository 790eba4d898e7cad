using System.Globalization;
using CsCheck;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class StretchFiguresTests
{
    // The slow way: pick the samples one by one and sum in the order of the definitions.
    [Fact]
    public void Is_what_summing_sample_by_sample_gives() =>
        Gen.Select(Gen.Float[-100, 100].Array[8, 300], Gen.Double[0, 1], Gen.Double[0, 1]).Sample((samples, a, b) =>
        {
            var timeS = Enumerable.Range(0, samples.Length).Select(i => 5 + i * 0.01).ToArray();
            var (fromS, toS) = (5 + Math.Min(a, b) * samples.Length * 0.01, 5 + Math.Max(a, b) * samples.Length * 0.01);
            var inside = samples.Where((_, i) => timeS[i] >= fromS && timeS[i] <= toS).Select(x => (double)x).ToList();
            var read = StretchFigures.Of(timeS, samples, fromS, toS);

            Assert.Equal(inside.Count, read.Samples);
            if (inside.Count == 0) return;
            var mean = inside.Sum() / inside.Count;
            Assert.Equal(mean, read.Mean.Value, 1e-9);
            Assert.Equal(Math.Sqrt(inside.Sum(x => x * x) / inside.Count), read.Rms, 1e-9);
            Assert.Equal(Math.Sqrt(inside.Sum(x => (x - mean) * (x - mean)) / inside.Count), read.StandardDeviation, 1e-6);
            Assert.Equal((inside.Min(), inside.Max(), inside.Max() - inside.Min()), (read.Minimum, read.Maximum, read.PeakToPeak));
        });

    // Whole periods of A·sin + C: mean C, standard deviation A/√2, rms √(C² + A²/2) (handbook of electrical engineering, from memory).
    [Fact]
    public void A_sine_over_whole_periods_has_its_textbook_figures()
    {
        var timeS = Enumerable.Range(0, 40_000).Select(i => i / 1000.0).ToArray();
        var read = StretchFigures.Of(timeS, Array.ConvertAll(timeS, t => (float)(3 + 2 * Math.Sin(2 * Math.PI * 5 * t))), 10, 19.9995);

        Assert.Equal(10_000, read.Samples);
        Assert.Equal((10, 19.999), (read.FirstS, read.LastS));
        Assert.Equal(3, read.Mean.Value, 1e-6);
        Assert.Equal(2 / Math.Sqrt(2), read.StandardDeviation, 1e-6);
        Assert.Equal(Math.Sqrt(9 + 2), read.Rms, 1e-6);
        Assert.Equal(4, read.PeakToPeak, 1e-6);
    }

    // An exam of summing.
    // Source: NIST Statistical Reference Datasets, univariate, NumAcc2 (1,001 values 1.1, 1.3 … about a mean of exactly 1.2, standard deviation exactly 0.1 with n − 1); values by its rule, from memory.
    [Fact]
    public void Reads_the_certified_set_of_NIST()
    {
        var samples = Enumerable.Range(0, 1001).Select(i => i == 0 ? 1.2f : i % 2 == 1 ? 1.1f : 1.3f).ToArray();
        var read = StretchFigures.Of(Enumerable.Range(0, 1001).Select(i => (double)i).ToArray(), samples, 0, 1000);
        Assert.Equal(1.2, read.Mean.Value, 1e-7); // single precision owes seven digits
        Assert.Equal(0.1, read.StandardDeviation * Math.Sqrt(1001 / 1000.0), 1e-7);
    }

    [Fact]
    public void Missing_samples_are_counted_and_left_out()
    {
        var read = StretchFigures.Of([0, 1, 2, 3, 4], [float.NaN, 2, float.NaN, 4, float.NaN], 0, 4);
        Assert.Equal((2, 3), (read.Samples, read.Missing));
        Assert.Equal((1.0, 3.0), (read.FirstS, read.LastS));
        Assert.Equal((3.0, 2.0, 4.0), (read.Mean.Value, read.Minimum, read.Maximum));
        Assert.True(double.IsNaN(read.Mean.StandardUncertainty), "Two samples say nothing of their scatter.");
    }

    [Theory]
    [InlineData(2.1, 2.9), InlineData(-3, -1), InlineData(50, 60)]
    public void Where_nothing_was_recorded_there_are_no_figures(double fromS, double toS)
    {
        var read = StretchFigures.Of([0, 1, 2, 3], [1, 2, 3, 4], fromS, toS);
        Assert.Equal("0 0 NaN NaN", string.Create(CultureInfo.InvariantCulture, $"{read.Samples} {read.Missing} {read.Minimum} {read.Mean.Value}"));
    }
}
