using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;
using Roadproof.Engineering.Signals;

namespace Roadproof.Bench;

/// <summary>
/// Workload W1: 50 captures of 20 s with vibration, current, torque and a tacho of 16 pulses a turn, 51.2 kHz each, from a folder of raw files. Pulses, spline,
/// resampling to 512 samples a turn, averaged spectra of 16 turns, ripple, moments; one capture after the other on each core. The same steps as the peers', by the
/// code that reads a customer's captures. The files are made by the peers' own generator.
/// </summary>
public static class OrderRace
{
    const int Samples = 1_024_000, PerTurn = 512, PulsesPerTurn = 16, TurnsPerBlock = 16;
    static readonly double[] Orders = [1, 2, 4, 6.5, 7.25, 8, 12, 14.5, 19.5, 24, 36, 48];

    sealed record Channel(double[] Lines, double Rms, double Kurtosis);

    sealed record Answer(Channel[] Channels, double RipplePercent, int Pulses, int Resampled, int Blocks);

    public static void Run(string folder, int captures)
    {
        var answers = new Answer[captures];
        var first = Race(folder, answers); // compiles its code on the way
        var second = Race(folder, answers);

        foreach (var c in captures == 1 ? (int[])[0] : [0, captures - 1])
        {
            var a = answers[c];
            string[] names = ["vib", "cur", "trq"];
            Console.WriteLine($"{c} " + string.Join(" ", a.Channels.Select((channel, k) => $"{names[k]} {string.Join(' ', channel.Lines.Select(Number))} {names[k]}_rms {Number(channel.Rms)} {names[k]}_kurt {Number(channel.Kurtosis)}"))
                + $" ripple_pct {Number(a.RipplePercent)} npulse {a.Pulses} nresamp {a.Resampled} nblocks {a.Blocks}");
        }

        Console.WriteLine($"vib order-24 sum {Number(answers.Sum(a => a.Channels[0].Lines[9]))}");
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"compute total {second:0.000} s (incl. file read), in a new process {first:0.000} s"));
    }

    /// <returns>Seconds.</returns>
    static double Race(string folder, Answer[] answers)
    {
        var clock = Stopwatch.StartNew();
        var next = -1;
        Parallel.For(0, Environment.ProcessorCount, _ =>
        {
            var room = new Room();
            for (var c = Interlocked.Increment(ref next); c < answers.Length; c = Interlocked.Increment(ref next)) answers[c] = room.Read(Path.Combine(folder, $"w1_{c:00}.f32"));
        });
        return clock.Elapsed.TotalSeconds;
    }

    /// <summary>What one core works in, from capture to capture.</summary>
    sealed class Room
    {
        readonly float[] channels = new float[4 * Samples];
        readonly double[] pulses = new double[Samples / 2 + 1], turns = new double[Samples / 16], places = new double[Samples], resampled = new double[Samples];

        public Answer Read(string file)
        {
            using (var handle = File.OpenHandle(file, options: FileOptions.SequentialScan)) RandomAccess.Read(handle, MemoryMarshal.AsBytes(channels.AsSpan()), 0);

            var found = TachoPulses.Find(channels.AsSpan(3 * Samples), 2.5f, 2f, pulses);
            for (var k = 0; k < found; k++) turns[k] = k;
            var grid = places.AsSpan(0, (found - 1) * (PerTurn / PulsesPerTurn) + 1);
            NaturalSpline.Through(turns, pulses, found).Read(0, (double)PulsesPerTurn / PerTurn, grid);
            while (grid[0] < 1) grid = grid[1..];
            while (grid[^1] >= Samples - 2) grid = grid[..^1];

            var read = new Channel[3];
            double ripple = 0;
            var blocks = 0;
            var over = resampled.AsSpan(0, grid.Length);
            for (var c = 0; c < 3; c++)
            {
                var samples = channels.AsSpan(c * Samples, Samples);
                CubicSamples.Read(samples, grid, over);
                var spectrum = OrderSpectrum.Of(over, PerTurn, TurnsPerBlock, Window.Hann);
                if (c == 2) ripple = 100 * Ripple.PeakToPeakShare(over, PerTurn);
                var moments = Moments.Of(samples);
                read[c] = new([.. Orders.Select(o => spectrum.Amplitude[(int)(o * TurnsPerBlock)])], moments.Rms, moments.Kurtosis);
                blocks = spectrum.Blocks;
            }

            return new(read, ripple, found, grid.Length, blocks);
        }
    }

    static string Number(double value) => value.ToString("G9", CultureInfo.InvariantCulture);
}
