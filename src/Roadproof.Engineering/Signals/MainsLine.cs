namespace Roadproof.Engineering.Signals;

/// <summary>A line at a fixed frequency in a piece of a signal: what the mains leave in a cable.</summary>
/// <remarks>
/// The piece is cut into 16 blocks; each gives the line's size and phase under a Hann window. What all blocks agree on is the line, what they scatter about it its uncertainty: a line of a neighbouring
/// frequency runs through all phases and drops out. O(n); what is faster than 300 Hz is averaged away first.
/// </remarks>
public static class MainsLine
{
    const int Blocks = 16;
    const double EnoughHz = 600;
    const double LeastS = 0.5;

    /// <summary>Peak amplitude with its standard uncertainty; NaN where the piece is too short or sampled too slowly.</summary>
    /// <param name="timeS">Strictly rising and even within the piece, s, shape [n].</param>
    /// <param name="samples">Shape [n].</param>
    public static Reading In(ReadOnlySpan<double> timeS, ReadOnlySpan<float> samples, double fromS, double toS, double hz)
    {
        var from = FirstFrom(timeS, fromS);
        var count = FirstFrom(timeS, Math.BitIncrement(toS)) - from;
        if (count < 2) return Reading.None;
        var (startS, lastS) = (timeS[from], timeS[from + count - 1]);
        var rateHz = (count - 1) / (lastS - startS);
        if (lastS - startS < LeastS || 0.4 * rateHz < hz) return Reading.None;

        var averaged = Math.Max(1, (int)(rateHz / EnoughHz));
        var perBlock = count / averaged / Blocks;
        var window = Window.Hann.Of(perBlock);
        var stepRad = 2 * Math.PI * hz * averaged / rateHz;
        var means = new double[perBlock];
        Span<double> re = stackalloc double[Blocks], im = stackalloc double[Blocks];
        for (var b = 0; b < Blocks; b++)
        {
            var first = b * perBlock;
            for (var i = 0; i < perBlock; i++) means[i] = averaged == 1 ? samples[from + first + i] : Moments.MeanOf(samples.Slice(from + (first + i) * averaged, averaged));
            var mean = Moments.MeanOf(means);
            var weights = 0.0;
            for (var i = 0; i < perBlock; i++)
            {
                var (sin, cos) = Math.SinCos((first + i + 0.5) * stepRad);
                var x = window[i] * (means[i] - mean);
                re[b] += x * cos;
                im[b] -= x * sin;
                weights += window[i];
            }

            (re[b], im[b]) = (2 * re[b] / weights, 2 * im[b] / weights);
        }

        var (meanRe, meanIm) = (Moments.MeanOf(re), Moments.MeanOf(im));
        var scatter = 0.0;
        for (var b = 0; b < Blocks; b++) scatter += (re[b] - meanRe) * (re[b] - meanRe) + (im[b] - meanIm) * (im[b] - meanIm);

        // The mean over neighbours keeps sin(x)/x of the line, x half the line's turn over them.
        var kept = averaged == 1 ? 1 : Math.Sin(stepRad / 2) / (stepRad / 2);
        return new(Math.Sqrt(meanRe * meanRe + meanIm * meanIm) / kept, Math.Sqrt(scatter / 2 / (Blocks - 1) / Blocks) / kept);
    }

    static int FirstFrom(ReadOnlySpan<double> timeS, double s)
    {
        var i = timeS.BinarySearch(s);
        return i >= 0 ? i : ~i;
    }
}
