namespace Roadproof.Engineering.Signals;

/// <summary>A piece of a recorded channel as a picture of limited width can show it: nothing that sticks out is lost.</summary>
/// <param name="TimeS">Middle of each column, s; the sample's own time where every sample is shown.</param>
/// <param name="Minimum">Least sample of each column; NaN where the column has none.</param>
/// <param name="Maximum">Greatest sample of each column; NaN where the column has none.</param>
/// <param name="Samples">Samples between the ends asked for.</param>
/// <param name="Whole">Every sample is there: minimum and maximum are the same.</param>
public sealed record ThinnedTrace(double[] TimeS, double[] Minimum, double[] Maximum, int Samples, bool Whole);

/// <summary>Thins a trace to a number of columns by the least and greatest sample in each.</summary>
public static class Thinning
{
    /// <param name="timeS">Strictly rising, shape [n].</param>
    /// <param name="samples">Shape [n]; NaN where missing.</param>
    /// <param name="fromS">First time shown.</param>
    /// <param name="toS">Last time shown; after <paramref name="fromS"/>.</param>
    /// <param name="columns">At least 1.</param>
    /// <remarks>O(log n + samples shown). Columns are equally wide in time, so that a gap between windows stays a gap.</remarks>
    /// <exception cref="ArgumentException">No columns, or ends that are not in order.</exception>
    public static ThinnedTrace Of(ReadOnlySpan<double> timeS, ReadOnlySpan<float> samples, double fromS, double toS, int columns)
    {
        if (columns < 1) throw new ArgumentOutOfRangeException(nameof(columns), columns, "A trace has at least one column.");
        if (!(toS > fromS)) throw new ArgumentOutOfRangeException(nameof(toS), toS, "A trace ends after it begins.");

        var first = FirstAtOrAfter(timeS, fromS);
        var end = FirstAfter(timeS, toS);
        var shown = Math.Max(0, end - first);
        return shown <= 2 * columns ? Whole(timeS.Slice(first, shown), samples.Slice(first, shown)) : ByColumn(timeS[first..end], samples[first..end], fromS, toS, columns);
    }

    static ThinnedTrace Whole(ReadOnlySpan<double> timeS, ReadOnlySpan<float> samples)
    {
        var values = new double[samples.Length];
        for (var i = 0; i < values.Length; i++) values[i] = samples[i];
        return new(timeS.ToArray(), values, values, values.Length, true);
    }

    static ThinnedTrace ByColumn(ReadOnlySpan<double> timeS, ReadOnlySpan<float> samples, double fromS, double toS, int columns)
    {
        var edgesS = Edges(fromS, toS, columns);
        var (least, greatest) = Between(timeS, samples, edgesS);
        return new([.. least.Select((_, c) => (edgesS[c] + edgesS[c + 1]) / 2)], least, greatest, samples.Length, false);
    }

    /// <summary>Edges of equally wide columns, shape [columns + 1].</summary>
    public static double[] Edges(double fromS, double toS, int columns)
    {
        var widthS = (toS - fromS) / columns;
        return [.. Enumerable.Range(0, columns).Select(c => fromS + c * widthS), toS];
    }

    /// <summary>The least and greatest sample of each column between edges, the last of which belongs to the last column; NaN where a column has none.</summary>
    /// <param name="timeS">Strictly rising, shape [n].</param>
    /// <param name="samples">Shape [n]; NaN where missing.</param>
    /// <param name="edgesS">Rising, shape [columns + 1].</param>
    public static (double[] Least, double[] Greatest) Between(ReadOnlySpan<double> timeS, ReadOnlySpan<float> samples, ReadOnlySpan<double> edgesS)
    {
        var columns = edgesS.Length - 1;
        var (least, greatest) = (new double[columns], new double[columns]);
        var at = FirstAtOrAfter(timeS, edgesS[0]);
        for (var c = 0; c < columns; c++)
        {
            var end = c == columns - 1 ? FirstAfter(timeS, edgesS[^1]) : at + FirstAtOrAfter(timeS[at..], edgesS[c + 1]);
            (least[c], greatest[c]) = Ends(samples[at..Math.Max(at, end)]);
            at = end;
        }

        return (least, greatest);
    }

    static (double Least, double Greatest) Ends(ReadOnlySpan<float> samples)
    {
        var (least, greatest) = (float.PositiveInfinity, float.NegativeInfinity);
        foreach (var x in samples)
        {
            // A missing sample is neither less nor greater than anything.
            if (x < least) least = x;
            if (x > greatest) greatest = x;
        }

        return least > greatest ? (double.NaN, double.NaN) : (least, greatest);
    }

    static int FirstAtOrAfter(ReadOnlySpan<double> timeS, double t)
    {
        var i = timeS.BinarySearch(t);
        return i >= 0 ? i : ~i;
    }

    static int FirstAfter(ReadOnlySpan<double> timeS, double t)
    {
        var i = timeS.BinarySearch(t);
        return i >= 0 ? i + 1 : ~i;
    }
}
