using System.Numerics;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using static System.FormattableString;

namespace Roadproof.Engineering.Life;

/// <summary>What is done with a cycle as it is counted.</summary>
public interface ICountCycles
{
    /// <param name="from">Turning point that came first.</param>
    /// <param name="count">1, or 0.5 for a half cycle.</param>
    void Count(double from, double to, double count);
}

/// <summary>Finds the turning points of a signal and closes load cycles while its samples come, however many there are.</summary>
/// <typeparam name="T">Takes the cycles: a struct, so that counting one costs no call.</typeparam>
/// <remarks>
/// Four points: the middle range closes a whole cycle when neither of its neighbours is smaller; what is left at the end are half cycles. That gives the counts of the standard's three-point rule for a
/// history that happens once (tests hold the two side by side), and what is left open is all that must be kept: two counts of parts merge into the count of the whole.
/// Exact up to the rounding of one subtraction; O(n), memory only for the open ranges, which grow and then shrink: for a signal within bounds a few dozen.
/// Source: ASTM E1049-85 (2017), 5.4.4 (as quoted by open test suites; the paid text was not read). Limits: <c>docs/methods/load-spectra.md</c>.
/// </remarks>
public sealed class Rainflow<T>(T cycles) where T : struct, ICountCycles
{
    T cycles = cycles;
    double[] open = new double[64];
    int depth;
    double last;
    bool hasLast, rising, hasSlope;

    /// <summary>Whole cycles so far.</summary>
    public long Closed { get; private set; }

    /// <summary>Turning points so far, without the last sample.</summary>
    public long TurningPoints { get; private set; }

    /// <summary>What took the cycles, with all that closed so far.</summary>
    public ref T Cycles => ref cycles;

    /// <summary>Turning points of ranges that have not closed, oldest first, and the last sample.</summary>
    public double[] Residue() => hasSlope ? [.. open.AsSpan(0, depth), last] : [.. open.AsSpan(0, depth)];

    /// <param name="samples">In time order, following those before, shape [n].</param>
    /// <exception cref="ArgumentException">A sample is NaN or infinite; those before it have been counted.</exception>
    public void Add(ReadOnlySpan<double> samples)
    {
        foreach (var sample in samples) Add(sample);
    }

    /// <inheritdoc cref="Add(ReadOnlySpan{double})"/>
    public void Add(ReadOnlySpan<float> samples)
    {
        if (samples.IsEmpty) return;
        Add(samples[0]);
        ref var first = ref MemoryMarshal.GetReference(samples);
        var at = 1;
        for (; at <= samples.Length - Vector512<float>.Count && hasSlope; at += Vector512<float>.Count)
        {
            // Sixteen steps at once: where the slope changes its sign the sample before is a turning point.
            var (now, before) = (Vector512.LoadUnsafe(ref first, (nuint)at), Vector512.LoadUnsafe(ref first, (nuint)at - 1));
            var step = now - before;
            if (!Vector512.LessThanAll(Vector512.Abs(step), Vector512.Create(float.PositiveInfinity)) || Vector512.EqualsAny(step, Vector512<float>.Zero))
            {
                foreach (var sample in samples.Slice(at, Vector512<float>.Count)) Add(sample);
                continue;
            }

            var up = (uint)Vector512.GreaterThan(now, before).ExtractMostSignificantBits();
            var turns = (up ^ ((up << 1) | (rising ? 1u : 0u))) & 0xFFFF;
            for (; turns != 0; turns &= turns - 1) Turn(samples[at - 1 + BitOperations.TrailingZeroCount(turns)]);
            (rising, last) = ((up & 0x8000) != 0, now[Vector512<float>.Count - 1]);
        }

        for (; at < samples.Length; at++) Add(samples[at]);
    }

    void Add(double sample)
    {
        if (!double.IsFinite(sample)) throw new ArgumentException(Invariant($"A sample is {sample}; a load history has no gaps. Split it there."), nameof(sample));
        if (!hasLast)
        {
            (hasLast, last) = (true, sample);
            Turn(sample);
            return;
        }

        if (sample == last) return;
        var up = sample > last;
        if (hasSlope && up != rising) Turn(last);
        (hasSlope, rising, last) = (true, up, sample);
    }

    void Turn(double point)
    {
        TurningPoints++;
        if (depth == open.Length) Array.Resize(ref open, 2 * depth);
        var (points, n) = (open, depth);
        points[n++] = point;
        while (n >= 4)
        {
            var (a, b, c, d) = (points[n - 4], points[n - 3], points[n - 2], points[n - 1]);
            var inner = Math.Abs(c - b);
            if (inner > Math.Abs(b - a) || inner > Math.Abs(d - c)) break;
            cycles.Count(b, c, 1);
            Closed++;
            points[n - 3] = d;
            n -= 2;
        }

        depth = n;
    }

    /// <summary>Counts what another counter saw after this one: its closed cycles are added by the caller, what it left open is counted here on.</summary>
    /// <remarks>The result is that of one counter over both histories, one behind the other.</remarks>
    public void Follow(Rainflow<T> next)
    {
        Add(next.Residue());
        TurningPoints += next.TurningPoints - next.depth;
        Closed += next.Closed;
    }

    /// <summary>Ends the history: its last sample is a turning point, and what is left open are half cycles. Nothing may be added afterwards.</summary>
    /// <returns>What took the cycles.</returns>
    public T Finish()
    {
        if (hasSlope) Turn(last);
        for (var i = 1; i < depth; i++) cycles.Count(open[i - 1], open[i], 0.5);
        return cycles;
    }
}

/// <summary>Counts load cycles of a history that is at hand as a whole.</summary>
public static class Rainflow
{
    /// <summary>Every cycle, in the order they close, then the half cycles.</summary>
    /// <param name="samples">A signal or its turning points, in time order, shape [n].</param>
    /// <exception cref="ArgumentException">A sample is NaN or infinite.</exception>
    public static IReadOnlyList<CountedCycle> Count(ReadOnlySpan<double> samples)
    {
        var counter = new Rainflow<Listed>(new([]));
        counter.Add(samples);
        return counter.Finish().Cycles;
    }

    readonly record struct Listed(List<CountedCycle> Cycles) : ICountCycles
    {
        public void Count(double from, double to, double count) => Cycles.Add(new(Math.Abs(to - from), (from + to) / 2, count));
    }
}
