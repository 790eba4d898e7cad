using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What is wrong with one channel by itself: beyond its range, held, with samples missing, or with the mains in it.</summary>
/// <remarks>Thresholds: chosen here, no source; each is held by a test against simulated runs, and no sound or faulty unit of the model is refused by them. See <c>docs/methods/load-test-readings.md</c>.</remarks>
static class ChannelDefects
{
    /// <summary>A pause this short between two windows is no pause of the programme.</summary>
    const double ShortestPauseS = 0.25;

    // Clipped: at least so many returns to the same end, so many samples there, and an end that is far from zero.
    const int LeastClippedPieces = 5, LeastClippedSamples = 20;
    const double EndFromZero = 0.2;

    // Held: so many rows without a change in a channel whose gauge has noise, and so many times as long as it usually stands.
    const int LeastHeldRows = 25;
    const double HeldOverUsual = 50;

    /// <summary>Pick-up above this multiple of the gauge's own noise is refused, below it told.</summary>
    const double RefusedPickUp = 3;
    const double LineOverNoise = 5;
    const int PickUpWindows = 3;

    static readonly double[] MainsHz = [50, 60];
    static readonly string[] CanClip =
    [
        CaptureChannel.BusCurrent, CaptureChannel.OutputTorque, CaptureChannel.CrankTorque, CaptureChannel.PhaseCurrentU, CaptureChannel.PhaseCurrentV, CaptureChannel.PhaseCurrentW,
        CaptureChannel.PhaseVoltageU, CaptureChannel.PhaseVoltageV, CaptureChannel.PhaseVoltageW, CaptureChannel.ReportedPhaseCurrent, CaptureChannel.Vibration,
    ];

    static readonly string[] CanPickUp =
    [
        CaptureChannel.BusVoltage, CaptureChannel.BusCurrent, CaptureChannel.OutputTorque, CaptureChannel.CrankTorque, CaptureChannel.PhaseCurrentU, CaptureChannel.PhaseCurrentV,
        CaptureChannel.PhaseCurrentW, CaptureChannel.PhaseVoltageU, CaptureChannel.PhaseVoltageV, CaptureChannel.PhaseVoltageW, CaptureChannel.Vibration,
    ];

    public static void Find(RunChannels channels, LoadTestPlan plan, List<InputError> errors, List<string> warnings)
    {
        DroppedSamples(channels.Fast, channels.FastWindows, errors);
        if (channels.Vibration is { } vibration) DroppedSamples(vibration, channels.VibrationWindows, errors);
        foreach (var (table, windows) in Tables(channels))
        {
            foreach (var (channel, samples) in table.Channels.Where(c => plan.Gauges.Gauges.Any(g => g.Channel == c.Key)))
            {
                var gauge = plan.Gauges.Of(channel);
                if (samples.AsSpan().ContainsAnyExceptInRange(float.MinValue, float.MaxValue)) continue; // holes are told elsewhere
                var flat = FlatPieces.Of(samples);
                if (CanClip.Contains(channel)) Clipped(table, channel, flat, errors);
                Held(table, channel, gauge, flat, errors);
                if (CanPickUp.Contains(channel)) PickUp(table, channel, windows, gauge, errors, warnings);
            }
        }
    }

    static IEnumerable<(CaptureTable Table, IReadOnlyList<Segment> Windows)> Tables(RunChannels channels)
    {
        yield return (channels.Slow, channels.FastWindows);
        if (channels.Fast != channels.Slow) yield return (channels.Fast, channels.FastWindows);
        if (channels.Vibration is { } vibration && vibration != channels.Fast) yield return (vibration, channels.VibrationWindows);
    }

    static void DroppedSamples(CaptureTable table, IReadOnlyList<Segment> windows, List<InputError> errors)
    {
        foreach (var (before, after) in windows.Zip(windows.Skip(1)).Where(pair => pair.Second.FromS - pair.First.ToS < ShortestPauseS))
        {
            var missing = Math.Round((after.FromS - before.ToS) * Math.Max(before.RateHz, after.RateHz)) - 1;
            errors.Add(new(table.Source, 0, CaptureChannel.Time, Invariant($"{missing:0} samples missing after {before.ToS:0.####} s"), "every sample of a window", "The recorder dropped samples: repeat the run."));
        }
    }

    static void Clipped(CaptureTable table, string channel, FlatPieces flat, List<InputError> errors)
    {
        var largest = Math.Max(Math.Abs(flat.Low.Level), Math.Abs(flat.High.Level));
        foreach (var end in (FlatEnd[])[flat.Low, flat.High])
        {
            // A signal of coarse resolution rests everywhere, not just at its ends.
            if (end.Pieces < LeastClippedPieces || end.Samples < LeastClippedSamples || Math.Abs(end.Level) < EndFromZero * largest || (double)end.Samples / end.Pieces < 2 * flat.Usual) continue;
            errors.Add(new(table.Source, 0, channel, Invariant($"cut off at {end.Level:0.####}: {end.Samples} samples stand there in {end.Pieces} pieces"), "a signal inside its instrument's range",
                "The instrument or its recorder is driven beyond its range: set a wider range and repeat the run."));
        }
    }

    static void Held(CaptureTable table, string channel, Gauge gauge, FlatPieces flat, List<InputError> errors)
    {
        if (gauge.NoiseRms == 0) return;
        if (flat.Longest == table.TimeS.Length)
        {
            errors.Add(new(table.Source, 0, channel, Invariant($"{table.Channels[channel][0]:0.####} in every row"), "a reading that has its instrument's noise all the time", "The sensor or its message is dead, or was never connected."));
            return;
        }

        if (flat.Longest < Math.Max(LeastHeldRows, HeldOverUsual * flat.Usual)) return;
        // A supply that is off reads nothing at all.
        if (channel is CaptureChannel.BusVoltage or CaptureChannel.BusCurrent && table.Channels[channel][flat.LongestFrom] == 0) return;
        var (fromS, toS) = (table.TimeS[flat.LongestFrom], table.TimeS[flat.LongestFrom + flat.Longest - 1]);
        errors.Add(new(table.Source, 0, channel, Invariant($"{table.Channels[channel][flat.LongestFrom]:0.####} in every row from {fromS:0.###} s to {toS:0.###} s"), "a reading that has its instrument's noise all the time",
            "The sensor or its recorder stood still for that time: check its cable and repeat the run."));
    }

    /// <summary>A line at the mains' frequency in every window: whatever turns is at another place in each of them.</summary>
    static void PickUp(CaptureTable table, string channel, IReadOnlyList<Segment> windows, Gauge gauge, List<InputError> errors, List<string> warnings)
    {
        if (gauge.NoiseRms == 0) return;
        foreach (var hz in MainsHz)
        {
            if (InEveryWindow(table, channel, windows, hz) is not { } amplitude) continue;
            var found = Invariant($"a line of {amplitude:0.###} at {hz:0} Hz in every window, whatever the speed");
            if (amplitude / Math.Sqrt(2) > RefusedPickUp * gauge.NoiseRms)
                errors.Add(new(table.Source, 0, channel, found, "a signal without the mains in it", "Check shield and earth of the sensor's cable, then repeat the run."));
            else
                warnings.Add($"{channel} has {found}: the mains reach its cable. Means over whole windows keep almost nothing of it; mend shield and earth before it grows.");
        }
    }

    /// <summary>The middle amplitude of a line that every window has, about alike; null where one has it not.</summary>
    static double? InEveryWindow(CaptureTable table, string channel, IReadOnlyList<Segment> windows, double hz)
    {
        var amplitudes = new List<double>();
        foreach (var window in windows)
        {
            var line = MainsLine.In(table.TimeS, table.Channels[channel], window.FromS, window.ToS, hz);
            if (!double.IsFinite(line.Value)) continue;
            if (line.Value < LineOverNoise * line.StandardUncertainty) return null;
            amplitudes.Add(line.Value);
        }

        if (amplitudes.Count < PickUpWindows) return null;
        amplitudes.Sort();
        var middle = amplitudes[amplitudes.Count / 2];
        return amplitudes[0] > middle / 3 && amplitudes[^1] < 3 * middle ? middle : null;
    }
}
