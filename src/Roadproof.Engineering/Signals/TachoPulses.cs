using System.Numerics;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Roadproof.Engineering.Signals;

/// <summary>Where a tacho's signal rises through a level.</summary>
/// <remarks>
/// The place between two samples by a straight line. A crossing counts only when the signal has been below <c>low</c> since the last one, so that noise on a slow
/// edge gives one pulse and not three. O(n), whole vectors.
/// </remarks>
public static class TachoPulses
{
    /// <summary>Level halfway up the signal's usual swing, and a low mark a fifth of the swing below it.</summary>
    /// <returns>Null where the signal hardly moves: no tacho.</returns>
    public static (float Level, float Low)? LevelOf(ReadOnlySpan<float> signal)
    {
        var every = Math.Max(1, signal.Length / 20_000);
        var sample = new float[(signal.Length + every - 1) / every];
        for (var i = 0; i < sample.Length; i++) sample[i] = signal[i * every];
        Array.Sort(sample);

        // Narrow pulses stand for a small share of the time: the top is looked for among the largest few.
        var (bottom, top) = (sample[sample.Length / 20], sample[^Math.Max(1, sample.Length / 500)]);
        var low = sample[sample.Length / 500];
        if (sample[sample.Length / 2] > (low + top) / 2) bottom = low; // narrow gaps in a high signal
        return top > bottom ? ((top + bottom) / 2, bottom + 0.3f * (top - bottom)) : null;
    }

    /// <summary>Crossings in samples from the first one on.</summary>
    public static double[] Rows(ReadOnlySpan<float> signal, float level, float low)
    {
        var room = System.Buffers.ArrayPool<double>.Shared.Rent(signal.Length / 2 + 1);
        var rows = room[..Find(signal, level, low, room)];
        System.Buffers.ArrayPool<double>.Shared.Return(room);
        return rows;
    }

    /// <summary>The same into room for half as many numbers as there are samples.</summary>
    /// <returns>How many were found.</returns>
    public static int Find(ReadOnlySpan<float> signal, float level, float low, Span<double> rows)
    {
        var (found, armed, i) = (0, true, 0);
        ref var first = ref MemoryMarshal.GetReference(signal);
        var (levels, lows) = (Vector512.Create(level), Vector512.Create(low));
        for (; i < signal.Length - Vector512<float>.Count; i += Vector512<float>.Count)
        {
            var here = Vector512.LoadUnsafe(ref first, (nuint)i);
            var rises = Vector512.LessThan(here, levels) & Vector512.GreaterThanOrEqual(Vector512.LoadUnsafe(ref first, (nuint)(i + 1)), levels);
            var risen = rises.ExtractMostSignificantBits();
            if (risen == 0 && armed) continue;

            var lowAt = Vector512.LessThanOrEqual(here, lows).ExtractMostSignificantBits();
            for (; risen != 0; risen &= risen - 1)
            {
                var at = BitOperations.TrailingZeroCount(risen);
                if (armed || (lowAt & ((2ul << at) - 1)) != 0) rows[found++] = Crossing(signal, i + at, level);
                armed = false;
                lowAt &= ~((2ul << at) - 1);
            }

            armed |= lowAt != 0;
        }

        for (; i < signal.Length - 1; i++)
        {
            armed |= signal[i] <= low;
            if (!(signal[i] < level && signal[i + 1] >= level)) continue;
            if (armed) rows[found++] = Crossing(signal, i, level);
            armed = false;
        }

        return found;
    }

    static double Crossing(ReadOnlySpan<float> signal, int i, float level) => i + ((double)level - signal[i]) / ((double)signal[i + 1] - signal[i]);
}
