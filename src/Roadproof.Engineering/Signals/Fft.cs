using System.Collections.Concurrent;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Roadproof.Engineering.Signals;

/// <summary>The discrete Fourier transform X[k] = Σ x[n]·exp(−2πi·k·n/N) of a power-of-two length.</summary>
/// <remarks>
/// Relative error about 1e-15·log2 N. O(N log N) time, 2 N doubles of rented room. Plans are shared between threads and never change.
/// Stockham's self-sorting form: radix 8 as often as it goes, then radix 4 or 2; real and imaginary parts apart, so that every step is whole vectors. The first step,
/// where neighbours in a vector belong to different butterflies, turns its results about before it stores them.
/// Source: Van Loan, Computational Frameworks for the Fast Fourier Transform, 1992, section 1.7 (from memory). Check: the plain sum of the definition.
/// </remarks>
public sealed class Fft
{
    static readonly ConcurrentDictionary<int, Fft> Plans = new();

    /// <summary>Steps of radix 8 need whole vectors in the first of them.</summary>
    const int LeastForRadix8 = 64;

    readonly List<(int Radix, double[] Turns)> steps = []; // turns: cos, sin of w, w², … in runs of n/radix
    readonly double[] realTurns; // cos, sin of −π·k/N, k = 0 … N/2, in pairs

    Fft(int length)
    {
        Length = length;
        var n = length;
        while (n > 2)
        {
            // What three does not divide evenly is left to one or two steps of radix 4 at the end.
            var radix = length >= LeastForRadix8 && n >= 8 && n != 16 ? 8 : 4;
            steps.Add((radix, TurnsOf(n, radix)));
            n /= radix;
        }

        realTurns = new double[length + 2];
        for (var k = 0; k <= length / 2; k++) (realTurns[2 * k + 1], realTurns[2 * k]) = Math.SinCos(-Math.PI * k / length);
    }

    public int Length { get; }

    /// <exception cref="ArgumentException">The length is no power of two.</exception>
    public static Fft OfLength(int length) => length >= 1 && (length & (length - 1)) == 0
        ? Plans.GetOrAdd(length, static n => new(n))
        : throw new ArgumentException($"A transform's length is a power of two, not {length.ToString(System.Globalization.CultureInfo.InvariantCulture)}.", nameof(length));

    /// <summary>Transforms in place; both of shape [N].</summary>
    public void Forward(Span<double> re, Span<double> im)
    {
        if (re.Length != Length || im.Length != Length) throw new ArgumentException("Bug in Roadproof: a transform was given parts of another length.", nameof(re));

        var room = System.Buffers.ArrayPool<double>.Shared.Rent(2 * Length);
        Span<double> otherRe = room.AsSpan(0, Length), otherIm = room.AsSpan(Length, Length);
        Span<double> fromRe = re, fromIm = im, toRe = otherRe, toIm = otherIm;
        var (n, s) = (Length, 1);
        foreach (var (radix, turns) in steps)
        {
            if (radix == 8) Radix8(n, s, turns, fromRe, fromIm, toRe, toIm);
            else Radix4(n, s, turns, fromRe, fromIm, toRe, toIm);
            Swap(ref fromRe, ref toRe);
            Swap(ref fromIm, ref toIm);
            (n, s) = (n / radix, s * radix);
        }

        if (n == 2)
        {
            Radix2(s, fromRe, toRe);
            Radix2(s, fromIm, toIm);
            Swap(ref fromRe, ref toRe);
            Swap(ref fromIm, ref toIm);
        }

        if (fromRe != re)
        {
            fromRe.CopyTo(re);
            fromIm.CopyTo(im);
        }

        System.Buffers.ArrayPool<double>.Shared.Return(room);
    }

    /// <summary>The way back, in place: x[n] = Σ X[k]·exp(+2πi·k·n/N)/N.</summary>
    public void Backward(Span<double> re, Span<double> im)
    {
        Forward(im, re); // with the parts exchanged the sign of the exponent turns
        foreach (ref var x in re) x /= Length;
        foreach (ref var x in im) x /= Length;
    }

    /// <summary>Transforms a real signal of shape [2N]; the bins 0 … N go to <paramref name="re"/> and <paramref name="im"/>, each of shape [N + 1].</summary>
    public void ForwardReal(ReadOnlySpan<double> signal, Span<double> re, Span<double> im)
    {
        if (signal.Length != 2 * Length || re.Length != Length + 1 || im.Length != Length + 1)
            throw new ArgumentException("Bug in Roadproof: a real transform needs 2 N samples and N + 1 bins.", nameof(signal));

        // Even samples as real, odd as imaginary part: one transform of half the length, then the two are taken apart.
        for (var k = 0; k < Length; k++) (re[k], im[k]) = (signal[2 * k], signal[2 * k + 1]);
        Forward(re[..Length], im[..Length]);
        (re[Length], im[Length]) = (re[0] - im[0], 0);
        (re[0], im[0]) = (re[0] + im[0], 0);
        for (var k = 1; k <= Length / 2; k++)
        {
            var j = Length - k;
            var (evenRe, evenIm) = ((re[k] + re[j]) / 2, (im[k] - im[j]) / 2);
            var (oddRe, oddIm) = ((im[k] + im[j]) / 2, (re[j] - re[k]) / 2);
            var (cos, sin) = (realTurns[2 * k], realTurns[2 * k + 1]);
            var (turnedRe, turnedIm) = (oddRe * cos - oddIm * sin, oddRe * sin + oddIm * cos);
            (re[k], im[k]) = (evenRe + turnedRe, evenIm + turnedIm);
            (re[j], im[j]) = (evenRe - turnedRe, turnedIm - evenIm);
        }
    }

    static double[] TurnsOf(int n, int radix)
    {
        var m = n / radix;
        var turns = new double[2 * (radix - 1) * m];
        for (var p = 0; p < m; p++)
        {
            for (var power = 1; power < radix; power++)
            {
                var (sin, cos) = Math.SinCos(-2 * Math.PI * power * p / n);
                turns[(2 * power - 2) * m + p] = cos;
                turns[(2 * power - 1) * m + p] = sin;
            }
        }

        return turns;
    }

    /// <summary>A vector's lanes are eight neighbouring butterflies p in the first step (s = 1), eight neighbours q of one butterfly in all others.</summary>
    static void Radix8(int n, int s, double[] turns, ReadOnlySpan<double> xr, ReadOnlySpan<double> xi, Span<double> yr, Span<double> yi)
    {
        var m = n / 8;
        ref var c = ref MemoryMarshal.GetArrayDataReference(turns);
        ref var fr = ref MemoryMarshal.GetReference(xr);
        ref var fi = ref MemoryMarshal.GetReference(xi);
        ref var tr = ref MemoryMarshal.GetReference(yr);
        ref var ti = ref MemoryMarshal.GetReference(yi);
        var half = Vector512.Create(Math.Sqrt(0.5));
        var apart = s * m;
        for (var p = 0; p < m; p += s == 1 ? 8 : 1)
        {
            for (var q = 0; q < s; q += 8)
            {
                // Two radix-4 butterflies over the even and the odd inputs, then the pairs of both.
                var at = s * p + q;
                Four(ref fr, ref fi, at, 2 * apart, out var e0r, out var e0i, out var e1r, out var e1i, out var e2r, out var e2i, out var e3r, out var e3i);
                Four(ref fr, ref fi, at + apart, 2 * apart, out var o0r, out var o0i, out var o1r, out var o1i, out var o2r, out var o2i, out var o3r, out var o3i);
                (o1r, o1i) = ((o1r + o1i) * half, (o1i - o1r) * half); // times exp(−πi/4)
                (o2r, o2i) = (o2i, -o2r);
                (o3r, o3i) = ((o3i - o3r) * half, -(o3r + o3i) * half);
                var (y0r, y0i, y4r, y4i) = (e0r + o0r, e0i + o0i, e0r - o0r, e0i - o0i);
                var (y1r, y1i, y5r, y5i) = (e1r + o1r, e1i + o1i, e1r - o1r, e1i - o1i);
                var (y2r, y2i, y6r, y6i) = (e2r + o2r, e2i + o2i, e2r - o2r, e2i - o2i);
                var (y3r, y3i, y7r, y7i) = (e3r + o3r, e3i + o3i, e3r - o3r, e3i - o3i);
                if (s == 1)
                {
                    Turn(ref y1r, ref y1i, Vector512.LoadUnsafe(ref c, (nuint)p), Vector512.LoadUnsafe(ref c, (nuint)(m + p)));
                    Turn(ref y2r, ref y2i, Vector512.LoadUnsafe(ref c, (nuint)(2 * m + p)), Vector512.LoadUnsafe(ref c, (nuint)(3 * m + p)));
                    Turn(ref y3r, ref y3i, Vector512.LoadUnsafe(ref c, (nuint)(4 * m + p)), Vector512.LoadUnsafe(ref c, (nuint)(5 * m + p)));
                    Turn(ref y4r, ref y4i, Vector512.LoadUnsafe(ref c, (nuint)(6 * m + p)), Vector512.LoadUnsafe(ref c, (nuint)(7 * m + p)));
                    Turn(ref y5r, ref y5i, Vector512.LoadUnsafe(ref c, (nuint)(8 * m + p)), Vector512.LoadUnsafe(ref c, (nuint)(9 * m + p)));
                    Turn(ref y6r, ref y6i, Vector512.LoadUnsafe(ref c, (nuint)(10 * m + p)), Vector512.LoadUnsafe(ref c, (nuint)(11 * m + p)));
                    Turn(ref y7r, ref y7i, Vector512.LoadUnsafe(ref c, (nuint)(12 * m + p)), Vector512.LoadUnsafe(ref c, (nuint)(13 * m + p)));
                    StoreAcross(ref Unsafe.Add(ref tr, 8 * p), y0r, y1r, y2r, y3r, y4r, y5r, y6r, y7r);
                    StoreAcross(ref Unsafe.Add(ref ti, 8 * p), y0i, y1i, y2i, y3i, y4i, y5i, y6i, y7i);
                    continue;
                }

                Turn(ref y1r, ref y1i, Vector512.Create(Unsafe.Add(ref c, p)), Vector512.Create(Unsafe.Add(ref c, m + p)));
                Turn(ref y2r, ref y2i, Vector512.Create(Unsafe.Add(ref c, 2 * m + p)), Vector512.Create(Unsafe.Add(ref c, 3 * m + p)));
                Turn(ref y3r, ref y3i, Vector512.Create(Unsafe.Add(ref c, 4 * m + p)), Vector512.Create(Unsafe.Add(ref c, 5 * m + p)));
                Turn(ref y4r, ref y4i, Vector512.Create(Unsafe.Add(ref c, 6 * m + p)), Vector512.Create(Unsafe.Add(ref c, 7 * m + p)));
                Turn(ref y5r, ref y5i, Vector512.Create(Unsafe.Add(ref c, 8 * m + p)), Vector512.Create(Unsafe.Add(ref c, 9 * m + p)));
                Turn(ref y6r, ref y6i, Vector512.Create(Unsafe.Add(ref c, 10 * m + p)), Vector512.Create(Unsafe.Add(ref c, 11 * m + p)));
                Turn(ref y7r, ref y7i, Vector512.Create(Unsafe.Add(ref c, 12 * m + p)), Vector512.Create(Unsafe.Add(ref c, 13 * m + p)));
                var to = 8 * s * p + q;
                y0r.StoreUnsafe(ref tr, (nuint)to);
                y0i.StoreUnsafe(ref ti, (nuint)to);
                y1r.StoreUnsafe(ref tr, (nuint)(to + s));
                y1i.StoreUnsafe(ref ti, (nuint)(to + s));
                y2r.StoreUnsafe(ref tr, (nuint)(to + 2 * s));
                y2i.StoreUnsafe(ref ti, (nuint)(to + 2 * s));
                y3r.StoreUnsafe(ref tr, (nuint)(to + 3 * s));
                y3i.StoreUnsafe(ref ti, (nuint)(to + 3 * s));
                y4r.StoreUnsafe(ref tr, (nuint)(to + 4 * s));
                y4i.StoreUnsafe(ref ti, (nuint)(to + 4 * s));
                y5r.StoreUnsafe(ref tr, (nuint)(to + 5 * s));
                y5i.StoreUnsafe(ref ti, (nuint)(to + 5 * s));
                y6r.StoreUnsafe(ref tr, (nuint)(to + 6 * s));
                y6i.StoreUnsafe(ref ti, (nuint)(to + 6 * s));
                y7r.StoreUnsafe(ref tr, (nuint)(to + 7 * s));
                y7i.StoreUnsafe(ref ti, (nuint)(to + 7 * s));
            }
        }
    }

    /// <summary>A radix-4 butterfly over inputs that lie <paramref name="apart"/>.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    static void Four(
        ref double fr, ref double fi, int at, int apart, out Vector512<double> y0r, out Vector512<double> y0i, out Vector512<double> y1r, out Vector512<double> y1i,
        out Vector512<double> y2r, out Vector512<double> y2i, out Vector512<double> y3r, out Vector512<double> y3i)
    {
        var (ar, ai) = (Vector512.LoadUnsafe(ref fr, (nuint)at), Vector512.LoadUnsafe(ref fi, (nuint)at));
        var (br, bi) = (Vector512.LoadUnsafe(ref fr, (nuint)(at + apart)), Vector512.LoadUnsafe(ref fi, (nuint)(at + apart)));
        var (cr, ci) = (Vector512.LoadUnsafe(ref fr, (nuint)(at + 2 * apart)), Vector512.LoadUnsafe(ref fi, (nuint)(at + 2 * apart)));
        var (dr, di) = (Vector512.LoadUnsafe(ref fr, (nuint)(at + 3 * apart)), Vector512.LoadUnsafe(ref fi, (nuint)(at + 3 * apart)));
        var (sumAr, sumAi, difAr, difAi) = (ar + cr, ai + ci, ar - cr, ai - ci);
        var (sumBr, sumBi, difBr, difBi) = (br + dr, bi + di, br - dr, bi - di);
        (y0r, y0i, y2r, y2i) = (sumAr + sumBr, sumAi + sumBi, sumAr - sumBr, sumAi - sumBi);
        (y1r, y1i, y3r, y3i) = (difAr + difBi, difAi - difBr, difAr - difBi, difAi + difBr);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    static void Turn(ref Vector512<double> re, ref Vector512<double> im, Vector512<double> cos, Vector512<double> sin) =>
        (re, im) = (Vector512.FusedMultiplyAdd(re, cos, -(im * sin)), Vector512.FusedMultiplyAdd(re, sin, im * cos));

    /// <summary>Stores eight vectors as columns: first the lane 0 of all, then the lane 1 …</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    static void StoreAcross(
        ref double to, Vector512<double> a, Vector512<double> b, Vector512<double> c, Vector512<double> d, Vector512<double> e, Vector512<double> f, Vector512<double> g, Vector512<double> h)
    {
        if (!Avx512F.IsSupported)
        {
            for (var lane = 0; lane < 8; lane++)
                Vector512.Create(a[lane], b[lane], c[lane], d[lane], e[lane], f[lane], g[lane], h[lane]).StoreUnsafe(ref to, (nuint)(8 * lane));
            return;
        }

        var (ab0, ab1, cd0, cd1) = (Avx512F.UnpackLow(a, b), Avx512F.UnpackHigh(a, b), Avx512F.UnpackLow(c, d), Avx512F.UnpackHigh(c, d));
        var (ef0, ef1, gh0, gh1) = (Avx512F.UnpackLow(e, f), Avx512F.UnpackHigh(e, f), Avx512F.UnpackLow(g, h), Avx512F.UnpackHigh(g, h));
        StorePairs(ref to, ab0, cd0, ef0, gh0);
        StorePairs(ref Unsafe.Add(ref to, 8), ab1, cd1, ef1, gh1);
    }

    /// <summary>Of each pair of columns the lanes 0, 2, 4, 6, sixteen numbers apart.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    static void StorePairs(ref double to, Vector512<double> ab, Vector512<double> cd, Vector512<double> ef, Vector512<double> gh)
    {
        var (left02, left13) = (Avx512F.Shuffle4x128(ab, cd, 0b10_00_10_00), Avx512F.Shuffle4x128(ab, cd, 0b11_01_11_01)); // ab0 ab2 cd0 cd2; ab1 ab3 cd1 cd3
        var (right02, right13) = (Avx512F.Shuffle4x128(ef, gh, 0b10_00_10_00), Avx512F.Shuffle4x128(ef, gh, 0b11_01_11_01));
        Avx512F.Shuffle4x128(left02, right02, 0b10_00_10_00).StoreUnsafe(ref to);
        Avx512F.Shuffle4x128(left13, right13, 0b10_00_10_00).StoreUnsafe(ref to, 16);
        Avx512F.Shuffle4x128(left02, right02, 0b11_01_11_01).StoreUnsafe(ref to, 32);
        Avx512F.Shuffle4x128(left13, right13, 0b11_01_11_01).StoreUnsafe(ref to, 48);
    }

    static void Radix4(int n, int s, double[] turns, ReadOnlySpan<double> xr, ReadOnlySpan<double> xi, Span<double> yr, Span<double> yi)
    {
        var m = n / 4;
        ref var c = ref MemoryMarshal.GetArrayDataReference(turns);
        ref var fr = ref MemoryMarshal.GetReference(xr);
        ref var fi = ref MemoryMarshal.GetReference(xi);
        ref var tr = ref MemoryMarshal.GetReference(yr);
        ref var ti = ref MemoryMarshal.GetReference(yi);
        for (var p = 0; p < m; p++)
        {
            double w1r = Unsafe.Add(ref c, p), w1i = Unsafe.Add(ref c, m + p), w2r = Unsafe.Add(ref c, 2 * m + p), w2i = Unsafe.Add(ref c, 3 * m + p);
            double w3r = Unsafe.Add(ref c, 4 * m + p), w3i = Unsafe.Add(ref c, 5 * m + p);
            int a = s * p, b = s * (p + m), e = s * (p + 2 * m), d = s * (p + 3 * m), y = 4 * s * p;
            var q = 0;
            for (; q <= s - Vector512<double>.Count; q += Vector512<double>.Count)
            {
                var (ar, ai) = (Vector512.LoadUnsafe(ref fr, (nuint)(a + q)), Vector512.LoadUnsafe(ref fi, (nuint)(a + q)));
                var (br, bi) = (Vector512.LoadUnsafe(ref fr, (nuint)(b + q)), Vector512.LoadUnsafe(ref fi, (nuint)(b + q)));
                var (cr, ci) = (Vector512.LoadUnsafe(ref fr, (nuint)(e + q)), Vector512.LoadUnsafe(ref fi, (nuint)(e + q)));
                var (dr, di) = (Vector512.LoadUnsafe(ref fr, (nuint)(d + q)), Vector512.LoadUnsafe(ref fi, (nuint)(d + q)));
                var (sumAr, sumAi, difAr, difAi) = (ar + cr, ai + ci, ar - cr, ai - ci);
                var (sumBr, sumBi, difBr, difBi) = (br + dr, bi + di, br - dr, bi - di);
                (sumAr + sumBr).StoreUnsafe(ref tr, (nuint)(y + q));
                (sumAi + sumBi).StoreUnsafe(ref ti, (nuint)(y + q));
                var (r, i) = (difAr + difBi, difAi - difBr);
                (r * w1r - i * w1i).StoreUnsafe(ref tr, (nuint)(y + s + q));
                (r * w1i + i * w1r).StoreUnsafe(ref ti, (nuint)(y + s + q));
                (r, i) = (sumAr - sumBr, sumAi - sumBi);
                (r * w2r - i * w2i).StoreUnsafe(ref tr, (nuint)(y + 2 * s + q));
                (r * w2i + i * w2r).StoreUnsafe(ref ti, (nuint)(y + 2 * s + q));
                (r, i) = (difAr - difBi, difAi + difBr);
                (r * w3r - i * w3i).StoreUnsafe(ref tr, (nuint)(y + 3 * s + q));
                (r * w3i + i * w3r).StoreUnsafe(ref ti, (nuint)(y + 3 * s + q));
            }

            for (; q < s; q++)
            {
                double ar = Unsafe.Add(ref fr, a + q), ai = Unsafe.Add(ref fi, a + q), br = Unsafe.Add(ref fr, b + q), bi = Unsafe.Add(ref fi, b + q);
                double cr = Unsafe.Add(ref fr, e + q), ci = Unsafe.Add(ref fi, e + q), dr = Unsafe.Add(ref fr, d + q), di = Unsafe.Add(ref fi, d + q);
                double sumAr = ar + cr, sumAi = ai + ci, difAr = ar - cr, difAi = ai - ci, sumBr = br + dr, sumBi = bi + di, difBr = br - dr, difBi = bi - di;
                Unsafe.Add(ref tr, y + q) = sumAr + sumBr;
                Unsafe.Add(ref ti, y + q) = sumAi + sumBi;
                double r = difAr + difBi, i = difAi - difBr;
                Unsafe.Add(ref tr, y + s + q) = r * w1r - i * w1i;
                Unsafe.Add(ref ti, y + s + q) = r * w1i + i * w1r;
                (r, i) = (sumAr - sumBr, sumAi - sumBi);
                Unsafe.Add(ref tr, y + 2 * s + q) = r * w2r - i * w2i;
                Unsafe.Add(ref ti, y + 2 * s + q) = r * w2i + i * w2r;
                (r, i) = (difAr - difBi, difAi + difBr);
                Unsafe.Add(ref tr, y + 3 * s + q) = r * w3r - i * w3i;
                Unsafe.Add(ref ti, y + 3 * s + q) = r * w3i + i * w3r;
            }
        }
    }

    static void Radix2(int s, ReadOnlySpan<double> x, Span<double> y)
    {
        for (var q = 0; q < s; q++) (y[q], y[q + s]) = (x[q] + x[q + s], x[q] - x[q + s]);
    }

    static void Swap(ref Span<double> a, ref Span<double> b)
    {
        var kept = a;
        a = b;
        b = kept;
    }
}
