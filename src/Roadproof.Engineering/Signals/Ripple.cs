namespace Roadproof.Engineering.Signals;

/// <summary>How unevenly a shaft turns or pulls: largest minus smallest over the mean, averaged over whole turns.</summary>
public static class Ripple
{
    /// <param name="resampled">At equal angles, shape [n]; see <see cref="AngleResampling"/>.</param>
    /// <returns>A share of the mean; NaN below one turn.</returns>
    public static double PeakToPeakShare(ReadOnlySpan<double> resampled, int samplesPerTurn)
    {
        var turns = resampled.Length / samplesPerTurn;
        var sum = 0.0;
        for (var turn = 0; turn < turns; turn++)
        {
            var (least, most, mean) = (double.PositiveInfinity, double.NegativeInfinity, 0.0);
            foreach (var x in resampled.Slice(turn * samplesPerTurn, samplesPerTurn)) (least, most, mean) = (Math.Min(least, x), Math.Max(most, x), mean + x / samplesPerTurn);
            sum += (most - least) / mean;
        }

        return turns == 0 ? double.NaN : sum / turns;
    }
}
