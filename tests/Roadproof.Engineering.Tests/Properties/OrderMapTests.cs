using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>Amplitude over order and speed, from runs whose lines are known.</summary>
public sealed class OrderMapTests
{
    const string Shaking = CaptureChannel.Vibration;

    // A run-up by half within eight seconds: a line tied to the rotor stays in its column, one at a steady frequency walks through them.
    [Fact]
    public void An_order_stays_in_its_column_while_the_speed_rises()
    {
        var run = new RunUp(25_600, 8, 1600, 2400);
        var signal = run.Signal(0.005, (12, 1), (24, 0.25));
        for (var i = 0; i < signal.Length; i++) signal[i] += (float)(0.5 * Math.Cos(2 * Math.PI * 240 * run.TimeS[i]));
        var map = OrderMap.Of(run.Capture(Shaking, signal, run.Encoder()), Shaking, MidDrive.Unit, 300);

        Assert.InRange(map.Rows.Count, 8, 12);
        Assert.Equal(300, map.Orders.Length);
        Assert.True(map.Rows.Zip(map.Rows.Skip(1)).All(p => p.First.SpeedRadPerS < p.Second.SpeedRadPerS && p.First.ToS <= p.Second.FromS + 1e-6));
        var mesh = map.Named.Select((o, i) => (o.Name, i)).First(o => o.Name == "stage-1 mesh").i;
        foreach (var row in map.Rows)
        {
            Assert.Equal(1, row.Lines[mesh], 0.02);
            Assert.Equal(1, Near(map, row, 12), 0.02);
            Assert.Equal(0.25, Near(map, row, 24), 0.02);

            // 240 Hz over the turns of this row: between the first and the last speed of it, spread where it walked.
            var walks = 240 * 2 * Math.PI / row.SpeedRadPerS;
            Assert.True(Near(map, row, walks, 0.35) > 0.15, $"Nothing at {walks}");
            Assert.True(row.Amplitude.Where((_, c) => Math.Abs(map.Orders[c] - 12) > 0.4 && Math.Abs(map.Orders[c] - 24) > 0.4 && Math.Abs(map.Orders[c] - walks) > 0.8 && map.Orders[c] > 0.5).Max() < 0.05);
        }
    }

    // Amplitude that grows with the square of the speed, as an unbalance does: the map shows it row by row.
    [Fact]
    public void A_row_says_the_amplitude_at_its_own_speed()
    {
        var run = new RunUp(12_800, 10, 1500, 3000);
        double RpmAt(double s) => 1500 + 150 * s;
        var signal = Array.ConvertAll(run.TimeS, s => (float)(Math.Pow(RpmAt(s) / 3000, 2) * Math.Cos(2 * Math.PI * 7 * run.TurnsAt(s))));
        var map = OrderMap.Of(run.Capture(Shaking, signal, run.Encoder()), Shaking, MidDrive.Unit, 200, 30);
        foreach (var row in map.Rows)
        {
            var expected = Math.Pow(row.SpeedRadPerS * 60 / (2 * Math.PI) / 3000, 2);
            Assert.Equal(expected, Near(map, row, 7), 0.03 * expected + 0.005);
        }
    }

    [Fact]
    public void Windows_of_a_run_are_rows_and_one_at_rest_is_told()
    {
        var parts = new[] { new RunUp(12_800, 2, 1800, 1800), new RunUp(12_800, 2, 0, 0), new RunUp(12_800, 2, 3600, 3600) };
        var timeS = parts.SelectMany((p, k) => p.TimeS.Select(t => t + 5 * k)).ToArray();
        float[] All(Func<RunUp, float[]> of) => [.. parts.SelectMany(of)];
        var capture = new Capture(CaptureHeader.Unknown, [new("fast", timeS, new Dictionary<string, float[]> { [Shaking] = All(p => p.Signal(0.01, (12, 0.5))), [CaptureChannel.MotorAngle] = All(p => p.Encoder().Item2) })]);
        var map = OrderMap.Of(capture, Shaking, MidDrive.Unit, 100);

        Assert.All(map.Rows, r => Assert.True(r.ToS <= 2.01 || r.FromS >= 9.99));
        Assert.Equal([188.5, 377.0], map.Rows.Select(r => Math.Round(r.SpeedRadPerS, 1)).Distinct().Order());
        Assert.Contains(map.Warnings, w => w.StartsWith("5 to 7 s is left out", StringComparison.Ordinal));
    }

    [Fact]
    public void One_stretch_alone_reads_what_it_reads_in_the_whole_run_and_its_rows_go_together()
    {
        var parts = new[] { new RunUp(12_800, 2, 1800, 1800), new RunUp(12_800, 2, 3600, 3600) };
        var timeS = parts.SelectMany((p, k) => p.TimeS.Select(t => t + 10 * k)).ToArray();
        float[] All(Func<RunUp, float[]> of) => [.. parts.SelectMany(of)];
        var capture = new Capture(CaptureHeader.Unknown, [new("fast", timeS, new Dictionary<string, float[]> { [Shaking] = All(p => p.Signal(0.01, (12, 0.5))), [CaptureChannel.MotorAngle] = All(p => p.Encoder().Item2) })]);
        var whole = OrderMap.Of(capture, Shaking, MidDrive.Unit, 100, 36);
        var second = OrderMap.Of(capture, Shaking, MidDrive.Unit, 100, 36, 10.5, 11);
        Assert.Equal(whole.Rows.Where(r => r.FromS > 9).Select(r => (r.FromS, r.Amplitude[33])), second.Rows.Select(r => (r.FromS, r.Amplitude[33])));

        var together = OrderMap.Together(second.Rows);
        Assert.Equal((second.Rows[0].FromS, second.Rows[^1].ToS), (together.FromS, together.ToS));
        for (var c = 0; c < 100; c++) Assert.Equal(Math.Sqrt(second.Rows.Average(r => r.Amplitude[c] * r.Amplitude[c])), together.Amplitude[c], 1e-12);
        Assert.Equal(0.5, together.Amplitude[Array.FindIndex(second.Orders, o => o + second.Orders[0] > 12)], 0.02);
    }

    // Above 0.4 of the sample rate nothing is reported, however far the picture goes.
    [Fact]
    public void What_the_rate_does_not_reach_is_empty_and_not_zero()
    {
        var parts = new[] { new RunUp(2_000, 4, 1200, 1200), new RunUp(2_000, 4, 3600, 3600) };
        var timeS = parts.SelectMany((p, k) => p.TimeS.Select(t => t + 10 * k)).ToArray();
        float[] All(Func<RunUp, float[]> of) => [.. parts.SelectMany(of)];
        var capture = new Capture(CaptureHeader.Unknown, [new("fast", timeS, new Dictionary<string, float[]> { [Shaking] = All(p => p.Signal(0.01, (5, 0.5))), [CaptureChannel.MotorAngle] = All(p => p.Encoder().Item2) })]);
        var map = OrderMap.Of(capture, Shaking, MidDrive.Unit, 160, 36);
        foreach (var row in map.Rows)
        {
            var reach = 0.4 * 2000 * 2 * Math.PI / row.SpeedRadPerS;
            for (var c = 0; c < 160; c++) Assert.Equal(map.Orders[c] + 18.0 / 160 > reach * 1.001, double.IsNaN(row.Amplitude[c]));
        }
    }

    [Fact]
    public void A_run_that_never_turns_has_no_map()
    {
        var run = new RunUp(2_000, 3, 0, 0);
        var said = Assert.Throws<InputException>(() => OrderMap.Of(run.Capture(Shaking, run.Signal(0.1), run.Encoder()), Shaking, MidDrive.Unit, 100));
        Assert.Contains("no stretch in which the rotor turns", said.Message, StringComparison.Ordinal);
        Assert.Contains("no channel 'shaking'", Assert.Throws<InputException>(() => OrderMap.Of(run.Capture(Shaking, run.Signal(0.1), run.Encoder()), "shaking", MidDrive.Unit, 100)).Message, StringComparison.Ordinal);
    }

    static double Near(OrderMap map, OrderMapRow row, double order, double within = 0.15) => row.Amplitude.Where((_, c) => Math.Abs(map.Orders[c] - order) <= within).Max();
}
