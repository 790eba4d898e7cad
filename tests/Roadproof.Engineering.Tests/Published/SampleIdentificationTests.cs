using Roadproof.Engineering.LoadTest;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>
/// Samples drawn by a stated generator (splitmix64 in counter form, Box-Muller) and fitted by another library: scipy 1.10.1, least_squares, method lm, analytic Jacobian. Unit 0 of a thousand: 10,000 samples at five load points, pole pairs 4, 0.15 mH, ratio 20,
/// noise 0.05 V, 0.2 N·m, 1 W.
/// </summary>
public sealed class SampleIdentificationTests
{
    static readonly SampledMachine Machine = new(4, 0.15e-3, 20);
    static readonly SampleNoise Noise = new(0.05, 0.2, 1);

    [Fact]
    public void Agrees_with_another_librarys_fit()
    {
        var fit = Of(Samples(0, 10_000));
        double[] scipy = [0.054138975, 0.011831117, 0.072444168, 0.00020967274, 1.8890673e-05, 0.9046717], ours = Values(fit);
        for (var k = 0; k < 6; k++) Assert.Equal(scipy[k], ours[k], 1e-7 * scipy[k]);
        Assert.InRange(fit.Steps, 2, 6);
    }

    // A length that no vector divides, and the exact truth without noise.
    [Fact]
    public void Finds_what_was_put_in()
    {
        double[] truth = [0.05, 0.012, 0.08, 2e-4, 2e-5, 0.92];
        var ours = Values(Of(Samples(3, 1_003, truth, noise: 0)));
        for (var k = 0; k < 6; k++) Assert.Equal(truth[k], ours[k], 1e-7 * truth[k]);
    }

    // The stated covariance is what 400 units scatter by; 7 % is two standard errors of a deviation from 400 draws.
    [Fact]
    public void Its_covariance_is_what_estimates_scatter_by()
    {
        double[] truth = [0.05, 0.012, 0.08, 2e-4, 2e-5, 0.92];
        var fits = Enumerable.Range(0, 400).Select(u => Of(Samples(u, 500, truth))).ToList();
        for (var k = 0; k < 6; k++)
        {
            var off = fits.Average(f => Math.Pow((Values(f)[k] - truth[k]), 2) / f.Covariance[k, k]);
            Assert.Equal(1, off, 0.28);
        }

        Assert.Equal(500 * 3 - 6, 2 * fits.Average(f => f.Cost), 8.0);
    }

    [Fact]
    public void Refuses_samples_that_cannot_tell_the_six_apart()
    {
        var one = Samples(0, 100);
        foreach (var channel in one) Array.Fill(channel, channel[0]);
        Assert.StartsWith("The samples are too alike", Assert.Throws<ArgumentException>(() => Of(one)).Message);
        Assert.Throws<ArgumentException>(() => Of(Samples(0, 5)));
    }

    static SampledParameters Of(double[][] s) => SampleIdentification.Fit(s[0], s[1], s[2], s[3], s[4], Machine, Noise);

    static double[] Values(SampledParameters f) => [f.ResistanceOhm, f.FluxWb, f.CoulombFrictionNm, f.ViscousFrictionNmS, f.IronLossWPerRadPerS2, f.GearEfficiency];

    static double[][] Samples(int unit, int count, double[]? truth = null, double noise = 1)
    {
        double[] speeds = [100, 400, 200, 400, 150], currents = [5, 8, 20, 25, 30];
        var (seed, drawn) = ((ulong)(8000 + unit), 0UL);
        double[] th = [0.05, 0.012, 0.08, 2e-4, 2e-5, 0.92];
        for (var k = 0; k < 6; k++) th[k] *= 1 + (k == 5 ? 0.02 : 0.1) * (2 * Share() - 1);
        th = truth ?? th;
        var s = Enumerable.Range(0, 5).Select(_ => new double[count]).ToArray();
        for (var n = 0; n < count; n++)
        {
            var load = n * 5 / count;
            var (w, i) = (speeds[load] * (1 + 0.05 * (2 * Share() - 1)), currents[load] * (1 + 0.05 * (2 * Share() - 1)));
            var (uq, ud) = (th[0] * i + 4 * w * th[1], -4 * w * 0.15e-3 * i);
            var (first, second) = Pair();
            var (third, _) = Pair();
            (s[0][n], s[1][n]) = (w, i);
            s[2][n] = Math.Sqrt(uq * uq + ud * ud) + 0.05 * noise * first;
            s[3][n] = th[5] * 20 * (1.5 * 4 * th[1] * i - th[2] - th[3] * w) + 0.2 * noise * second;
            s[4][n] = 1.5 * uq * i + th[4] * 16 * w * w + noise * third;
        }

        return s;

        double Share() => ((Mix(seed + ++drawn * 0x9E3779B97F4A7C15UL) >> 11) + 0.5) * Math.Pow(2, -53);

        (double, double) Pair()
        {
            var (a, b) = (Share(), Share());
            var m = Math.Sqrt(-2 * Math.Log(a));
            return (m * Math.Cos(2 * Math.PI * b), m * Math.Sin(2 * Math.PI * b));
        }

        static ulong Mix(ulong z)
        {
            z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9UL;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
            return z ^ (z >> 31);
        }
    }
}
