using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Roadproof.Engineering.Signals;

/// <summary>Mean, rms about zero, standard deviation, kurtosis (m4/m2², 3 for Gaussian noise) and crest factor (peak over rms) of a signal.</summary>
/// <remarks>Population moments about the mean, sums in double. Two passes, O(n), whole vectors.</remarks>
public readonly record struct Moments(double Mean, double Rms, double StandardDeviation, double Kurtosis, double Crest)
{
    /// <exception cref="ArgumentException">No samples.</exception>
    public static Moments Of(ReadOnlySpan<float> samples)
    {
        if (samples.Length == 0) throw new ArgumentException("A signal without samples has no moments.", nameof(samples));

        var mean = MeanOf(samples);
        var centre = Vector512.Create(mean);
        var (sum2, sum4, low, high) = (Vector512<double>.Zero, Vector512<double>.Zero, Vector512.Create(double.PositiveInfinity), Vector512.Create(double.NegativeInfinity));
        ref var first = ref MemoryMarshal.GetReference(samples);
        var i = 0;
        for (; i <= samples.Length - Vector512<double>.Count; i += Vector512<double>.Count)
        {
            var d = Widen(ref first, i) - centre;
            var square = d * d;
            sum2 += square;
            sum4 += square * square;
            low = Vector512.Min(low, d);
            high = Vector512.Max(high, d);
        }

        double m2 = Vector512.Sum(sum2), m4 = Vector512.Sum(sum4), least = double.PositiveInfinity, most = double.NegativeInfinity;
        for (var lane = 0; lane < Vector512<double>.Count; lane++) (least, most) = (Math.Min(least, low[lane]), Math.Max(most, high[lane]));
        for (; i < samples.Length; i++)
        {
            var d = samples[i] - mean;
            (m2, m4, least, most) = (m2 + d * d, m4 + d * d * d * d, Math.Min(least, d), Math.Max(most, d));
        }

        (m2, m4) = (m2 / samples.Length, m4 / samples.Length);
        var rms = Math.Sqrt(m2 + mean * mean);
        return new(mean, rms, Math.Sqrt(m2), m4 / (m2 * m2), Math.Max(Math.Abs(least + mean), Math.Abs(most + mean)) / rms);
    }

    public static double MeanOf(ReadOnlySpan<float> samples)
    {
        ref var first = ref MemoryMarshal.GetReference(samples);
        var sums = Vector512<double>.Zero;
        var i = 0;
        for (; i <= samples.Length - Vector512<double>.Count; i += Vector512<double>.Count) sums += Widen(ref first, i);
        var sum = Vector512.Sum(sums);
        for (; i < samples.Length; i++) sum += samples[i];
        return sum / samples.Length;
    }

    public static double MeanOf(ReadOnlySpan<double> samples)
    {
        ref var first = ref MemoryMarshal.GetReference(samples);
        var sums = Vector512<double>.Zero;
        var i = 0;
        for (; i <= samples.Length - Vector512<double>.Count; i += Vector512<double>.Count) sums += Vector512.LoadUnsafe(ref first, (nuint)i);
        var sum = Vector512.Sum(sums);
        for (; i < samples.Length; i++) sum += samples[i];
        return sum / samples.Length;
    }

    static Vector512<double> Widen(ref float first, int i)
    {
        var (lower, upper) = Vector256.Widen(Vector256.LoadUnsafe(ref first, (nuint)i));
        return Vector512.Create(lower, upper);
    }
}
