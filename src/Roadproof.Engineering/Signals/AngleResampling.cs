using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Roadproof.Engineering.Signals;

/// <summary>Turns samples at equal times into samples at equal angles, so that a line tied to a shaft stays in its place while the speed changes.</summary>
/// <remarks>
/// Each new sample is a Kaiser-windowed sinc over 32 samples or, where the new grid is coarser than the old, over 32 new steps, so that nothing above the new grid's
/// half rate folds back. The width follows the speed from sample to sample, so that this holds through a run-up. Flat within 0.1 % up to 0.4 of the sample rate of the
/// coarser side; nothing above that should be read. O(32·n), whole vectors.
/// Edges: where the kernel reaches over an end, the weights that remain are scaled to one.
/// </remarks>
public static class AngleResampling
{
    const int HalfWidth = 16;
    const int StepsPerUnit = 512;
    const double KaiserBeta = 8;

    // Centre of the transition, in steps of the coarser side: passes 0.4, stops what would fold below 0.44.
    const double Cutoff = 0.478;

    static readonly double[] Kernel = MakeKernel();
    static readonly double[] Phases = MakePhases();

    /// <summary>Resamples a signal to <paramref name="samplesPerTurn"/> samples a turn, from the first whole grid angle that lies within the track.</summary>
    /// <param name="signal">Evenly sampled in time, shape [n].</param>
    /// <param name="angleRad">Unwrapped, strictly rising, one for each sample, shape [n].</param>
    /// <exception cref="ArgumentException">The angle does not rise.</exception>
    public static double[] ToTurns(ReadOnlySpan<float> signal, ReadOnlySpan<double> angleRad, int samplesPerTurn)
    {
        var gridRad = 2 * Math.PI / samplesPerTurn;
        var first = (long)Math.Ceiling(angleRad[0] / gridRad);
        var count = (int)((long)Math.Floor(angleRad[^1] / gridRad) - first + 1);
        var resampled = new double[Math.Max(0, count)];
        var row = 0;
        for (var k = 0; k < resampled.Length; k++)
        {
            var wantedRad = (first + k) * gridRad;
            while (row < angleRad.Length - 2 && angleRad[row + 1] <= wantedRad) row++;
            var stepRad = angleRad[row + 1] - angleRad[row];
            if (!(stepRad > 0)) throw new ArgumentException("An angle that stands still or turns back cannot be resampled over; cut the signal there.", nameof(angleRad));
            var at = row + (wantedRad - angleRad[row]) / stepRad;
            var widening = gridRad / stepRad;
            resampled[k] = widening <= 1 && row >= HalfWidth - 1 && row + HalfWidth < signal.Length ? AtEqualRates(signal, row, at - row) : Interpolated(signal, at, Math.Max(1, widening));
        }

        return resampled;
    }

    /// <summary>The 32 weights of a place between two samples stand ready for 512 such places; between those the two nearest rows share.</summary>
    static double AtEqualRates(ReadOnlySpan<float> signal, int row, double share)
    {
        var place = Math.Min(share * StepsPerUnit, StepsPerUnit - 1e-9);
        var cell = (int)place;
        ref var before = ref Phases[cell * 2 * HalfWidth];
        ref var samples = ref MemoryMarshal.GetReference(signal[(row - HalfWidth + 1)..]);
        var next = Vector512.Create(place - cell);
        var (sum, weights) = (Vector512<double>.Zero, Vector512<double>.Zero);
        for (var j = 0; j < 2 * HalfWidth; j += Vector512<double>.Count)
        {
            var near = Vector512.LoadUnsafe(ref before, (nuint)j);
            var weight = Vector512.FusedMultiplyAdd(next, Vector512.LoadUnsafe(ref before, (nuint)(j + 2 * HalfWidth)) - near, near);
            var (lower, upper) = Vector256.Widen(Vector256.LoadUnsafe(ref samples, (nuint)j));
            sum = Vector512.FusedMultiplyAdd(weight, Vector512.Create(lower, upper), sum);
            weights += weight;
        }

        return Vector512.Sum(sum) / Vector512.Sum(weights);
    }

    /// <param name="at">Place between the samples, counted in samples.</param>
    /// <param name="widening">New step over old step where that is more than 1.</param>
    static double Interpolated(ReadOnlySpan<float> signal, double at, double widening)
    {
        var reach = HalfWidth * widening;
        var from = Math.Max(0, (int)Math.Ceiling(at - reach));
        var to = Math.Min(signal.Length - 1, (int)Math.Floor(at + reach));
        double sum = 0, weights = 0;
        var perSample = StepsPerUnit / widening;
        for (var i = from; i <= to; i++)
        {
            var place = Math.Abs(i - at) * perSample;
            var cell = (int)place;
            var weight = Kernel[cell] + (place - cell) * (Kernel[cell + 1] - Kernel[cell]);
            sum += weight * signal[i];
            weights += weight;
        }

        return sum / weights;
    }

    static double[] MakeKernel()
    {
        var kernel = new double[HalfWidth * StepsPerUnit + 2];
        for (var i = 0; i <= HalfWidth * StepsPerUnit; i++)
        {
            var x = (double)i / StepsPerUnit;
            var angle = 2 * Math.PI * Cutoff * x;
            var taper = MathNet.Numerics.SpecialFunctions.BesselI0(KaiserBeta * Math.Sqrt(Math.Max(0, 1 - x * x / (HalfWidth * HalfWidth))));
            kernel[i] = (x == 0 ? 1 : Math.Sin(angle) / angle) * taper;
        }

        return kernel;
    }

    // Row p: weights of the samples 15 before to 16 behind a place p/512 of a step after its left neighbour.
    static double[] MakePhases()
    {
        var phases = new double[(StepsPerUnit + 1) * 2 * HalfWidth];
        for (var p = 0; p <= StepsPerUnit; p++)
            for (var j = 0; j < 2 * HalfWidth; j++)
                phases[p * 2 * HalfWidth + j] = Kernel[Math.Min(HalfWidth * StepsPerUnit, Math.Abs((j - HalfWidth + 1) * StepsPerUnit - p))];
        return phases;
    }
}
