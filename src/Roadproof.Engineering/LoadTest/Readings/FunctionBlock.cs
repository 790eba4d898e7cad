using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>The rows after the load points, and the events that the signals show there.</summary>
/// <param name="currentGain">The controller's own phase current reading over the true current.</param>
sealed class FunctionBlock(RunChannels channels, int fromRow, double currentGain, LoadTestPlan plan)
{
    /// <summary>Torque counts as gone, and current as down to no load, when this share of it is left.</summary>
    const double Gone = 0.05;

    /// <summary>The torque is watched this long after an event; still there at the end, it is reported as gone after at least this.</summary>
    const double WatchedS = 1.4;

    /// <summary>A shaft that turns slower than this stands: it is above the noise of a speed sensor.</summary>
    const double StandingRadPerS = 0.3;

    readonly double[] timeS = channels.Slow.TimeS;
    readonly int from = fromRow;
    readonly int to = channels.Run.To;
    readonly double rateHz = channels.Run.RateHz;
    readonly double limitKmPerH = plan.Unit.Rating.AssistanceLimitMps * 3.6;
    readonly float[] busA = channels.Slow.Channels[CaptureChannel.BusCurrent];
    readonly float[] driveNm = LoadPointWindows.DriveTorque(channels);
    readonly float[]? crankRadPerS = channels.HasCrank ? channels.Slow.Channels[CaptureChannel.CrankSpeed] : null;
    readonly float[] outputRadPerS = channels.Slow.Channels[CaptureChannel.OutputSpeed];
    readonly float[] brake = channels.Slow.Channels[CaptureChannel.Brake];
    readonly float[] walk = channels.Slow.Channels[CaptureChannel.WalkAssist];
    readonly float[] busV = channels.Slow.Channels[CaptureChannel.BusVoltage];
    readonly float[] rotorRadPerS = channels.Slow.Channels[CaptureChannel.MotorSpeed];
    readonly float[] reportedA = channels.Slow.Channels[CaptureChannel.ReportedPhaseCurrent];
    readonly float[] wheelKmPerH = Array.ConvertAll(channels.Slow.Channels[CaptureChannel.WheelSpeed], w => (float)(w * plan.WheelRadiusM * 3.6));

    public List<string> Warnings { get; } = [];

    /// <summary>The crank falls below half the output's speed while the output turns on; timed from where it had lost a tenth.</summary>
    public Reading? StopResponse()
    {
        if (crankRadPerS is null) return null;
        for (var i = from + Rows(0.3); i < to; i++)
        {
            if (crankRadPerS[i] >= 0.5 * outputRadPerS[i] || outputRadPerS[i] < 1 || crankRadPerS[i - Rows(0.3)] < 0.8 * outputRadPerS[i - Rows(0.3)]) continue;
            if (TorqueBefore(i - Rows(0.1)) is not { } beforeNm) continue;

            var before = Mean(crankRadPerS, i - Rows(0.3), i - Rows(0.1));
            var first = i;
            while (first > from && crankRadPerS[first - 1] < 0.9 * before) first--;
            return TorqueGone(Crossing(crankRadPerS, first, 0.9 * before), first, beforeNm, "the crank stopped");
        }

        return null;
    }

    public Reading? BrakeResponse()
    {
        for (var i = Math.Max(1, from); i < to; i++)
            if (brake[i] >= 0.5f && brake[i - 1] < 0.5f && TorqueBefore(i) is { } beforeNm) return TorqueGone(Crossing(brake, i, 0.5), i, beforeNm, "the brake switch closed");
        return null;
    }

    /// <summary>Down-crossing of the bus current on the way through the assistance limit.</summary>
    public Reading? CutOffSpeed()
    {
        var beyond = Array.FindIndex(wheelKmPerH, from, to - from, v => v > 1.06 * limitKmPerH);
        if (beyond < 0) return null;
        var start = beyond;
        while (start > from && wheelKmPerH[start - 1] > 0.8 * limitKmPerH) start--;
        var slowing = Math.Min(to, beyond + Rows(0.3));
        // The wheel's noise goes back over the edge it has just passed: the end of the sweep is looked for below it.
        var end = beyond;
        while (end < slowing && wheelKmPerH[end] > 1.03 * limitKmPerH) end++;
        var assisted = start;
        while (assisted < beyond && wheelKmPerH[assisted] < 0.93 * limitKmPerH) assisted++;
        if (assisted - start < Rows(0.1) || end - beyond < Rows(0.1) || TorqueBefore(assisted) is null) return null;

        var (loaded, unloaded) = (SteadyMean.Of(busA.AsSpan(start, assisted - start)), SteadyMean.Of(busA.AsSpan(beyond, end - beyond)));
        if (unloaded.Value > 0.5 * loaded.Value)
        {
            Warnings.Add(Invariant($"Assistance did not end: at {wheelKmPerH[end - 1]:0.0} km/h the bus current still is {unloaded.Value:0.0} A; the cut-off speed is at least the largest speed seen."));
            return new(wheelKmPerH.AsSpan(beyond, to - beyond).ToArray().Max(), 0) { AtLeast = true };
        }

        const int half = 2; // means over five samples: noise down by √5, no shift in time
        var threshold = unloaded.Value + Gone * (loaded.Value - unloaded.Value);
        var last = end - half - 1;
        while (last > start + half && Mean(busA, last - half, last + half + 1) < threshold) last--;
        double above = Mean(busA, last - half, last + half + 1), below = Mean(busA, last + 1 - half, last + half + 2);
        var at = last + (above - threshold) / Math.Max(above - below, 1e-9);

        var (speed, speedPerRow) = Line(wheelKmPerH, (int)at - Rows(0.1), (int)at + Rows(0.1));
        var (_, ampsPerRow) = Line(busA, (int)at - Rows(0.1), (int)at + 1);
        var noiseA = Moments.Of(busA.AsSpan(beyond, end - beyond)).StandardDeviation / Math.Sqrt(2 * half + 1);
        return new(speed + speedPerRow * (at - (int)at), Math.Abs(noiseA / Math.Min(ampsPerRow, -1e-9) * speedPerRow));
    }

    public (Reading SpeedKmPerH, Reading ReleaseS)? WalkAssist()
    {
        var held = Array.FindIndex(walk, from, to - from, w => w >= 0.5f);
        if (held < 0) return null;
        var released = Array.FindIndex(walk, held, to - held, w => w < 0.5f);
        var smoothed = Rows(0.1);
        if (released - held < smoothed) return null;

        var fastest = 0.0;
        for (var i = held; i + smoothed <= released; i++) fastest = Math.Max(fastest, Mean(wheelKmPerH, i, i + smoothed));
        var noiseKmPerH = Moments.Of(wheelKmPerH.AsSpan(released - smoothed, smoothed)).StandardDeviation / Math.Sqrt(smoothed);
        var release = TorqueBefore(released) is { } beforeNm ? TorqueGone(Crossing(walk, released, 0.5), released, beforeNm, "walk assistance was let go") : Reading.None;
        return (new(fastest, noiseKmPerH), release);
    }

    /// <summary>Phase current: the longest stretch where the controller's current stands at 0.97 of its largest or more, its first 0.3 s left to the control loop.
    /// Bus current: the last half second before the current is let go. The phase limit acts at once and the bus limit on a mean, so the two need not hold at the same time.</summary>
    public (Reading PhaseA, Reading BusA)? CurrentLimit()
    {
        var start = Math.Max(from, Array.FindLastIndex(walk, to - 1, to - from, w => w >= 0.5f));
        var smoothed = Rows(0.1);
        if (to - start < 4 * smoothed) return null;
        var level = new float[to - start - smoothed];
        for (var i = 0; i < level.Length; i++) level[i] = (float)Mean(reportedA, start + i, start + i + smoothed);
        var largest = level.Max();
        if (largest < 0.5 * plan.Unit.Motor.PhaseCurrentLimitPeakA) return null;

        var (longest, longestFrom, run) = (0, 0, 0);
        for (var i = 0; i < level.Length; i++)
        {
            run = level[i] >= 0.97f * largest ? run + 1 : 0;
            if (run > longest) (longest, longestFrom) = (run, i - run + 1);
        }

        var (first, count) = (start + longestFrom + Rows(0.3), longest - Rows(0.3));
        if (count < smoothed) return null;
        var phase = SteadyMean.Of(reportedA.AsSpan(first, count));
        var letGo = start + Array.FindLastIndex(level, i => i >= 0.8f * largest);
        var busFirst = Math.Max(first, letGo - Rows(0.5));
        return (new(phase.Value / currentGain, phase.StandardUncertainty / currentGain), SteadyMean.Of(busA.AsSpan(busFirst, letGo - busFirst)));
    }

    /// <summary>Mean of the bus current while nothing turns at the end of the run, its first 0.3 s left out.</summary>
    public Reading? QuiescentCurrent()
    {
        var first = to;
        while (first > from && Math.Abs(outputRadPerS[first - 1]) < StandingRadPerS && Math.Abs(driveNm[first - 1]) < 3) first--;
        first += Rows(0.3);
        if (to - first < Rows(0.3)) return null;
        var mean = SteadyMean.Of(busA.AsSpan(first, to - first));
        return new(1000 * mean.Value, 1000 * mean.StandardUncertainty);
    }

    /// <summary>From the first moment at rest at which the brake was let go or the supply came back, until something is asked again or the run ends; not seen where less
    /// than <see cref="WatchedS"/> is left after the last such moment. The largest means over 0.1 s, so that a jerk counts and one row of noise does not.</summary>
    public (Reading TorqueNm, Reading RotorRadPerS)? SelfStart()
    {
        var first = Enumerable.Range(from + 1, Math.Max(0, to - from - 1)).FirstOrDefault(i => IsLetGo(i) && IsAtRest(i), -1);
        if (first < 0) return null;
        var (last, end) = (first, first);
        while (end < to && !IsAsked(end))
        {
            if (end > first && IsLetGo(end)) last = end;
            end++;
        }

        return end - last < Rows(WatchedS) ? null : (Largest(driveNm, first, end), Largest(rotorRadPerS, first, end));
    }

    bool IsLetGo(int row) => (brake[row] < 0.5f && brake[row - 1] >= 0.5f) || (busV[row] >= 0.5 * plan.Unit.Supply.NominalV && busV[row - 1] < 0.5 * plan.Unit.Supply.NominalV);

    bool IsAtRest(int row) => !IsAsked(row) && Math.Abs(outputRadPerS[row]) < StandingRadPerS;

    bool IsAsked(int row) => walk[row] >= 0.5f || crankRadPerS?[row] > StandingRadPerS;

    Reading Largest(float[] signal, int first, int end)
    {
        var smoothed = Rows(0.1);
        double largest = 0, steps = 0;
        for (var i = first; i + smoothed <= end; i++) largest = Math.Max(largest, Math.Abs(Mean(signal, i, i + smoothed)));
        // From row to row: a start that is seen does not pass for noise.
        for (var i = first + 1; i < end; i++) steps += Square(signal[i] - signal[i - 1]);
        return new(largest, Math.Sqrt(steps / (end - first - 1) / 2 / smoothed));
    }

    /// <summary>Mean drive torque in the 0.25 s before a row; null where there was none to speak of.</summary>
    double? TorqueBefore(int row)
    {
        var first = row - Rows(0.25);
        if (first < from) return null;
        var meanNm = Mean(driveNm, first, row);
        return meanNm > 1 ? meanNm : null;
    }

    /// <summary>From an event to the last moment at which more than the twentieth part of the torque was there.</summary>
    Reading TorqueGone(double eventS, int eventRow, double beforeNm, string what)
    {
        var watched = eventRow + Rows(WatchedS);
        if (watched > to - 2)
        {
            Warnings.Add(Invariant($"The run ends {timeS[to - 1] - eventS:0.0} s after {what}: whether the drive torque is gone for good is seen only after {WatchedS:0.0} s."));
            return Reading.None;
        }

        // The rig's torque noise is read where the torque should be gone for good.
        var rowNoiseNm = Moments.Of(driveNm.AsSpan(watched - Rows(0.3), Rows(0.3))).StandardDeviation;
        // Three rows blur a fast fall less than five, which a weak torque needs to stand out of the noise.
        var half = Gone * beforeNm > 4 * rowNoiseNm / Math.Sqrt(3) ? 1 : 2;
        var noiseNm = rowNoiseNm / Math.Sqrt(2 * half + 1);
        var threshold = Math.Max(Gone * beforeNm, 3 * noiseNm);
        if (Mean(driveNm, watched - Rows(0.3), watched) > threshold)
        {
            Warnings.Add(Invariant($"{WatchedS:0.0} s after {what} the drive torque still is {Mean(driveNm, watched - Rows(0.3), watched):0.0} N·m of {beforeNm:0.0} N·m."));
            return new(timeS[watched] - eventS, 0) { AtLeast = true };
        }

        // A mean over 0.1 s says in which tenth the torque went for good, undisturbed by noise; a few rows say when in it.
        var wide = Rows(0.05);
        var last = watched - wide;
        while (last > eventRow + wide && Mean(driveNm, last - wide, last + wide + 1) < threshold) last--;
        last = Math.Max(eventRow, last - 2 * wide);
        while (last < watched && Smooth(last + 1) >= threshold) last++;
        double above = Smooth(last), below = Smooth(last + 1);
        var share = above > threshold ? (above - threshold) / (above - below) : 0;
        var goneS = timeS[last] + share * (timeS[last + 1] - timeS[last]);
        var stepS = 1 / rateHz;
        return new(Math.Max(0, goneS - eventS), Math.Sqrt(stepS * stepS / 6 + Square(noiseNm / Math.Max(above - below, noiseNm) * stepS)));

        double Smooth(int row) => Mean(driveNm, Math.Max(from, row - half), Math.Min(to, row + half + 1));
    }

    /// <summary>When a signal passed a level between a row and the one before it.</summary>
    double Crossing(float[] signal, int row, double level)
    {
        double before = signal[row - 1], after = signal[row];
        return timeS[row - 1] + (timeS[row] - timeS[row - 1]) * (after == before ? 1 : Math.Clamp((level - before) / (after - before), 0, 1));
    }

    static (double AtMiddle, double PerRow) Line(float[] signal, int first, int last)
    {
        var n = last - first + 1;
        var middle = (n - 1) / 2.0;
        double mean = 0, slope = 0, spread = 0;
        for (var i = 0; i < n; i++)
        {
            mean += signal[first + i] / (double)n;
            slope += (i - middle) * signal[first + i];
            spread += (i - middle) * (i - middle);
        }

        return (mean, slope / spread);
    }

    static double Mean(float[] signal, int first, int end) => Moments.MeanOf(signal.AsSpan(first, end - first));

    int Rows(double s) => Math.Max(1, (int)Math.Round(s * rateHz));

    static double Square(double x) => x * x;
}
