using System.Globalization;
using System.IO.Compression;
using MathNet.Numerics.Statistics;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>
/// Real recordings: four accelerometers on a spur gear stage, healthy and with a broken tooth, shaft at 30 Hz without load (public submission, CC BY-SA; sample rate and tooth counts are not stated).
/// What they show: the broken gear is not louder. A limit on loudness or peakiness alone would pass it; it shows in how its lines share out.
/// </summary>
public sealed class GearRecordingTests
{
    const int Block = 16_384;

    [Fact]
    public void Moments_of_real_vibration_agree_with_another_library()
    {
        foreach (var samples in Sensors("b30hz0").Concat(Sensors("h30hz0")))
        {
            var wide = Array.ConvertAll(samples, x => (double)x);
            var (moments, mean, variance) = (Moments.Of(samples), wide.Mean(), wide.PopulationVariance());

            Assert.Equal(wide.RootMeanSquare(), moments.Rms, 1e-9);
            Assert.Equal(wide.Sum(x => Math.Pow(x - mean, 4)) / wide.Length / (variance * variance), moments.Kurtosis, 1e-9);
        }
    }

    // Parseval: the mean square of the samples is half the sum of the squared line amplitudes, over the window's noise bandwidth.
    [Fact]
    public void The_spectrum_of_real_vibration_keeps_its_energy()
    {
        foreach (var samples in Sensors("h30hz0"))
        {
            var mean = Moments.MeanOf(samples);
            var spectrum = OrderSpectrum.Of(Array.ConvertAll(samples, x => x - mean), 1, Block, Window.Hann);

            Assert.Equal(Moments.Of(samples).StandardDeviation, Math.Sqrt(spectrum.Amplitude.Sum(a => a * a / 2) / Window.Hann.NoiseBandwidthBins), 0.03 * Moments.Of(samples).Rms);
        }
    }

    [Fact]
    public void A_broken_tooth_is_not_simply_louder_or_peakier()
    {
        var (broken, healthy) = (Sensors("b30hz0").ConvertAll(s => Moments.Of(s)), Sensors("h30hz0").ConvertAll(s => Moments.Of(s)));

        Assert.All(broken.Zip(healthy), pair => Assert.True(pair.First.Rms < pair.Second.Rms));
        Assert.All(broken.Zip(healthy), pair => Assert.True(pair.First.Kurtosis < pair.Second.Kurtosis));
    }

    static List<float[]> Sensors(string name)
    {
        using var reader = new StreamReader(new GZipStream(File.OpenRead(Path.Combine(DataSets.Folder("vibration"), name + ".csv.gz")), CompressionMode.Decompress));
        reader.ReadLine();
        var sensors = Enumerable.Range(0, 4).Select(_ => new List<float>()).ToList();
        while (reader.ReadLine() is { Length: > 0 } line)
        {
            var cells = line.Split(',');
            for (var k = 0; k < 4; k++) sensors[k].Add(float.Parse(cells[k], CultureInfo.InvariantCulture));
        }

        return sensors.ConvertAll(s => s.ToArray());
    }
}
