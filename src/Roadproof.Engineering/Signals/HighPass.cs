using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Roadproof.Engineering.Signals;

/// <summary>Takes away what is slower than a corner frequency, without shifting the rest in time.</summary>
/// <remarks>
/// Symmetric filter of 127 weights (Blackman-Harris windowed sinc): below half the corner less than 0.1 % passes where the corner is above 1/16 of the sample rate;
/// O(n·127), whole vectors. The first and last 63 samples are left out.
/// </remarks>
public static class HighPass
{
    public const int Reach = 63;

    /// <returns>Shape [n − 126]; sample i belongs to sample i + 63 of the signal.</returns>
    public static float[] Filter(ReadOnlySpan<float> signal, double rateHz, double cornerHz)
    {
        var filtered = new float[Math.Max(0, signal.Length - 2 * Reach)];
        var weights = Weights(cornerHz / rateHz);
        ref var first = ref MemoryMarshal.GetReference(signal);
        var i = 0;
        for (; i <= filtered.Length - Vector512<float>.Count; i += Vector512<float>.Count)
        {
            var sum = Vector512<float>.Zero;
            for (var k = 0; k < weights.Length; k++) sum = Vector512.FusedMultiplyAdd(Vector512.LoadUnsafe(ref first, (nuint)(i + k)), Vector512.Create(weights[k]), sum);
            sum.CopyTo(filtered, i);
        }

        for (; i < filtered.Length; i++)
            for (var k = 0; k < weights.Length; k++) filtered[i] += signal[i + k] * weights[k];
        return filtered;
    }

    static float[] Weights(double corner)
    {
        var low = new double[2 * Reach + 1];
        var window = Window.BlackmanHarris.Of(2 * Reach + 2);
        for (var k = 0; k < low.Length; k++)
        {
            var x = k - Reach;
            low[k] = (x == 0 ? 2 * corner : Math.Sin(2 * Math.PI * corner * x) / (Math.PI * x)) * window[k + 1];
        }

        var sum = low.Sum();
        return [.. low.Select((w, k) => (float)((k == Reach ? 1 : 0) - w / sum))];
    }
}
