namespace Roadproof.Engineering.Signals;

/// <summary>Amplitude over order (events per turn of the shaft that the angle belongs to).</summary>
/// <param name="OrderStep">Distance of two neighbours.</param>
/// <param name="Amplitude">Peak amplitude of a sine at each order from 0 on, in the signal's unit: root mean square over the blocks, corrected for the window.</param>
public sealed record OrderSpectrum(double OrderStep, double[] Amplitude, int Blocks, Window Window)
{
    /// <summary>Averages blocks of <paramref name="turnsPerBlock"/> turns that overlap by half.</summary>
    /// <param name="resampled">At equal angles, shape [n]; see <see cref="AngleResampling"/>.</param>
    /// <exception cref="ArgumentException">The block is no power of two long, or the signal is shorter than one block.</exception>
    public static OrderSpectrum Of(ReadOnlySpan<double> resampled, int samplesPerTurn, int turnsPerBlock, Window window)
    {
        var block = samplesPerTurn * turnsPerBlock;
        if (resampled.Length < block) throw new ArgumentException("The signal is shorter than one block of turns; take fewer turns a block.", nameof(resampled));

        var fft = Fft.OfLength(block / 2);
        var weights = window.Of(block);
        double[] weighted = new double[block], re = new double[block / 2 + 1], im = new double[block / 2 + 1], power = new double[block / 2 + 1];
        var blocks = 0;
        for (var from = 0; from + block <= resampled.Length; from += block / 2, blocks++)
        {
            for (var i = 0; i < block; i++) weighted[i] = weights[i] * resampled[from + i];
            fft.ForwardReal(weighted, re, im);
            for (var k = 0; k < power.Length; k++) power[k] += re[k] * re[k] + im[k] * im[k];
        }

        var scale = 2 / (block * window.CoherentGain);
        for (var k = 0; k < power.Length; k++) power[k] = Math.Sqrt(power[k] / blocks) * (k == 0 || k == block / 2 ? scale / 2 : scale);
        return new(1.0 / turnsPerBlock, power, blocks, window);
    }

    /// <summary>The largest amplitude within a window's reach of an order.</summary>
    public double At(double order)
    {
        var middle = order / OrderStep;
        var from = Math.Max(0, (int)Math.Ceiling(middle - 1));
        var to = Math.Min(Amplitude.Length - 1, (int)Math.Floor(middle + 1));
        var largest = 0.0;
        for (var k = from; k <= to; k++) largest = Math.Max(largest, Amplitude[k]);
        return largest;
    }
}
