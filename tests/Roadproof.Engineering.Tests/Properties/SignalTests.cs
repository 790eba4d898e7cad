using CsCheck;
using MathNet.Numerics.Statistics;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>Oracles: MathNet.Numerics 5.0.0 for moments; closed forms written beside each test.</summary>
public sealed class SignalTests
{
    [Fact]
    public void Moments_agree_with_another_library() =>
        Gen.Float[-100, 100].Array[8, 300].Where(x => x.Distinct().Count() > 2).Sample(samples =>
        {
            var wide = Array.ConvertAll(samples, x => (double)x);
            var moments = Moments.Of(samples);

            Assert.Equal(wide.Mean(), moments.Mean, 1e-9);
            Assert.Equal(wide.PopulationStandardDeviation(), moments.StandardDeviation, 1e-9);
            Assert.Equal(wide.RootMeanSquare(), moments.Rms, 1e-9);
            Assert.Equal(wide.Select(x => Math.Pow(x - wide.Mean(), 4)).Average() / Math.Pow(wide.PopulationVariance(), 2), moments.Kurtosis, 1e-6);
            Assert.Equal(wide.Max(Math.Abs) / wide.RootMeanSquare(), moments.Crest, 1e-9);
        });

    // Textbook: a sine has kurtosis 3/2 and crest √2.
    [Fact]
    public void A_sine_has_its_textbook_shape()
    {
        var moments = Moments.Of([.. Enumerable.Range(0, 1000).Select(i => (float)Math.Sin(2 * Math.PI * (i + 0.5) / 100))]);

        Assert.Equal(1.5, moments.Kurtosis, 1e-6);
        Assert.Equal(Math.Sqrt(2), moments.Crest, 1e-3);
    }

    [Fact]
    public void A_gap_divides_rows()
    {
        double[] timeS = [0, 0.1, 0.2, 0.3, 1.0, 1.1, 1.2];

        var segments = Segment.Of(timeS);

        Assert.Equal([(0, 4), (4, 7)], segments.Select(s => (s.From, s.To)));
        Assert.All(segments, s => Assert.Equal(10, s.RateHz, 1e-9));
        Assert.Equal((1, 3), segments[0].Rows(timeS, 0.05, 0.2));
        Assert.Equal((5, 5), segments[1].Rows(timeS, 1.01, 1.02));
    }

    // Noise that forgets slowly (first order, ρ = 0.9): var(mean) = σ²/n·(1 + ρ)/(1 − ρ) (textbook). Single samples would promise 4.4 times too much.
    [Theory]
    [InlineData(0.0), InlineData(0.9)]
    public void A_means_uncertainty_knows_that_neighbours_are_alike(double rho)
    {
        var random = new Random(11);
        const int n = 4000;
        var (means, stated) = (new List<double>(), new List<double>());
        for (var run = 0; run < 400; run++)
        {
            var samples = new float[n];
            var x = 0.0;
            for (var i = 0; i < n; i++)
            {
                x = rho * x + Math.Sqrt(1 - rho * rho) * Normal(random);
                samples[i] = (float)(5 + 0.0005 * i + x); // with a drift, which is no noise
            }

            var reading = SteadyMean.Of(samples);
            means.Add(reading.Value);
            stated.Add(reading.StandardUncertainty * reading.StandardUncertainty);
        }

        var expected = Math.Sqrt((1 + rho) / (1 - rho) / n);
        Assert.Equal(expected, Math.Sqrt(stated.Average()), 0.12 * expected);
        Assert.Equal(expected, means.StandardDeviation(), 0.12 * expected);
    }

    [Fact]
    public void Steady_pieces_are_where_nothing_moves()
    {
        // 10 N·m for 2 s, a ramp of 0.4 s, 50 N·m for 3 s; speed steady throughout; 200 samples a second.
        var random = new Random(5);
        var torque = Enumerable.Range(0, 1080).Select(i => i / 200.0).Select(t => (float)((t < 2 ? 10 : t < 2.4 ? 10 + 100 * (t - 2) : 50) + 0.2 * Normal(random))).ToArray();
        var speed = Enumerable.Repeat(6.3f, 1080).ToArray();
        var timeS = Enumerable.Range(0, 1080).Select(i => i / 200.0).ToArray();

        var pieces = SteadyPieces.Find([(torque, new(1.5, 1)), (speed, new(0.1, 0.1))], Segment.Of(timeS)[0], 100);

        Assert.Equal(2, pieces.Count);
        Assert.InRange(pieces[0].To, 300, 400); // ends before the ramp, and not for nothing early
        Assert.InRange(pieces[1].From, 480, 580);
        Assert.Equal(10, Moments.MeanOf(torque.AsSpan(pieces[0].From, pieces[0].To - pieces[0].From)), 0.05);
        Assert.Equal(50, Moments.MeanOf(torque.AsSpan(pieces[1].From, pieces[1].To - pieces[1].From)), 0.05);
    }

    [Fact]
    public void A_synchronous_average_keeps_what_belongs_to_the_shaft()
    {
        var random = new Random(9);
        var angle = Enumerable.Range(0, 100_000).Select(i => 2 * Math.PI * i / 997).ToArray();
        var average = SynchronousAverage.Of(Array.ConvertAll(angle, a => (float)(Math.Sign(Math.Sin(a)) + Math.Cos(7.3 * a) + Normal(random))), angle, 10);

        Assert.Equal(100.3, average.Turns, 0.1);
        Assert.All(Enumerable.Range(0, 10), p => Assert.Equal(p < 5 ? 1 : -1, average.Mean[p], 0.1));
    }

    [Fact]
    public void A_high_pass_keeps_what_is_fast_and_stops_what_is_slow()
    {
        static double Passed(double hz) => Moments.Of(HighPass.Filter([.. Enumerable.Range(0, 4000).Select(i => (float)Math.Sin(2 * Math.PI * hz * i / 25_600))], 25_600, 4000)).Rms * Math.Sqrt(2);

        Assert.Equal(1, Passed(6200), 1e-3);
        Assert.Equal(0.5, Passed(4000), 0.02); // half at the corner
        Assert.True(Passed(3000) < 1e-3);
        Assert.True(Passed(651) < 1e-3);
    }

    [Fact]
    public void Ripple_is_the_swing_over_the_mean_of_each_turn() =>
        Assert.Equal(0.2, Ripple.PeakToPeakShare([.. Enumerable.Range(0, 3 * 512).Select(i => 40 + 4 * Math.Sin(2 * Math.PI * 8 * i / 512))], 512), 1e-6);

    [Fact]
    public void A_wrapped_angle_is_unwrapped_and_read_between_its_rows()
    {
        var timeS = Enumerable.Range(0, 1000).Select(i => i / 1000.0).ToArray();
        var track = AngleTrack.FromWrapped(timeS, Array.ConvertAll(timeS, t => (float)(200 * t % (2 * Math.PI))));

        Assert.Equal(200, track.SpeedRadPerS, 1e-3);
        Assert.Equal(200 * 0.9875, track.At([0.5005, 0.9875])[1], 1e-4);
        Assert.Equal(track.Turns, AngleTrack.FromSpeed(timeS, Enumerable.Repeat(200f, 1000).ToArray()).Turns, 1e-3);
    }

    static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
