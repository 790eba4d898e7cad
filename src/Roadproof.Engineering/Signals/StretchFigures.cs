namespace Roadproof.Engineering.Signals;

/// <summary>What a recorded channel did between two times, from every sample there; all in the channel's unit.</summary>
/// <param name="Samples">Samples that were read.</param>
/// <param name="Missing">Samples of the stretch that hold no number.</param>
/// <param name="FirstS">Time of the first sample read; NaN where there is none, as all that follow.</param>
/// <param name="LastS">Time of the last one.</param>
/// <param name="Mean">With the uncertainty that the scatter of its blocks gives, see <see cref="SteadyMean"/>; NaN below 6 samples.</param>
/// <param name="Rms">About zero.</param>
/// <param name="StandardDeviation">Of single samples about their mean (population).</param>
public readonly record struct StretchFigures(int Samples, int Missing, double FirstS, double LastS, Reading Mean, double Minimum, double Maximum, double Rms, double StandardDeviation)
{
    public double PeakToPeak => Maximum - Minimum;

    /// <param name="timeS">Strictly rising, shape [n].</param>
    /// <param name="samples">Shape [n]; NaN where missing.</param>
    /// <param name="fromS">First time read; a sample at exactly this time counts.</param>
    /// <param name="toS">Last time read; a sample at exactly this time counts.</param>
    /// <remarks>O(log n + samples read). A stretch over a gap is read as if its pieces touched: its samples count alike, whatever time lies between them.</remarks>
    public static StretchFigures Of(ReadOnlySpan<double> timeS, ReadOnlySpan<float> samples, double fromS, double toS)
    {
        var first = FirstNotBefore(timeS, fromS);
        var inside = samples[first..Math.Max(first, FirstNotBefore(timeS, Math.BitIncrement(toS)))];
        var times = timeS.Slice(first, inside.Length);
        var read = Finite(inside);
        if (read.Length == 0) return new(0, inside.Length, double.NaN, double.NaN, Reading.None, double.NaN, double.NaN, double.NaN, double.NaN);

        var moments = Moments.Of(read);
        var (least, most) = (float.PositiveInfinity, float.NegativeInfinity);
        foreach (var x in read) (least, most) = (Math.Min(least, x), Math.Max(most, x));
        var (head, tail) = (0, inside.Length - 1);
        while (!float.IsFinite(inside[head])) head++;
        while (!float.IsFinite(inside[tail])) tail--;
        return new(read.Length, inside.Length - read.Length, times[head], times[tail], SteadyMean.Of(read), least, most, moments.Rms, moments.StandardDeviation);
    }

    static ReadOnlySpan<float> Finite(ReadOnlySpan<float> samples)
    {
        var missing = 0;
        foreach (var x in samples)
            if (!float.IsFinite(x)) missing++;
        if (missing == 0) return samples;

        var (read, at) = (new float[samples.Length - missing], 0);
        foreach (var x in samples)
            if (float.IsFinite(x)) read[at++] = x;
        return read;
    }

    static int FirstNotBefore(ReadOnlySpan<double> timeS, double s)
    {
        var i = timeS.BinarySearch(s);
        return i >= 0 ? i : ~i;
    }
}
