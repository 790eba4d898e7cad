using System.Buffers;

namespace Roadproof.Engineering.Signals;

/// <summary>How strongly a band of a signal swings from moment to moment: a bearing or a tooth that strikes shows by how often it does, not by the tone that it rings with.</summary>
/// <param name="Magnitude">Of the band's analytic signal, in the signal's unit, shape [n − 2·skipped].</param>
/// <param name="Skipped">Samples left out at both ends, where the band's filter sees nothing yet.</param>
/// <param name="Kurtosis">Mean fourth power over the square of the mean square: 2 for Gaussian noise, 1 for a steady tone, more for blows.</param>
/// <remarks>
/// The spectrum outside the band and below zero is taken away (edges fall off as a cosine over a tenth of the band) and the rest transformed back.
/// Where no band is named, halves, quarters and eighths of what can be read are tried and the one with the largest kurtosis is taken (the idea of the kurtogram;
/// Antoni, from memory). O(n log n) for each band.
/// </remarks>
public sealed record Envelope(double FromHz, double ToHz, float[] Magnitude, int Skipped, double Kurtosis)
{
    /// <summary>The magnitude of one band.</summary>
    public static Envelope Of(ReadOnlySpan<float> signal, double rateHz, double fromHz, double toHz) => Of([(fromHz, toHz)], signal, rateHz);

    /// <summary>The magnitude of the band that holds the sharpest blows, between a lowest frequency and 0.4 of the rate.</summary>
    public static Envelope OfSharpest(ReadOnlySpan<float> signal, double rateHz, double lowestHz)
    {
        var bands = new List<(double, double)>();
        var widthHz = 0.4 * rateHz - lowestHz;
        foreach (var parts in (int[])[2, 4, 8])
            for (var k = 0; k < parts; k++) bands.Add((lowestHz + widthHz * k / parts, lowestHz + widthHz * (k + 1) / parts));
        return Of(bands, signal, rateHz);
    }

    static Envelope Of(List<(double FromHz, double ToHz)> bands, ReadOnlySpan<float> signal, double rateHz)
    {
        var n = (int)System.Numerics.BitOperations.RoundUpToPowerOf2((uint)Math.Max(64, signal.Length));
        var fft = Fft.OfLength(n);
        var room = ArrayPool<double>.Shared.Rent(4 * n);
        Span<double> re = room.AsSpan(0, n), im = room.AsSpan(n, n), bandRe = room.AsSpan(2 * n, n), bandIm = room.AsSpan(3 * n, n);
        re.Clear();
        im.Clear();
        var mean = Moments.MeanOf(signal);
        for (var i = 0; i < signal.Length; i++) re[i] = signal[i] - mean;
        fft.Forward(re, im);

        Envelope? sharpest = null;
        foreach (var (fromHz, toHz) in bands)
        {
            Pass(re, im, bandRe, bandIm, fromHz * n / rateHz, toHz * n / rateHz);
            fft.Backward(bandRe, bandIm);
            var skipped = Math.Min(signal.Length / 8, (int)Math.Ceiling(4 * rateHz / (toHz - fromHz)));
            var (square, fourth) = (0.0, 0.0);
            for (var i = skipped; i < signal.Length - skipped; i++)
            {
                var power = bandRe[i] * bandRe[i] + bandIm[i] * bandIm[i];
                (square, fourth) = (square + power, fourth + power * power);
            }

            var kurtosis = fourth * (signal.Length - 2 * skipped) / (square * square);
            if (sharpest is not null && kurtosis <= sharpest.Kurtosis) continue;
            var magnitude = new float[signal.Length - 2 * skipped];
            for (var i = 0; i < magnitude.Length; i++) magnitude[i] = (float)Math.Sqrt(bandRe[i + skipped] * bandRe[i + skipped] + bandIm[i + skipped] * bandIm[i + skipped]);
            sharpest = new(fromHz, toHz, magnitude, skipped, kurtosis);
        }

        ArrayPool<double>.Shared.Return(room);
        return sharpest!;
    }

    static void Pass(ReadOnlySpan<double> re, ReadOnlySpan<double> im, Span<double> bandRe, Span<double> bandIm, double from, double to)
    {
        bandRe.Clear();
        bandIm.Clear();
        var edge = Math.Max(1, (to - from) / 10);
        var last = Math.Min(re.Length / 2 - 1, (int)Math.Ceiling(to + edge));
        for (var k = Math.Max(1, (int)Math.Floor(from - edge)); k <= last; k++)
        {
            var outside = Math.Max(0, Math.Max(from - k, k - to)) / edge;
            var pass = outside >= 1 ? 0 : 1 + Math.Cos(Math.PI * outside); // twice the weight: the half below zero is gone
            (bandRe[k], bandIm[k]) = (pass * re[k], pass * im[k]);
        }
    }
}
