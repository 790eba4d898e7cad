using CsCheck;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>What spoils a signal is found where it was put, and nothing is found where nothing was.</summary>
public sealed class SpoiltSignalTests
{
    [Fact]
    public void Flat_pieces_are_those_of_a_plain_count() => Gen.Select(Gen.Int[0, 6].Array[1, 200], Gen.Int[1, 40]).Sample((steps, repeat) =>
    {
        // Values of few sizes, each held for a while: pieces of every length, at both ends and between them.
        var samples = steps.SelectMany((s, i) => Enumerable.Repeat((float)s, 1 + i * repeat % 19)).ToArray();
        var found = FlatPieces.Of(samples);

        var pieces = new List<(float Value, int From, int Length)>();
        foreach (var (x, i) in samples.Select((x, i) => (x, i)))
            if (pieces.Count > 0 && pieces[^1].Value == x) pieces[^1] = pieces[^1] with { Length = pieces[^1].Length + 1 };
            else pieces.Add((x, i, 1));
        var longest = pieces.MaxBy(p => p.Length);
        Assert.Equal(longest.Length, found.Longest);
        Assert.Equal(samples[longest.From], samples[found.LongestFrom]);
        var high = pieces.Where(p => p.Value == samples.Max() && p.Length >= 3).ToArray();
        Assert.Equal((samples.Max(), high.Length, high.Sum(p => p.Length)), (found.High.Level, found.High.Pieces, found.High.Samples));
        if (samples.Min() < samples.Max())
        {
            var low = pieces.Where(p => p.Value == samples.Min() && p.Length >= 3).ToArray();
            Assert.Equal((samples.Min(), low.Length, low.Sum(p => p.Length)), (found.Low.Level, found.Low.Pieces, found.Low.Samples));
        }
    });

    [Fact]
    public void A_signal_of_noise_stands_still_nowhere()
    {
        var noise = new SeededNoise(1, "flat");
        var found = FlatPieces.Of([.. Enumerable.Range(0, 20_000).Select(_ => (float)noise.Normal())]);
        Assert.InRange(found.Longest, 1, 2);
        Assert.Equal((0, 0), (found.Low.Pieces, found.High.Pieces));
        Assert.Equal(1, found.Usual, 0.001);
    }

    [Theory]
    [InlineData(200, 50), InlineData(200, 60), InlineData(12_800, 50), InlineData(25_600, 60)]
    public void A_line_of_the_mains_is_read_within_its_stated_uncertainty(double rateHz, double hz)
    {
        var (noise, missed, stated) = (new SeededNoise(2, "mains"), new List<double>(), new List<double>());
        for (var run = 0; run < 60; run++)
        {
            var n = (int)(2 * rateHz);
            var phase = run;
            double[] timeS = [.. Enumerable.Range(0, n).Select(i => 3 + i / rateHz)];

            // A level and a slow change do not count as mains.
            float[] samples = [.. timeS.Select(t => (float)(50 + 2 * Math.Sin(t) + 0.5 * Math.Cos(Math.Tau * hz * t + phase) + 0.3 * noise.Normal()))];
            var line = MainsLine.In(timeS, samples, 3, 5, hz);
            missed.Add(line.Value - 0.5);
            stated.Add(line.StandardUncertainty);
        }

        // 60 runs know a scatter to a tenth.
        var scatter = Math.Sqrt(missed.Average(m => m * m));
        Assert.InRange(scatter, 0.7 * stated.Average(), 1.4 * stated.Average());
        Assert.InRange(stated.Average(), 0, 0.06);
    }

    [Fact]
    public void What_turns_with_the_speed_or_is_too_short_is_no_mains()
    {
        double[] timeS = [.. Enumerable.Range(0, 800).Select(i => i / 200.0)];
        var turning = MainsLine.In(timeS, [.. timeS.Select(t => (float)Math.Cos(Math.Tau * 45.2 * t))], 0, 4, 50);
        Assert.True(turning.Value < 5 * turning.StandardUncertainty || turning.Value < 0.01);
        Assert.True(double.IsNaN(MainsLine.In(timeS, new float[800], 0, 0.3, 50).Value));
        Assert.True(double.IsNaN(MainsLine.In([.. timeS.Where((_, i) => i % 2 == 0)], new float[400], 0, 4, 60).Value));
    }

    [Fact]
    public void A_jump_of_an_angle_is_found_where_it_is() => Gen.Select(Gen.Double[0.002, 0.05], Gen.Double[0.04, 2], Gen.Int[20, 970], Gen.Int[0, 1]).Sample((stepRad, jumpRad, at, sign) =>
    {
        var signed = sign == 0 ? jumpRad : -jumpRad;
        double[] angle = [.. Enumerable.Range(0, 1000).Select(i => i * stepRad + (i >= at ? signed : 0))];
        var jump = Assert.Single(AngleJumps.In(angle));
        Assert.Equal(at, jump.At);
        Assert.Equal(signed, jump.Rad, 1e-6);
    });

    // An encoder of 10 bits steps by 0.006 rad, and the speed wanders by a hundredth: no jump.
    [Fact]
    public void A_coarse_encoder_on_an_uneven_shaft_has_not_jumped()
    {
        const double bit = Math.Tau / 1024;
        double[] angle = [.. Enumerable.Range(0, 20_000).Select(i => Math.Floor((0.013 * i + 0.01 * 0.013 * 500 * Math.Sin(i / 500.0)) / bit) * bit)];
        Assert.Empty(AngleJumps.In(angle));
    }
}
