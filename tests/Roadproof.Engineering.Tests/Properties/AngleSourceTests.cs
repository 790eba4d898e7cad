using CsCheck;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>Where the angle comes from: pulses with faults, a spline against closed forms, and resampling through a fast run-up.</summary>
public sealed class AngleSourceTests
{
    // 300 to 6000 rpm in 20 s at 25.6 kHz, 256 samples a turn: orders 1 to 100 keep their amplitude within 0.1 %, in blocks of the slow and of the fast end alike.
    [Fact]
    public void Lines_keep_their_amplitude_through_a_fast_run_up()
    {
        var run = new RunUp(25_600, 20, 300, 6000);
        (double Order, double Amplitude)[] lines = [(1, 2), (7.5, 1), (12, 0.5), (48, 0.25), (100, 1)];
        var resampled = AngleResampling.ToTurns(run.Signal(0, lines), run.AngleRad, 256);

        foreach (var fromTurn in (int[])[2, 300, 900])
        {
            var spectrum = OrderSpectrum.Of(resampled.AsSpan(fromTurn * 256, 128 * 256), 256, 32, Window.FlatTop);
            Assert.All(lines, line => Assert.Equal(line.Amplitude, spectrum.LineAt(line.Order).Amplitude, 1e-3 * line.Amplitude));
        }
    }

    // The same run-up at 64 samples a turn: what lies above the new half rate (order 32) must not come back as a lower order, at any speed.
    [Fact]
    public void Nothing_above_the_new_half_rate_folds_back() =>
        Gen.Double[38.5, 100].Sample(
            order =>
            {
                var run = new RunUp(25_600, 4, 300, 6000);
                var spectrum = OrderSpectrum.Of(AngleResampling.ToTurns(run.Signal(0, (order, 1)), run.AngleRad, 64), 64, 16, Window.BlackmanHarris);

                Assert.True(spectrum.Amplitude.Take((int)(25.6 * 16)).Max() < 1e-3);
            }, iter: 20);

    // Straight lines have no bend anywhere: a natural spline is exact, however its points are spaced.
    [Fact]
    public void A_spline_through_a_straight_line_is_that_line()
    {
        double[] x = [0, 1, 1.5, 3, 4, 5.25, 7, 8];
        var values = new double[33];
        NaturalSpline.Through(x, Array.ConvertAll(x, Line)).Read(0, 0.25, values);

        Assert.All(values.Select((v, k) => v - Line(k * 0.25)), off => Assert.Equal(0, off, 1e-12));

        static double Line(double at) => 3 - 0.7 * at;
    }

    // Time over angle of an even run-up is a square root: 16 pulses a turn give each time within a microsecond.
    [Fact]
    public void Pulses_of_a_run_up_give_the_angle_between_them()
    {
        var run = new RunUp(51_200, 10, 300, 6000);
        var (_, tacho) = run.Tacho(16);
        var (level, low) = TachoPulses.LevelOf(tacho)!.Value;
        var rows = TachoPulses.Rows(tacho, level, low);
        var train = PulseTrain.Of(Array.ConvertAll(rows, r => r / run.RateHz));

        Assert.Empty(train.Faults);
        Assert.Equal(run.TurnsAt(10) * 16, train.TimeS.Length, 1.0);
        var track = AngleTrack.FromPulses(train, 16);
        var startRad = 2 * Math.PI * run.TurnsAt(track.FromS);
        var seconds = Enumerable.Range(1, 97).Select(i => track.FromS + i * 0.1).ToArray();
        Assert.All(track.At(seconds).Zip(seconds), pair => Assert.Equal(2 * Math.PI * run.TurnsAt(pair.Second) - startRad, pair.First, 2e-3));
    }

    [Fact]
    public void Noise_on_a_slow_edge_is_one_pulse()
    {
        var random = new Random(2);
        var tacho = Enumerable.Range(0, 20_000).Select(i => (float)(2.5 + 2.5 * Math.Sin(2 * Math.PI * i / 1000.0) + 0.1 * RunUp.Normal(random))).ToArray();
        var (level, low) = TachoPulses.LevelOf(tacho)!.Value;

        Assert.Equal(20, TachoPulses.Rows(tacho, level, low).Length, 1.0);
        Assert.Null(TachoPulses.LevelOf(Enumerable.Repeat(1f, 100).ToArray()));
    }

    // Whatever is dropped or added (but not next to one another), it is found in its place and the turns are counted rightly.
    [Fact]
    public void Missing_and_double_pulses_are_found_and_named() =>
        Gen.Select(Gen.Int[20, 60], Gen.Int[0, 9], Gen.Double[0.1, 0.4], Gen.Double[-0.02, 0.03]).Sample((where, drop, early, growth) =>
        {
            var time = new List<double> { 0 };
            for (var i = 0; i < 100; i++) time.Add(time[^1] + 0.01 * Math.Exp(-growth * i));
            var sound = PulseTrain.Of(time.ToArray());
            Assert.Empty(sound.Faults);

            var (gapFrom, gap) = (where + 15, time[where + 1] - time[where]);
            var missing = drop % 3 + 1;
            var faulty = time.Where((_, i) => i <= gapFrom || i > gapFrom + missing).ToList();
            faulty.Insert(where + 1, time[where] + early * gap);
            var train = PulseTrain.Of(faulty.ToArray());

            Assert.Equal(2, train.Faults.Count);
            Assert.Equal(-1, train.Faults[0].Missing);
            Assert.InRange(train.Faults[0].AtS, time[where] - 1e-9, time[where] + gap);
            Assert.Equal((missing, time[gapFrom]), (train.Faults[1].Missing, train.Faults[1].AtS));
            Assert.Equal(100, train.Number[^1]);
        });

    // Lagrange's own error: a line at a tenth of the rate within 0.3 %, a cubic exactly.
    [Fact]
    public void A_cubic_is_read_exactly_between_samples()
    {
        var places = Enumerable.Range(0, 203).Select(k => 1.01 + k * 0.47).ToArray();
        var read = new double[places.Length];
        CubicSamples.Read([.. Enumerable.Range(0, 100).Select(i => (float)(i * i * i / 64.0 - i))], places, read);
        Assert.All(read.Zip(places), p => Assert.Equal(p.Second * p.Second * p.Second / 64 - p.Second, p.First, 2e-3)); // samples are floats of up to 15,000

        CubicSamples.Read([.. Enumerable.Range(0, 100).Select(i => (float)Math.Sin(2 * Math.PI * i / 10))], places, read);
        Assert.All(read.Zip(places), p => Assert.Equal(Math.Sin(2 * Math.PI * p.Second / 10), p.First, 4e-3));
    }
}
