using System.Buffers;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using MathNet.Numerics;

namespace Roadproof.Engineering.Signals;

/// <summary>A line that stands out of a spectrum's noise.</summary>
/// <param name="Order">Where it stands, also between two bins.</param>
/// <param name="Amplitude">Peak amplitude of a sine there.</param>
/// <param name="Floor">Peak amplitude that the noise alone would show in one bin.</param>
/// <param name="StandardUncertainty">Of the amplitude, from that noise and the number of blocks.</param>
public readonly record struct SpectrumLine(double Order, double Amplitude, double Floor, double StandardUncertainty);

/// <summary>Amplitude over order (events per turn of the shaft that the angle belongs to).</summary>
/// <param name="OrderStep">Distance of two neighbours.</param>
/// <param name="Amplitude">Peak amplitude of a sine at each order from 0 on, in the signal's unit: root mean square over the blocks, corrected for the window.</param>
public sealed record OrderSpectrum(double OrderStep, double[] Amplitude, int Blocks, Window Window)
{
    // Bins on each side whose median is the noise floor: wide enough that a line with its lobe is a small part of them.
    const int FloorReach = 48;

    double[]? floor;

    /// <summary>Averages blocks of <paramref name="turnsPerBlock"/> turns that overlap by half.</summary>
    /// <param name="resampled">At equal angles, shape [n]; see <see cref="AngleResampling"/>.</param>
    /// <exception cref="ArgumentException">The block is no power of two long, or the signal is shorter than one block.</exception>
    /// <remarks>
    /// Two neighbouring blocks go through one transform, one as its real and one as its imaginary part: the mean of |Z[k]|² and |Z[N − k]|² is the mean of their powers.
    /// </remarks>
    public static OrderSpectrum Of(ReadOnlySpan<double> resampled, int samplesPerTurn, int turnsPerBlock, Window window)
    {
        var block = samplesPerTurn * turnsPerBlock;
        if (resampled.Length < block) throw new ArgumentException("The signal is shorter than one block of turns; take fewer turns a block.", nameof(resampled));

        var fft = Fft.OfLength(block);
        var weights = window.Kept(block);
        var room = ArrayPool<double>.Shared.Rent(3 * block);
        Span<double> re = room.AsSpan(0, block), im = room.AsSpan(block, block), power = room.AsSpan(2 * block, block);
        power.Clear();
        var blocks = (resampled.Length - block) / (block / 2) + 1;
        for (var b = 0; b < blocks; b += 2)
        {
            var from = b * (block / 2);
            Weigh(resampled[from..], weights, re);
            if (b + 1 < blocks) Weigh(resampled[(from + block / 2)..], weights, im);
            else im.Clear();
            fft.Forward(re, im);
            AddPower(re, im, power);
        }

        var amplitude = new double[block / 2 + 1];
        var scale = 2 / (block * window.CoherentGain);
        for (var k = 0; k < amplitude.Length; k++)
            amplitude[k] = Math.Sqrt((power[k] + power[(block - k) % block]) / (2 * blocks)) * (k == 0 || k == block / 2 ? scale / 2 : scale);
        ArrayPool<double>.Shared.Return(room);
        return new(1.0 / turnsPerBlock, amplitude, blocks, window);
    }

    /// <summary>The line at a known order: what the bins nearest to it read, corrected for where it stands between them.</summary>
    public SpectrumLine LineAt(double order) => Line(order / OrderStep, AmplitudeAt(order));

    /// <summary>Only the amplitude of that line: the noise floor, a median for every bin, takes longer than the spectrum.</summary>
    public double AmplitudeAt(double order)
    {
        var place = order / OrderStep;
        var middle = Math.Clamp((int)Math.Round(place), 0, Amplitude.Length - 1);
        return Fit(middle, place - middle);
    }

    /// <summary>Every line that noise alone would hardly make, by order.</summary>
    /// <param name="upTo">Highest order looked at.</param>
    /// <param name="falseAlarm">Probability that a spectrum of noise alone shows one anywhere.</param>
    /// <remarks>
    /// A bin's mean power over B half-overlapped blocks of noise is χ² of 2·B·0.95 degrees of freedom (Welch; the 0.95 holds for a Hann window and is cautious for
    /// narrower ones). The place between bins is where the window's own lobe fits the bins best; the flat top is too flat to tell it better than a quarter of a bin.
    /// Orders below the window's lobe about zero are left out.
    /// </remarks>
    public IReadOnlyList<SpectrumLine> Lines(double upTo, double falseAlarm = 0.01)
    {
        var last = Math.Min(Amplitude.Length - 2, (int)Math.Floor(upTo / OrderStep));
        var first = Window.ReachBins + 1;
        if (last < first) return [];

        var freedom = Blocks == 1 ? 1 : 0.95 * Blocks;
        var threshold = SpecialFunctions.GammaLowerRegularizedInv(freedom, 1 - falseAlarm / (last - first + 1)) / freedom;
        var lines = new List<SpectrumLine>();
        for (var k = first; k <= last; k++)
        {
            if (Amplitude[k] * Amplitude[k] <= threshold * Floor[k] * Floor[k] || !IsTop(k)) continue;
            var off = OffBin(k);
            lines.Add(Line(k + off, Fit(k, off)));
        }

        return lines;
    }

    /// <summary>Peak amplitude that the noise alone would show in each bin: from the median of the bins about it, so that single lines do not count.</summary>
    public IReadOnlyList<double> Floor => floor ??= MakeFloor();

    /// <summary>Root mean square of what lies between two orders, each bin once.</summary>
    public double Rms(double fromOrder, double toOrder)
    {
        var power = 0.0;
        var to = Math.Min(Amplitude.Length - 1, (int)Math.Ceiling(toOrder / OrderStep) - 1);
        for (var k = Math.Max(0, (int)Math.Ceiling(fromOrder / OrderStep)); k <= to; k++) power += Amplitude[k] * Amplitude[k] * (k == 0 ? 1 : 0.5);
        return Math.Sqrt(power / Window.NoiseBandwidthBins);
    }

    SpectrumLine Line(double place, double amplitude)
    {
        var noise = Floor[Math.Clamp((int)Math.Round(place), 0, Amplitude.Length - 1)];

        // The power of line and noise together scatters by √(2·A²·N² + N⁴) in one block.
        var clean = Math.Sqrt(Math.Max(0, amplitude * amplitude - noise * noise));
        var u = amplitude > 0 ? Math.Sqrt((2 * clean * clean + noise * noise) / Math.Max(1, 0.95 * Blocks)) * noise / (2 * amplitude) : noise;
        return new(place * OrderStep, amplitude, noise, u);
    }

    // Higher than everything within the lobe that one line makes: a window's side lobes are no lines of their own.
    bool IsTop(int k)
    {
        for (var j = Math.Max(0, k - Window.ReachBins); j <= Math.Min(Amplitude.Length - 1, k + Window.ReachBins); j++)
            if (Amplitude[j] > Amplitude[k] || (Amplitude[j] == Amplitude[k] && j < k)) return false;
        return true;
    }

    /// <summary>Amplitude of a line <paramref name="off"/> bins beside bin k: least squares of the bins against the window's lobe.</summary>
    double Fit(int k, double off)
    {
        double top = 0, bottom = 0;
        for (var j = Math.Max(0, k - 1); j <= Math.Min(Amplitude.Length - 1, k + 1); j++)
        {
            var lobe = Window.ResponseAt(j - k - off);
            top += Amplitude[j] * lobe * lobe;
            bottom += lobe * lobe * lobe;
        }

        return top / bottom;
    }

    /// <summary>Where in −0.5 … 0.5 the line stands beside bin k: golden section over the misfit of the window's lobe.</summary>
    double OffBin(int k)
    {
        const double golden = 0.6180339887498949;
        double left = -0.6, right = 0.6;
        var (a, b) = (right - golden * (right - left), left + golden * (right - left));
        var (misfitA, misfitB) = (Misfit(k, a), Misfit(k, b));
        while (right - left > 1e-6)
        {
            if (misfitA < misfitB) (right, b, misfitB, a) = (b, a, misfitA, b - golden * (b - left));
            else (left, a, misfitA, b) = (a, b, misfitB, a + golden * (right - a));
            if (a == b) break;
            (misfitA, misfitB) = (Misfit(k, a), Misfit(k, b));
        }

        return (left + right) / 2;
    }

    double Misfit(int k, double off)
    {
        double crossed = 0, lobes = 0, all = 0;
        var reach = Math.Max(1, Window.ReachBins - 1);
        for (var j = Math.Max(0, k - reach); j <= Math.Min(Amplitude.Length - 1, k + reach); j++)
        {
            var lobe = Window.ResponseAt(j - k - off);
            crossed += Amplitude[j] * lobe;
            lobes += lobe * lobe;
            all += Amplitude[j] * Amplitude[j];
        }

        return all - crossed * crossed / lobes;
    }

    double[] MakeFloor()
    {
        // Median of χ² over its mean, by Wilson and Hilferty; of one block (two degrees of freedom) ln 2.
        var freedom = Math.Max(1, 0.95 * Blocks);
        var medianShare = Blocks == 1 ? Math.Log(2) : Math.Pow(1 - 1 / (9 * freedom), 3);
        var made = new double[Amplitude.Length];
        var around = new double[2 * FloorReach + 1];

        // The lobe about zero is what a signal's mean leaves: no noise. At an end the reach stays as wide.
        var first = Math.Min(Window.ReachBins + 1, made.Length - 1);
        const int step = FloorReach / 8; // a floor is smooth: straight lines between every sixth bin
        var before = 0;
        for (var k = 0; ; k = Math.Min(k + step, made.Length - 1))
        {
            var from = Math.Clamp(k - FloorReach, first, Math.Max(first, made.Length - around.Length));
            var count = Math.Min(around.Length, made.Length - from);
            Amplitude.AsSpan(from, count).CopyTo(around);
            Array.Sort(around, 0, count);
            made[k] = around[count / 2] / Math.Sqrt(medianShare);
            for (var j = before + 1; j < k; j++) made[j] = made[before] + (made[k] - made[before]) * (j - before) / (k - before);
            if (k == made.Length - 1) return made;
            before = k;
        }
    }

    static void Weigh(ReadOnlySpan<double> samples, ReadOnlySpan<double> weights, Span<double> weighed)
    {
        ref var s = ref MemoryMarshal.GetReference(samples);
        ref var w = ref MemoryMarshal.GetReference(weights);
        ref var to = ref MemoryMarshal.GetReference(weighed);
        var i = 0;
        for (; i <= weighed.Length - Vector512<double>.Count; i += Vector512<double>.Count) (Vector512.LoadUnsafe(ref s, (nuint)i) * Vector512.LoadUnsafe(ref w, (nuint)i)).StoreUnsafe(ref to, (nuint)i);
        for (; i < weighed.Length; i++) weighed[i] = samples[i] * weights[i];
    }

    static void AddPower(ReadOnlySpan<double> re, ReadOnlySpan<double> im, Span<double> power)
    {
        ref var r = ref MemoryMarshal.GetReference(re);
        ref var j = ref MemoryMarshal.GetReference(im);
        ref var to = ref MemoryMarshal.GetReference(power);
        var i = 0;
        for (; i <= power.Length - Vector512<double>.Count; i += Vector512<double>.Count)
        {
            var (x, y) = (Vector512.LoadUnsafe(ref r, (nuint)i), Vector512.LoadUnsafe(ref j, (nuint)i));
            Vector512.FusedMultiplyAdd(x, x, Vector512.FusedMultiplyAdd(y, y, Vector512.LoadUnsafe(ref to, (nuint)i))).StoreUnsafe(ref to, (nuint)i);
        }

        for (; i < power.Length; i++) power[i] += re[i] * re[i] + im[i] * im[i];
    }
}
