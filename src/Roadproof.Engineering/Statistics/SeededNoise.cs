using System.Numerics;

namespace Roadproof.Engineering.Statistics;

/// <summary>Random numbers that are the same on every run: one stream for each seed and purpose, so that a channel more does not move the others.</summary>
/// <remarks>
/// Uniform: xoshiro256++ (Blackman, Vigna 2019), its state filled by splitmix64. Normal: ziggurat with 256 layers (Marsaglia, Tsang 2000).
/// Not a secret; not safe for several threads.
/// </remarks>
public sealed class SeededNoise
{
    const double Right = 3.6541528853610088;
    static readonly Layers Ziggurat = Layers.Build();

    ulong _s0, _s1, _s2, _s3;

    /// <param name="seed">Who: a unit, a rig, a run.</param>
    /// <param name="purpose">What for: any text; another text is another stream.</param>
    public SeededNoise(ulong seed, string purpose)
    {
        // FNV-1a over the text; string.GetHashCode differs between processes.
        var hash = 14695981039346656037UL;
        foreach (var letter in purpose) hash = (hash ^ letter) * 1099511628211UL;
        var state = seed ^ BitOperations.RotateLeft(hash, 31);
        (_s0, _s1, _s2, _s3) = (SplitMix(ref state), SplitMix(ref state), SplitMix(ref state), SplitMix(ref state));
    }

    SeededNoise(ulong s0, ulong s1, ulong s2, ulong s3) => (_s0, _s1, _s2, _s3) = (s0, s1, s2, s3);

    /// <summary>A stream from its bare state, to be held against published sequences.</summary>
    public static SeededNoise FromState(ulong s0, ulong s1, ulong s2, ulong s3) => new(s0, s1, s2, s3);

    public ulong NextBits()
    {
        var result = BitOperations.RotateLeft(_s0 + _s3, 23) + _s0;
        var t = _s1 << 17;
        _s2 ^= _s0;
        _s3 ^= _s1;
        _s1 ^= _s2;
        _s0 ^= _s3;
        _s2 ^= t;
        _s3 = BitOperations.RotateLeft(_s3, 45);
        return result;
    }

    /// <summary>Uniform in [0, 1).</summary>
    public double Share() => (NextBits() >> 11) * (1.0 / (1UL << 53));

    /// <summary>Standard normal.</summary>
    public double Normal()
    {
        var layers = Ziggurat;
        while (true)
        {
            var bits = NextBits();
            var layer = (int)(bits & 255);
            var signed = (long)bits >> 11;
            if (Math.Abs(signed) < layers.Inside[layer]) return signed * layers.Width[layer];
            if (AtTheEdge(layer, signed * layers.Width[layer], signed < 0) is { } normal) return normal;
        }
    }

    /// <summary>Fills with standard normal values.</summary>
    public void Fill(Span<double> values)
    {
        foreach (ref var value in values) value = Normal();
    }

    /// <summary>Standard normal, never further out than three standard deviations.</summary>
    public double NormalWithinThree()
    {
        double normal;
        do normal = Normal();
        while (Math.Abs(normal) > 3);
        return normal;
    }

    double? AtTheEdge(int layer, double x, bool negative)
    {
        if (layer == 0)
        {
            // Beyond the last layer: Marsaglia's exact tail.
            double tail, height;
            do
            {
                tail = -Math.Log(1 - Share()) / Right;
                height = -Math.Log(1 - Share());
            }
            while (height + height < tail * tail);
            return negative ? -(Right + tail) : Right + tail;
        }

        var f = Ziggurat.Height;
        return f[layer] + Share() * (f[layer + 1] - f[layer]) < Math.Exp(-0.5 * x * x) ? x : null;
    }

    static ulong SplitMix(ref ulong state)
    {
        state += 0x9E3779B97F4A7C15UL;
        var z = state;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9UL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
        return z ^ (z >> 31);
    }

    /// <summary>Horizontal layers of equal area under exp(−x²/2), the lowest with the tail.</summary>
    sealed record Layers(double[] Width, long[] Inside, double[] Height)
    {
        const double Area = 0.00492867323399;
        const double Steps = 1L << 52;

        public static Layers Build()
        {
            var edge = new double[257];
            edge[0] = Area / Math.Exp(-0.5 * Right * Right);
            edge[1] = Right;
            for (var i = 2; i < 256; i++) edge[i] = Math.Sqrt(-2 * Math.Log(Area / edge[i - 1] + Math.Exp(-0.5 * edge[i - 1] * edge[i - 1])));
            return new(
                [.. edge.Take(256).Select(x => x / Steps)],
                [.. Enumerable.Range(0, 256).Select(i => (long)(edge[i + 1] / edge[i] * Steps))],
                [.. edge.Select(x => Math.Exp(-0.5 * x * x))]);
        }
    }
}
