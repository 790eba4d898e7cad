using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Roadproof.Engineering.Signals;

/// <summary>Reads a signal between its samples by the cubic through the four nearest ones (Lagrange).</summary>
/// <remarks>
/// For screening many captures: several times faster than <see cref="AngleResampling"/>, but it stops nothing from folding and reads a line at a tenth of the sample
/// rate 0.3 % low at worst, at a quarter 9 %. O(n), whole vectors. Source: textbook.
/// </remarks>
public static class CubicSamples
{
    /// <param name="places">Rising, counted in samples, each in [1, samples − 2).</param>
    /// <param name="read">One channel's values at the places, for each channel; as long as <paramref name="places"/>.</param>
    public static void Read(ReadOnlySpan<float> signal, ReadOnlySpan<double> places, Span<double> read)
    {
        if (read.Length < places.Length || places.Length > 0 && !(places[0] >= 1 && places[^1] < signal.Length - 2))
            throw new ArgumentException("Bug in Roadproof: a place lies where no four samples are.", nameof(places));

        ref var samples = ref MemoryMarshal.GetReference(signal);
        ref var place = ref MemoryMarshal.GetReference(places);
        ref var value = ref MemoryMarshal.GetReference(read);
        var k = 0;
        if (Avx.IsSupported)
            for (; k <= places.Length - 8; k += 8) Eight(ref samples, Vector512.LoadUnsafe(ref place, (nuint)k)).StoreUnsafe(ref value, (nuint)k);
        for (; k < places.Length; k++)
        {
            var i = (int)places[k];
            var f = places[k] - i;
            var four = signal.Slice(i - 1, 4);
            read[k] = -f * (f - 1) * (f - 2) / 6 * four[0] + (f + 1) * (f - 1) * (f - 2) / 2 * four[1] - (f + 1) * f * (f - 2) / 2 * four[2] + (f + 1) * f * (f - 1) / 6 * four[3];
        }
    }

    /// <summary>Eight places at once: the four neighbours of each are loaded as one vector, and the eight vectors turned into four of eight.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    static Vector512<double> Eight(ref float samples, Vector512<double> places)
    {
        var whole = Vector512.Floor(places);
        var f = places - whole;
        var rows = Vector512.ConvertToInt64(whole);
        Vector128<float> At(ref float s, int lane) => Vector128.LoadUnsafe(ref s, (nuint)(rows.GetElement(lane) - 1));

        var a = Vector256.Create(At(ref samples, 0), At(ref samples, 4));
        var b = Vector256.Create(At(ref samples, 1), At(ref samples, 5));
        var c = Vector256.Create(At(ref samples, 2), At(ref samples, 6));
        var d = Vector256.Create(At(ref samples, 3), At(ref samples, 7));
        var (ab, cd) = (Avx.UnpackLow(a, b).AsDouble(), Avx.UnpackLow(c, d).AsDouble());
        var (abHigh, cdHigh) = (Avx.UnpackHigh(a, b).AsDouble(), Avx.UnpackHigh(c, d).AsDouble());
        var s0 = Wide(Avx.UnpackLow(ab, cd).AsSingle());
        var s1 = Wide(Avx.UnpackHigh(ab, cd).AsSingle());
        var s2 = Wide(Avx.UnpackLow(abHigh, cdHigh).AsSingle());
        var s3 = Wide(Avx.UnpackHigh(abHigh, cdHigh).AsSingle());

        var (m1, m2, p1) = (f - Vector512.Create(1.0), f - Vector512.Create(2.0), f + Vector512.Create(1.0));
        var (outer, inner) = (f * m1 * (1.0 / 6), p1 * m2 * 0.5);
        return Vector512.FusedMultiplyAdd(outer, p1 * s3 - m2 * s0, inner * (m1 * s1 - f * s2));
    }

    static Vector512<double> Wide(Vector256<float> four)
    {
        var (lower, upper) = Vector256.Widen(four);
        return Vector512.Create(lower, upper);
    }
}
