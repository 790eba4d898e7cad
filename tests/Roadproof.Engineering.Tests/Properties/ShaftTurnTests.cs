using CsCheck;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>One turn of a shaft, from signals whose lines are known.</summary>
public sealed class ShaftTurnTests
{
    const string Shaking = CaptureChannel.Vibration;

    static readonly RunUp Run = new(12_800, 4, 2000, 2150);

    [Fact]
    public void A_line_of_the_shaft_is_the_mean_and_every_turn_agrees() =>
        Gen.Select(Gen.Int[1, 20], Gen.Double[0.1, 5], Gen.Double[0, 0.9]).Sample((order, amplitude, startTurns) =>
        {
            var angleRad = Array.ConvertAll(Run.AngleRad, a => a + 2 * Math.PI * startTurns);
            var band = TurnBand.Of(Array.ConvertAll(angleRad, a => (float)(amplitude * Math.Cos(order * a))), angleRad, 256)!;

            Assert.Equal((int)Math.Floor(Run.TurnsAt(4)), band.Turns, 1.0);
            for (var p = 0; p < 256; p++) Assert.Equal(amplitude * Math.Cos(2 * Math.PI * order * p / 256), band.Mean[p], 0.005 * amplitude);

            // The very ends, where the filter has only one side, may be off in one turn of 138.
            Assert.All(band.StandardDeviation, s => Assert.InRange(s, 0, 0.02 * amplitude));
        }, iter: 20);

    // What does not belong to the shaft scatters: a line of amplitude A between orders by A/√2, noise by its own σ, and each leaves little in the mean.
    [Fact]
    public void What_does_not_belong_to_the_shaft_is_the_band()
    {
        var band = TurnBand.Of(Run.Signal(0, (3.3819, 2)), Run.AngleRad, 128)!;
        Assert.All(band.StandardDeviation, s => Assert.Equal(2 / Math.Sqrt(2), s, 0.05));
        Assert.All(band.Mean, m => Assert.InRange(Math.Abs(m), 0, 0.06));
        Assert.All(band.Maximum.Zip(band.Minimum), edge => Assert.Equal(4, edge.First - edge.Second, 0.1));

        // White noise of 0.5 up to 6,400 Hz; a grid of 360 places a turn (nearly as fine as the samples) keeps nearly all of it.
        var noise = TurnBand.Of(Run.Signal(0.5), Run.AngleRad, 360)!;
        Assert.InRange(noise.StandardDeviation.Average(), 0.42, 0.5);
        var left = Math.Sqrt(noise.Mean.Average(m => m * m));
        Assert.Equal(noise.StandardDeviation.Average() / Math.Sqrt(noise.Turns), left, 0.15 * left);
    }

    [Fact]
    public void Mean_scatter_and_edges_are_those_of_the_turns_laid_over_each_other()
    {
        var signal = Run.Signal(0.3, (1, 1), (2.5, 0.4));
        var turns = AngleResampling.ToTurns(signal, Run.AngleRad, 64);
        var band = TurnBand.Of(signal, Run.AngleRad, 64)!;
        for (var p = 0; p < 64; p++)
        {
            var values = Enumerable.Range(0, band.Turns).Select(t => turns[t * 64 + p]).ToList();
            var mean = values.Average();
            Assert.Equal(mean, band.Mean[p], 1e-9);
            Assert.Equal(Math.Sqrt(values.Sum(v => (v - mean) * (v - mean)) / (values.Count - 1)), band.StandardDeviation[p], 1e-9);
            Assert.Equal((values.Min(), values.Max()), (band.Minimum[p], band.Maximum[p]));
        }
    }

    [Fact]
    public void Each_shaft_of_the_unit_has_its_own_turn()
    {
        var unit = MidDrive.Unit;
        var capture = Run.Capture(Shaking, Run.Signal(0.01, (1, 0.3), (12, 1)), Run.Encoder());
        var rotor = ShaftTurn.Of(capture, Shaking, unit, 0, null, null);
        Assert.Equal(("rotor", "m/s²"), (rotor.Shaft, rotor.Unit));
        Assert.Equal(Run.TurnsAt(4), rotor.Band.Turns, 1.0);
        Assert.Equal(2 * Math.PI * Run.TurnsAt(4) / 4, rotor.SpeedRadPerS, 0.01 * rotor.SpeedRadPerS);

        // Twelve teeth are twelve waves in a turn of the rotor.
        var places = rotor.Band.Mean.Length;
        var waves = Enumerable.Range(0, places).Count(p => rotor.Band.Mean[p] < 0 && rotor.Band.Mean[(p + 1) % places] >= 0);
        Assert.Equal(12, waves);

        Assert.Equal(90, ShaftTurn.Of(capture, Shaking, unit, 0, null, null, 90).Band.Mean.Length);

        var output = ShaftTurn.Of(capture, Shaking, unit, unit.Gears.Count, null, null);
        Assert.Equal("output", output.Shaft);
        Assert.Equal((int)(Run.TurnsAt(4) / unit.Ratio), output.Band.Turns, 1.0);
        Assert.Contains(output.Warnings, w => w.Contains("turns", StringComparison.Ordinal));
        Assert.Contains(output.Warnings, w => w.Contains("chance", StringComparison.Ordinal));
    }

    [Fact]
    public void Too_few_turns_are_said()
    {
        var unit = MidDrive.Unit;
        var capture = Run.Capture(Shaking, Run.Signal(0.01, (1, 0.3)), Run.Encoder());
        var said = Assert.Throws<InputException>(() => ShaftTurn.Of(capture, Shaking, unit, unit.Gears.Count, 1, 1.5));
        Assert.Contains("turns of the output, expected 2 whole turns at least", said.Message, StringComparison.Ordinal);
        Assert.Contains("expected 0 (rotor) to", Assert.Throws<InputException>(() => ShaftTurn.Of(capture, Shaking, unit, 7, null, null)).Message, StringComparison.Ordinal);
        Assert.Contains("no channel 'shaking'", Assert.Throws<InputException>(() => ShaftTurn.Of(capture, "shaking", unit, 0, null, null)).Message, StringComparison.Ordinal);
    }
}
