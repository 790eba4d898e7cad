using CsCheck;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class ThinningTests
{
    // Nothing that sticks out may be lost: the extremes of what is shown are the extremes of what was recorded.
    [Fact]
    public void Keeps_the_extremes_of_what_it_shows() =>
        Gen.Select(Gen.Float[-100, 100].Array[50, 400], Gen.Int[1, 20]).Sample((samples, columns) =>
        {
            var timeS = Enumerable.Range(0, samples.Length).Select(i => i * 0.01).ToArray();
            var thin = Thinning.Of(timeS, samples, 0, timeS[^1], columns);
            Assert.Equal(samples.Min(), thin.Minimum.Min(), 5);
            Assert.Equal(samples.Max(), thin.Maximum.Max(), 5);
            Assert.Equal(samples.Length, thin.Samples);
        });

    [Fact]
    public void Each_column_holds_the_extremes_of_its_own_samples()
    {
        var timeS = Enumerable.Range(0, 1000).Select(i => i * 0.01).ToArray();
        var samples = timeS.Select(t => (float)Math.Sin(t)).ToArray();
        var thin = Thinning.Of(timeS, samples, 2, 8, 30);
        for (var c = 0; c < 30; c++)
        {
            var (from, to) = (2 + c * 0.2, 2 + (c + 1) * 0.2);
            var inside = Enumerable.Range(0, 1000).Where(i => timeS[i] >= from && (c == 29 ? timeS[i] <= to : timeS[i] < to)).Select(i => (double)samples[i]).ToList();
            Assert.Equal(inside.Min(), thin.Minimum[c]);
            Assert.Equal(inside.Max(), thin.Maximum[c]);
        }
    }

    [Fact]
    public void A_gap_between_windows_stays_a_gap()
    {
        double[] timeS = [.. Enumerable.Range(0, 500).Select(i => i * 0.002), .. Enumerable.Range(0, 500).Select(i => 3 + i * 0.002)];
        var thin = Thinning.Of(timeS, new float[1000], 0, 4, 40);
        Assert.All(Enumerable.Range(11, 18), c => Assert.True(double.IsNaN(thin.Minimum[c])));
    }

    [Fact]
    public void Shows_every_sample_when_there_is_room()
    {
        var thin = Thinning.Of([0, 1, 2, 3], [5, float.NaN, 7, 8], 0.5, 3, 10);
        Assert.True(thin.Whole);
        Assert.Equal([1, 2, 3], thin.TimeS);
        Assert.Equal([double.NaN, 7, 8], thin.Maximum);
    }
}
