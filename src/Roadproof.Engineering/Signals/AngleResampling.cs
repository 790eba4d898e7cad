namespace Roadproof.Engineering.Signals;

/// <summary>Turns samples at equal times into samples at equal angles, so that a line tied to a shaft stays in its place while the speed changes.</summary>
/// <remarks>
/// Each new sample is a Kaiser-windowed sinc over 32 samples or, where the new grid is coarser than the old, over 32 new steps, so that nothing above the new grid's
/// half rate folds back. Flat within 0.1 % up to 0.4 of the sample rate of the coarser side; nothing above that should be read. O(m·32) at equal rates.
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
            resampled[k] = Interpolated(signal, row + (wantedRad - angleRad[row]) / stepRad, Math.Max(1, gridRad / stepRad));
        }

        return resampled;
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
}
