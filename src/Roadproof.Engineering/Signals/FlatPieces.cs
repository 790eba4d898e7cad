using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Roadproof.Engineering.Signals;

/// <summary>Where a signal stands still to the last digit: at its ends, and anywhere.</summary>
/// <param name="Longest">Samples of the longest piece of equal samples.</param>
/// <param name="LongestFrom">Its first sample.</param>
/// <param name="Usual">Mean length of the pieces that do not rest at an end: 1 for a signal that differs from sample to sample, more for one of coarse resolution.</param>
/// <remarks>O(n), whole vectors where neighbours differ. An instrument that is driven beyond its range returns to the very same number again and again; noise does not.</remarks>
public sealed record FlatPieces(int Longest, int LongestFrom, double Usual, FlatEnd Low, FlatEnd High)
{
    /// <summary>Shorter pieces of equal samples happen by chance.</summary>
    const int LeastAtEnd = 3;

    /// <param name="samples">Shape [n], without NaN.</param>
    public static FlatPieces Of(ReadOnlySpan<float> samples)
    {
        var (low, high) = Ends(samples);
        FlatEnd atLow = new(low, 0, 0), atHigh = new(high, 0, 0);
        var (longest, longestFrom, pieces, inside) = (0, 0, 0, 0);
        ref var first = ref MemoryMarshal.GetReference(samples);
        for (var from = 0; from < samples.Length;)
        {
            // Sixteen that all differ from their next are sixteen pieces of one.
            if (from + Vector512<float>.Count < samples.Length && !Vector512.EqualsAny(Vector512.LoadUnsafe(ref first, (nuint)from), Vector512.LoadUnsafe(ref first, (nuint)(from + 1))))
            {
                (pieces, inside, from) = (pieces + Vector512<float>.Count, inside + Vector512<float>.Count, from + Vector512<float>.Count);
                continue;
            }

            var x = samples[from];
            var to = from + 1;
            while (to < samples.Length && samples[to] == x) to++;
            var length = to - from;
            if (length > longest) (longest, longestFrom) = (length, from);
            if (length >= LeastAtEnd && x == high) atHigh = atHigh.With(length);
            else if (length >= LeastAtEnd && x == low) atLow = atLow.With(length);
            else (pieces, inside) = (pieces + 1, inside + length);
            from = to;
        }

        return new(Math.Max(longest, 1), longestFrom, pieces == 0 ? samples.Length : (double)inside / pieces, atLow, atHigh);
    }

    static (float Low, float High) Ends(ReadOnlySpan<float> samples)
    {
        var (lows, highs) = (Vector512.Create(float.PositiveInfinity), Vector512.Create(float.NegativeInfinity));
        ref var first = ref MemoryMarshal.GetReference(samples);
        var i = 0;
        for (; i <= samples.Length - Vector512<float>.Count; i += Vector512<float>.Count)
        {
            var x = Vector512.LoadUnsafe(ref first, (nuint)i);
            (lows, highs) = (Vector512.Min(lows, x), Vector512.Max(highs, x));
        }

        var (low, high) = (float.PositiveInfinity, float.NegativeInfinity);
        for (var lane = 0; lane < Vector512<float>.Count; lane++) (low, high) = (Math.Min(low, lows[lane]), Math.Max(high, highs[lane]));
        for (; i < samples.Length; i++) (low, high) = (Math.Min(low, samples[i]), Math.Max(high, samples[i]));
        return (low, high);
    }
}

/// <summary>How often a signal rests at its least or greatest value.</summary>
/// <param name="Pieces">Pieces of three equal samples or more.</param>
/// <param name="Samples">Samples in them.</param>
public readonly record struct FlatEnd(float Level, int Pieces, int Samples)
{
    internal FlatEnd With(int length) => new(Level, Pieces + 1, Samples + length);
}
