using System.Globalization;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>Against NumPy 1.24.2 and SciPy 1.10.1, by files that <c>OrderReference/make.py</c> made (recipe and versions stand beside them).</summary>
public sealed class OrderReferenceTests
{
    static readonly double[][] Signal = Columns("signal.csv");
    static readonly float[] Samples = Array.ConvertAll(Signal[0], x => (float)x);

    [Fact]
    public void A_natural_spline_is_scipys()
    {
        var knots = Columns("knots.csv");
        var values = new double[200];
        NaturalSpline.Through(knots[0], knots[1]).Read(knots[0][0], (knots[0][^1] - knots[0][0]) / 199, values);

        Assert.All(values.Zip(Columns("spline.csv")[0]), p => Assert.Equal(p.Second, p.First, 1e-12));
    }

    [Fact]
    public void Averaged_spectra_are_scipys_with_every_window()
    {
        var spectra = Columns("spectra.csv");
        foreach (var (window, expected) in Window.All.Zip(spectra))
            Assert.All(OrderSpectrum.Of(Signal[0], 512, 1, window).Amplitude.Zip(expected), p => Assert.Equal(p.Second, p.First, 1e-9));
    }

    // At 512 samples a turn, finer than the samples, of which every sixteenth is compared; away from the ends, where ours has no neighbours. Our kernel owes 0.1 % of a line.
    [Fact]
    public void A_run_up_is_resampled_as_by_a_finer_grid()
    {
        var expected = Columns("resampled.csv")[1];
        var ours = AngleResampling.ToTurns(Samples, Signal[1], 512);

        for (var k = 32; k < expected.Length - 32; k++) Assert.Equal(expected[k], ours[16 * k], 2e-3);
    }

    // Two band-passes of the same band differ in the noise near their edges (0.05 rms in all); what swings is the same.
    [Fact]
    public void An_envelope_is_hilberts()
    {
        var ours = Envelope.Of(Samples, 2000, 350, 650);
        var off = Enumerable.Range(200, ours.Magnitude.Length - 400).Select(i => Math.Abs(Signal[2][i + ours.Skipped] - ours.Magnitude[i])).ToList();

        Assert.InRange(off.Average(), 0, 0.01);
        Assert.InRange(off.Max(), 0, 0.05);
    }

    [Fact]
    public void Moments_are_numpys()
    {
        var (expected, ours) = (Columns("moments.csv"), Moments.Of(Samples));
        Assert.Equal(expected[0][0], ours.Rms, 1e-9);
        Assert.Equal(expected[1][0], ours.Kurtosis, 1e-9);
        Assert.Equal(expected[2][0], ours.Crest, 1e-9);
    }

    static double[][] Columns(string file)
    {
        var rows = File.ReadAllLines(Path.Combine(Checkout.Root, "tests/Roadproof.Engineering.Tests/OrderReference", file)).Skip(1)
            .Select(row => Array.ConvertAll(row.Split(','), cell => double.Parse(cell, CultureInfo.InvariantCulture))).ToList();
        return [.. Enumerable.Range(0, rows[0].Length).Select(c => rows.Select(r => r[c]).ToArray())];
    }
}
