namespace Roadproof.Engineering.Signals;

/// <summary>One line of a signal that is tied to a shaft: its peak amplitude and the uncertainty that the noise beside it gives.</summary>
/// <remarks>
/// The samples are turned back by order·angle, which brings the line to standstill, summed over sixteenths of a turn and weighted by a Hann window over whole turns:
/// exact for a line at any order and speed, with no resampling error. The noise is the median amplitude at eight orders 4 to 11 lines beside it
/// (Rayleigh distributed: median = 1.1774·u), so that a neighbouring line does not count as noise.
/// Lines nearer than 2/turns of an order cannot be told apart. O(n).
/// </remarks>
public static class OrderLine
{
    const int PartsPerTurn = 16;
    static readonly double RayleighMedian = Math.Sqrt(2 * Math.Log(2));

    /// <param name="signal">Shape [n].</param>
    /// <param name="angleRad">Angle of the order's shaft, unwrapped and rising, shape [n].</param>
    public static Reading Of(ReadOnlySpan<float> signal, ReadOnlySpan<double> angleRad, double order)
    {
        var turns = (int)Math.Floor((angleRad[^1] - angleRad[0]) / (2 * Math.PI));
        if (turns < 1) return Reading.None;

        var parts = turns * PartsPerTurn;
        double[] re = new double[parts], im = new double[parts], count = new double[parts];
        var startRad = angleRad[0];
        for (var i = 0; i < signal.Length; i++)
        {
            var turnedRad = angleRad[i] - startRad;
            var part = (int)(turnedRad * (PartsPerTurn / (2 * Math.PI)));
            if (part >= parts) break;
            var (sin, cos) = Math.SinCos(order * turnedRad);
            re[part] += signal[i] * cos;
            im[part] -= signal[i] * sin;
            count[part]++;
        }

        var window = Window.Hann.Of(parts);
        var amplitude = Amplitude(re, im, count, window, 0);
        Span<double> beside = stackalloc double[16];
        for (var k = 0; k < 8; k++)
        {
            beside[2 * k] = Amplitude(re, im, count, window, (4.0 + k) / turns);
            beside[2 * k + 1] = Amplitude(re, im, count, window, -(4.0 + k) / turns);
        }

        beside.Sort();
        return new(amplitude, (beside[7] + beside[8]) / 2 / RayleighMedian);
    }

    static double Amplitude(double[] re, double[] im, double[] count, double[] window, double besideOrder)
    {
        double sumRe = 0, sumIm = 0, weight = 0;
        for (var p = 0; p < re.Length; p++)
        {
            if (count[p] == 0) continue;
            var (sin, cos) = Math.SinCos(-2 * Math.PI * besideOrder * (p + 0.5) / PartsPerTurn);
            var w = window[p] / count[p]; // each part weighs by its angle, however many samples fell into it
            sumRe += w * (re[p] * cos - im[p] * sin);
            sumIm += w * (re[p] * sin + im[p] * cos);
            weight += window[p];
        }

        return 2 * Math.Sqrt(sumRe * sumRe + sumIm * sumIm) / weight;
    }
}
