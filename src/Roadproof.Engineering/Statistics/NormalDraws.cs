using System.Numerics;

namespace Roadproof.Engineering.Statistics;

/// <summary>Random draws that are the same for the same seed on every machine.</summary>
/// <remarks>
/// Uniform: xoshiro256++ started by SplitMix64 (Blackman, Vigna 2019, from memory). Normal: Marsaglia's polar method, exact up to rounding.
/// Not for secrets.
/// </remarks>
public sealed class NormalDraws
{
    ulong a, b, c, d;
    double kept = double.NaN;

    public NormalDraws(ulong seed) => (a, b, c, d) = (Split(ref seed), Split(ref seed), Split(ref seed), Split(ref seed));

    /// <summary>A value in [0, 1).</summary>
    public double NextUniform() => (Next() >> 11) * (1.0 / (1UL << 53));

    /// <summary>A value of the standard normal distribution.</summary>
    public double Next01()
    {
        if (!double.IsNaN(kept))
        {
            var value = kept;
            kept = double.NaN;
            return value;
        }

        double x, y, square;
        do
        {
            x = 2 * NextUniform() - 1;
            y = 2 * NextUniform() - 1;
            square = x * x + y * y;
        }
        while (square is >= 1 or 0);

        var scale = Math.Sqrt(-2 * Math.Log(square) / square);
        kept = y * scale;
        return x * scale;
    }

    public void Fill(Span<double> values)
    {
        for (var i = 0; i < values.Length; i++) values[i] = Next01();
    }

    ulong Next()
    {
        var result = BitOperations.RotateLeft(a + d, 23) + a;
        var t = b << 17;
        c ^= a;
        d ^= b;
        b ^= c;
        a ^= d;
        c ^= t;
        d = BitOperations.RotateLeft(d, 45);
        return result;
    }

    static ulong Split(ref ulong state)
    {
        var z = state += 0x9E3779B97F4A7C15;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
        return z ^ (z >> 31);
    }
}
