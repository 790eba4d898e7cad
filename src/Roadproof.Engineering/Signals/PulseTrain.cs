namespace Roadproof.Engineering.Signals;

/// <summary>What was wrong with a tacho's pulses at one place.</summary>
/// <param name="Missing">Pulses that did not come; −1 where one came twice.</param>
public readonly record struct PulseFault(double AtS, int Missing);

/// <summary>A tacho's pulses after mending: when each came, and its number, which jumps where pulses are missing.</summary>
/// <param name="TimeS">Strictly rising, shape [n].</param>
/// <param name="Number">Pulses since the first one, shape [n].</param>
/// <remarks>
/// Each gap between pulses is compared with its neighbours' median, carried along their usual growth, so that a run-up is no fault. A gap of about a whole number of
/// usual ones has missing pulses in it; two short gaps that make one usual one have a pulse too many between them. Holds while fewer than half of eleven neighbouring
/// gaps are wrong and the speed changes by less than a third from pulse to pulse. Common practice, no source.
/// </remarks>
public sealed record PulseTrain(double[] TimeS, double[] Number, IReadOnlyList<PulseFault> Faults)
{
    const int Neighbours = 5;

    /// <exception cref="ArgumentException">Fewer than three pulses.</exception>
    public static PulseTrain Of(ReadOnlySpan<double> pulseS)
    {
        if (pulseS.Length < 3) throw new ArgumentException("Fewer than three pulses give no speed.", nameof(pulseS));

        List<double> time = [.. pulseS];
        var faults = new List<PulseFault>();
        var even = LooksEven(pulseS);
        if (!even) TakeDoubles(time, faults);

        var number = new double[time.Count];
        for (var i = 1; i < number.Length; i++)
        {
            var steps = even ? 1 : Math.Max(1, (int)Math.Round((time[i] - time[i - 1]) / UsualGap(time, i - 1)));
            if (steps > 1) faults.Add(new(time[i - 1], steps - 1));
            number[i] = number[i - 1] + steps;
        }

        return new([.. time], number, [.. faults.OrderBy(f => f.AtS)]);
    }

    static bool LooksEven(ReadOnlySpan<double> pulseS)
    {
        for (var i = 2; i < pulseS.Length; i++)
            if (!Alike(pulseS[i] - pulseS[i - 1], pulseS[i - 1] - pulseS[i - 2])) return false;
        return true;
    }

    static bool Alike(double gap, double other) => gap < 1.5 * other && other < 1.5 * gap;

    /// <summary>Of two pulses that stand too near, the one goes without which the gap that is left is most like the others.</summary>
    static void TakeDoubles(List<double> time, List<PulseFault> faults)
    {
        for (var gap = 0; gap < time.Count - 1;)
        {
            var usual = UsualGap(time, gap);
            if (time.Count == 3 || time[gap + 1] - time[gap] > 0.6 * usual)
            {
                gap++;
                continue;
            }

            var withoutFirst = gap > 0 ? Math.Abs(time[gap + 1] - time[gap - 1] - usual) : double.PositiveInfinity;
            var withoutSecond = gap + 2 < time.Count ? Math.Abs(time[gap + 2] - time[gap] - usual) : double.PositiveInfinity;
            var superfluous = withoutFirst < withoutSecond ? gap : gap + 1;
            faults.Add(new(time[superfluous], -1));
            time.RemoveAt(superfluous);
            gap = Math.Max(0, gap - 1);
        }
    }

    /// <summary>What gap <paramref name="gap"/> (from pulse gap to gap + 1) should be, by its neighbours.</summary>
    static double UsualGap(List<double> time, int gap)
    {
        var (from, to) = (Math.Max(0, gap - Neighbours), Math.Min(time.Count - 2, gap + Neighbours));
        Span<double> logs = stackalloc double[2 * Neighbours + 1], growths = stackalloc double[2 * Neighbours + 1];
        var n = to - from + 1;
        for (var j = 0; j < n; j++) logs[j] = Math.Log(time[from + j + 1] - time[from + j]);
        for (var j = 1; j < n; j++) growths[j - 1] = logs[j] - logs[j - 1];
        var growth = n > 1 ? Math.Clamp(RowNoise.Median(growths[..(n - 1)]), -0.4, 0.4) : 0;
        for (var j = 0; j < n; j++) logs[j] += growth * (gap - from - j);
        return Math.Exp(RowNoise.Median(logs[..n]));
    }
}
