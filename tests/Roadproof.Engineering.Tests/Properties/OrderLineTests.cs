using CsCheck;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>Amplitude, place, noise floor and false alarms of averaged order spectra; each against the signal that was made.</summary>
public sealed class OrderLineTests
{
    public static TheoryData<string, double> Windows => new() { { "rectangular", 0.2 }, { "hann", 0.02 }, { "blackman-harris", 0.02 }, { "flat top", 0.25 } };

    // A line anywhere between two bins has its amplitude and place with every window (the rectangular one's side lobes disturb both a little).
    [Theory, MemberData(nameof(Windows))]
    public void A_line_on_or_between_bins_has_its_amplitude(string name, double binsOff)
    {
        var window = Window.All.Single(w => w.Name == name);
        Gen.Double[200.5, 201.5].Sample(
            place =>
            {
                var spectrum = OrderSpectrum.Of([.. Enumerable.Range(0, 4096 * 3).Select(i => 0.7 * Math.Cos(2 * Math.PI * place * i / 4096 + 1))], 4096 / 16, 16, window);
                var found = spectrum.Lines(100).MaxBy(l => l.Amplitude);

                Assert.Equal(0.7, spectrum.LineAt(place / 16).Amplitude, name == "rectangular" ? 0.01 : 0.001);
                Assert.Equal(0.7, found.Amplitude, name == "rectangular" ? 0.02 : 0.002);
                Assert.Equal(place / 16, found.Order, binsOff / 16);
            }, iter: 50);
    }

    // White noise of deviation s: each bin's expected square amplitude is 4·s²·bandwidth/block (both sides of the spectrum, peak value).
    [Fact]
    public void The_floor_is_the_noise_and_not_the_lines()
    {
        var spectrum = OrderSpectrum.Of(Noisy(1, 0.5, 3, 4096 * 40), 64, 64, Window.Hann);
        var expected = Math.Sqrt(4 * 0.25 * Window.Hann.NoiseBandwidthBins / 4096);

        Assert.Equal(expected, spectrum.Floor.Average(), 0.03 * expected);
        Assert.Equal(expected, spectrum.Floor[640], 0.15 * expected); // beneath the line itself
        Assert.Equal(0.5 * Math.Sqrt(0.5), spectrum.Rms(16, 32), 0.01); // half of the band, so half of the power
    }

    // 300 spectra of noise alone at 1 %: three expected; more than ten would be one in a thousand.
    [Fact]
    public void Noise_alone_shows_a_line_as_seldom_as_promised()
    {
        var alarms = 0;
        for (var seed = 0; seed < 300; seed++) alarms += OrderSpectrum.Of(Noisy(seed, 1, 0), 64, 8, Window.Hann).Lines(32).Count > 0 ? 1 : 0;

        Assert.InRange(alarms, 0, 10);
    }

    // The stated uncertainty against the scatter of 400 spectra, for a line well above and one near the noise.
    [Theory]
    [InlineData(0.5), InlineData(0.1)]
    public void The_uncertainty_of_an_amplitude_is_its_scatter(double amplitude)
    {
        var (read, stated) = (new List<double>(), new List<double>());
        for (var seed = 0; seed < 400; seed++)
        {
            var line = OrderSpectrum.Of(Noisy(seed, 1, amplitude), 64, 8, Window.Hann).LineAt(10);
            read.Add(line.Amplitude);
            stated.Add(line.StandardUncertainty);
        }

        var scatter = MathNet.Numerics.Statistics.Statistics.StandardDeviation(read);
        Assert.Equal(scatter, stated.Average(), 0.25 * scatter);
    }

    // A carrier of 3 kHz that swings at order 3.2 by half: the envelope's line is half the carrier.
    [Fact]
    public void An_envelope_shows_how_often_a_band_swings()
    {
        var run = new RunUp(20_000, 4, 1500, 1800);
        var random = new Random(5);
        var signal = Array.ConvertAll(run.TimeS, s => (float)(2 * (1 + 0.5 * Math.Cos(2 * Math.PI * 3.2 * run.TurnsAt(s))) * Math.Cos(2 * Math.PI * 3000 * s) + 5 * Math.Cos(2 * Math.PI * 100 * s) + 0.05 * RunUp.Normal(random)));
        var envelope = Envelope.Of(signal, run.RateHz, 2500, 3500);
        var spectrum = OrderSpectrum.Of(AngleResampling.ToTurns(envelope.Magnitude, run.AngleRad.AsSpan(envelope.Skipped, envelope.Magnitude.Length), 64), 64, 16, Window.Hann);

        Assert.Equal(2, Moments.MeanOf(envelope.Magnitude), 0.01);
        Assert.Equal(1, spectrum.LineAt(3.2).Amplitude, 0.02);
        Assert.Equal(3.2, spectrum.Lines(20).MaxBy(l => l.Amplitude).Order, 0.01);
    }

    // Blows that ring at 6 kHz in noise: the sharpest band holds 6 kHz. Gaussian noise has kurtosis 2 (magnitude squared is exponential).
    [Fact]
    public void The_sharpest_band_is_where_blows_ring()
    {
        var random = new Random(6);
        var noise = Enumerable.Range(0, 100_000).Select(_ => (float)RunUp.Normal(random)).ToArray();
        Assert.Equal(2, Envelope.Of(noise, 25_600, 4000, 8000).Kurtosis, 0.1);

        for (var blow = 0; blow < 200; blow++)
            for (var i = 0; i < 200; i++) noise[blow * 480 + i] += (float)(8 * Math.Exp(-i / 20.0) * Math.Sin(2 * Math.PI * 6000 * i / 25_600));
        var envelope = Envelope.OfSharpest(noise, 25_600, 500);

        Assert.InRange(6000, envelope.FromHz - 300, envelope.ToHz + 300);
        Assert.True(envelope.Kurtosis > 3);
    }

    /// <summary>A line at order 10 of 64 samples a turn, in white noise.</summary>
    static double[] Noisy(int seed, double deviation, double line, int samples = 512 * 8)
    {
        var random = new Random(seed);
        return [.. Enumerable.Range(0, samples).Select(i => line * Math.Cos(2 * Math.PI * 10 * i / 64) + deviation * RunUp.Normal(random))];
    }
}
