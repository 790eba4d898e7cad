namespace Roadproof.Engineering.Signals;

/// <summary>An unbroken run of evenly sampled rows: [From, To), its first and last time, its rate.</summary>
public readonly record struct Segment(int From, int To, double FromS, double ToS, double RateHz)
{
    public int Count => To - From;

    /// <summary>Splits rows where a gap lies between them; a segment of one row has rate 0.</summary>
    /// <param name="timeS">Strictly rising, s, shape [n].</param>
    /// <remarks>A gap is a step of more than 1.5 times the usual one (the median over up to 1,001 steps spread over the rows).</remarks>
    public static List<Segment> Of(ReadOnlySpan<double> timeS)
    {
        var segments = new List<Segment>();
        if (timeS.Length == 0) return segments;

        var longestS = 1.5 * UsualStep(timeS);
        var from = 0;
        for (var i = 1; i <= timeS.Length; i++)
        {
            if (i < timeS.Length && timeS[i] - timeS[i - 1] <= longestS) continue;
            var lastS = timeS[i - 1] - timeS[from];
            segments.Add(new(from, i, timeS[from], timeS[i - 1], lastS > 0 ? (i - 1 - from) / lastS : 0));
            from = i;
        }

        return segments;
    }

    /// <summary>The rows whose times lie in [fromS, toS]; empty when there are none.</summary>
    public (int From, int To) Rows(ReadOnlySpan<double> timeS, double fromS, double toS)
    {
        var from = From + FirstNotBefore(timeS[From..To], fromS);
        var to = From + FirstNotBefore(timeS[From..To], Math.BitIncrement(toS));
        return (from, Math.Max(from, to));
    }

    static int FirstNotBefore(ReadOnlySpan<double> timeS, double s)
    {
        var found = timeS.BinarySearch(s);
        return found >= 0 ? found : ~found;
    }

    static double UsualStep(ReadOnlySpan<double> timeS)
    {
        if (timeS.Length < 2) return 0;
        var every = Math.Max(1, (timeS.Length - 1) / 1000);
        var steps = new List<double>(1001);
        for (var i = 1; i < timeS.Length; i += every) steps.Add(timeS[i] - timeS[i - 1]);
        steps.Sort();
        return steps[steps.Count / 2];
    }
}
