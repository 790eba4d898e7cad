using System.Collections.Concurrent;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Roadproof.Engineering.Signals;

/// <summary>The discrete Fourier transform X[k] = Σ x[n]·exp(−2πi·k·n/N) of a power-of-two length.</summary>
/// <remarks>
/// Relative error about 1e-15·log2 N. O(N log N) time, 2 N doubles of rented room. Plans are shared between threads and never change.
/// Stockham's self-sorting form: radix 4, one last radix-2 step where N is no power of four; real and imaginary parts apart, so that every step is whole vectors.
/// Source: Van Loan, Computational Frameworks for the Fast Fourier Transform, 1992, section 1.7 (from memory). Check: the plain sum of the definition.
/// </remarks>
public sealed class Fft
{
    static readonly ConcurrentDictionary<int, Fft> Plans = new();

    readonly List<double[]> turnsOfStep = []; // for each radix-4 step: cos, sin of w, w², w³, six runs of n/4
    readonly double[] realTurns; // cos, sin of −π·k/N, k = 0 … N/2, in pairs

    Fft(int length)
    {
        Length = length;
        for (var n = length; n >= 4; n /= 4) turnsOfStep.Add(TurnsOf(n));
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
        foreach (var turns in turnsOfStep)
        {
            Radix4(n, s, turns, fromRe, fromIm, toRe, toIm);
            Swap(ref fromRe, ref toRe);
            Swap(ref fromIm, ref toIm);
            (n, s) = (n / 4, s * 4);
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

    static double[] TurnsOf(int n)
    {
        var m = n / 4;
        var turns = new double[6 * m];
        for (var p = 0; p < m; p++)
        {
            for (var power = 1; power <= 3; power++)
            {
                var (sin, cos) = Math.SinCos(-2 * Math.PI * power * p / n);
                turns[(2 * power - 2) * m + p] = cos;
                turns[(2 * power - 1) * m + p] = sin;
            }
        }

        return turns;
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
