using MathNet.Numerics.IntegralTransforms;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>
/// Windows: Heinzel, Rüdiger, Schilling 2002, appendix C (digits from memory, recomputed in the check values 11_windows.csv with 65,536 weights in floating point).
/// Transform: the sum of the definition and MathNet.Numerics 5.0.0 as oracles. Order tracking: constructed run-up 11-O1.
/// </summary>
public sealed class SpectrumTests
{
    public static TheoryData<string, double, double, double> Table => new()
    {
        { "rectangular", 1.00000000, 1.000000, 3.922398 },
        { "hann", 0.50000000, 1.500000, 1.423623 },
        { "blackman-harris", 0.35875000, 2.004353, 0.825572 },
        { "flat top", 1.00000000, 3.883167, 0.003906 },
    };

    [Theory]
    [MemberData(nameof(Table))]
    public void A_window_has_the_published_gain_noise_bandwidth_and_scallop_loss(string name, double gain, double bandwidthBins, double scallopDb)
    {
        var window = Named(name);

        Assert.Equal(gain, window.CoherentGain, 8);
        Assert.Equal(bandwidthBins, window.NoiseBandwidthBins, 6);
        Assert.Equal(scallopDb, window.ScallopLossDb, 6);
    }

    // The closed forms above against the weights themselves.
    [Theory]
    [MemberData(nameof(Table))]
    public void A_windows_weights_have_its_gain_and_noise_bandwidth(string name, double gain, double bandwidthBins, double scallopDb)
    {
        var weights = Named(name).Of(4096);
        var sum = weights.Sum();
        double Misread(double offBins)
        {
            var (re, im) = (0.0, 0.0);
            for (var i = 0; i < weights.Length; i++)
            {
                var (sin, cos) = Math.SinCos(2 * Math.PI * offBins * i / weights.Length);
                (re, im) = (re + weights[i] * cos, im + weights[i] * sin);
            }

            return Math.Abs(20 * Math.Log10(Math.Sqrt(re * re + im * im) / sum));
        }

        Assert.Equal(gain, weights.Average(), 8);
        Assert.Equal(bandwidthBins, weights.Length * weights.Sum(w => w * w) / (sum * sum), 5);
        Assert.Equal(scallopDb, Enumerable.Range(0, 51).Max(i => Misread(i / 100.0)), 4);
    }

    // 11-S1: 1 V at 100.5 Hz, 1,024 samples a second, 1,024 samples, Hann: the largest bin reads 0.848826 V.
    [Fact]
    public void A_line_between_two_bins_reads_low_by_the_scallop_loss()
    {
        var signal = Window.Hann.Of(1024).Select((w, i) => w * Math.Sin(2 * Math.PI * 100.5 * i / 1024)).ToArray();
        double[] re = new double[513], im = new double[513];
        Fft.OfLength(512).ForwardReal(signal, re, im);

        var largest = re.Zip(im, (r, i) => Math.Sqrt(r * r + i * i)).Max() * 2 / (1024 * Window.Hann.CoherentGain);

        Assert.Equal(0.848826, largest, 3); // two bins read alike only for long blocks: three digits owed
    }

    [Theory]
    [InlineData(1), InlineData(2), InlineData(4), InlineData(8), InlineData(16), InlineData(32), InlineData(128), InlineData(256), InlineData(2048)]
    public void A_transform_is_the_sum_of_its_definition(int n)
    {
        var random = new Random(n);
        double[] re = [.. Enumerable.Range(0, n).Select(_ => random.NextDouble() - 0.5)], im = [.. Enumerable.Range(0, n).Select(_ => random.NextDouble() - 0.5)];
        var (x, y) = (re.ToArray(), im.ToArray());

        Fft.OfLength(n).Forward(re, im);

        for (var k = 0; k < n; k += Math.Max(1, n / 64))
        {
            var (sumRe, sumIm) = (0.0, 0.0);
            for (var i = 0; i < n; i++)
            {
                var (sin, cos) = Math.SinCos(-2 * Math.PI * ((long)k * i % n) / n);
                (sumRe, sumIm) = (sumRe + x[i] * cos - y[i] * sin, sumIm + x[i] * sin + y[i] * cos);
            }

            Assert.Equal(sumRe, re[k], 1e-12 * Math.Sqrt(n));
            Assert.Equal(sumIm, im[k], 1e-12 * Math.Sqrt(n));
        }
    }

    [Theory]
    [InlineData(1 << 15), InlineData(1 << 16)]
    public void A_long_transform_agrees_with_another_library(int n)
    {
        var random = new Random(7);
        double[] re = [.. Enumerable.Range(0, n).Select(_ => random.NextDouble() - 0.5)], im = new double[n];
        var other = re.Select(r => new System.Numerics.Complex(r, 0)).ToArray();
        double[] halfRe = new double[n / 2 + 1], halfIm = new double[n / 2 + 1];

        Fft.OfLength(n / 2).ForwardReal(re, halfRe, halfIm);
        Fft.OfLength(n).Forward(re, im);
        Fourier.Forward(other, FourierOptions.Matlab);

        Assert.True(Enumerable.Range(0, n).Max(k => Math.Abs(other[k].Real - re[k]) + Math.Abs(other[k].Imaginary - im[k])) < 1e-10);
        Assert.True(Enumerable.Range(0, n / 2 + 1).Max(k => Math.Abs(halfRe[k] - re[k]) + Math.Abs(halfIm[k] - im[k])) < 1e-10);
    }

    [Fact]
    public void A_transform_of_another_length_is_refused() =>
        Assert.StartsWith("A transform's length is a power of two, not 12", Assert.Throws<ArgumentException>(() => Fft.OfLength(12)).Message);

    // 11-O1: 600 to 6000 rpm in 10 s, order 12 of amplitude 1, 20 kHz; at 64 samples a turn the line stands at order 12 with amplitude 1 within 0.1 %.
    [Fact]
    public void A_run_up_gives_one_line_in_its_order()
    {
        var timeS = Enumerable.Range(0, 200_001).Select(i => i / 20_000.0).ToArray();
        var turns = Array.ConvertAll(timeS, t => 10 * t + 4.5 * t * t);
        var signal = Array.ConvertAll(turns, phi => (float)Math.Sin(2 * Math.PI * 12 * phi));
        Assert.Equal(550, turns[^1], 9);

        var resampled = AngleResampling.ToTurns(signal, Array.ConvertAll(turns, phi => 2 * Math.PI * phi), 64);
        var spectrum = OrderSpectrum.Of(resampled.AsSpan(64, 64 * 512), 64, 512, Window.FlatTop);

        var largest = Array.IndexOf(spectrum.Amplitude, spectrum.Amplitude.Max());
        Assert.Equal(12.0, largest * spectrum.OrderStep, 9);
        Assert.Equal(1.0, spectrum.LineAt(12).Amplitude, 1e-3);
        Assert.True(spectrum.Amplitude.Where((_, k) => Math.Abs(k * spectrum.OrderStep - 12) > 0.1).Max() < 1e-3);
    }

    // What lies above the new grid's half rate must not come back as a lower order: 12 turns at 640 samples a turn, order 50 read at 64 samples a turn.
    [Fact]
    public void A_coarser_grid_folds_nothing_back()
    {
        var angle = Enumerable.Range(0, 640 * 40).Select(i => 2 * Math.PI * i / 640).ToArray();
        var resampled = AngleResampling.ToTurns(Array.ConvertAll(angle, a => (float)Math.Cos(50 * a)), angle, 64);

        Assert.True(resampled.Skip(64).SkipLast(64).Max(Math.Abs) < 1e-3);
    }

    // The same run-up without resampling: the line is brought to standstill by its angle.
    [Fact]
    public void A_single_line_needs_no_resampling()
    {
        var turns = Enumerable.Range(0, 200_001).Select(i => i / 20_000.0).Select(t => 10 * t + 4.5 * t * t).ToArray();
        var angle = Array.ConvertAll(turns, phi => 2 * Math.PI * phi);
        var signal = Array.ConvertAll(turns, phi => (float)(3 + Math.Sin(2 * Math.PI * 12 * phi) + 0.5 * Math.Cos(2 * Math.PI * 1.8795 * phi)));

        Assert.Equal(1.0, OrderLine.Of(signal, angle, 12).Value, 2e-3);
        Assert.Equal(0.5, OrderLine.Of(signal, angle, 1.8795).Value, 2e-3);
    }

    // White noise of deviation s in n samples: each part of a Hann-weighted line scatters by s·√(2·1.5/n); the median of Rayleigh amplitudes gives it back.
    [Fact]
    public void The_noise_beside_a_line_is_its_uncertainty()
    {
        var random = new Random(3);
        var angle = Enumerable.Range(0, 20_000).Select(i => 2 * Math.PI * i / 200).ToArray();
        var amplitudes = new List<double>();
        var stated = new List<double>();
        for (var k = 0; k < 200; k++)
        {
            var line = OrderLine.Of(Array.ConvertAll(angle, a => (float)(0.05 * Math.Cos(12 * a) + Normal(random))), angle, 12);
            amplitudes.Add(line.Value);
            stated.Add(line.StandardUncertainty);
        }

        var expected = Math.Sqrt(2 * 1.5 / 20_000);
        Assert.Equal(expected, stated.Average(), 0.05 * expected);
        Assert.Equal(expected, MathNet.Numerics.Statistics.Statistics.StandardDeviation(amplitudes), 0.2 * expected);
    }

    static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    static Window Named(string name) => new[] { Window.Rectangular, Window.Hann, Window.BlackmanHarris, Window.FlatTop }.Single(w => w.Name == name);
}
