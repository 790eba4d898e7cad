namespace Roadproof.Engineering.Signals;

/// <summary>Mean of a signal over each part of a shaft's turn, over many turns: what belongs to the shaft stays, the rest averages out.</summary>
/// <param name="Mean">Shape [parts]; part p covers the angles p … p + 1 of parts, from the track's angle 0 on.</param>
/// <param name="Turns">Turns averaged over, not necessarily whole.</param>
public sealed record SynchronousAverage(double[] Mean, double Turns)
{
    /// <param name="angleRad">Unwrapped angle of the shaft for each sample, shape [n].</param>
    public static SynchronousAverage Of(ReadOnlySpan<float> signal, ReadOnlySpan<double> angleRad, int partsPerTurn)
    {
        double[] sum = new double[partsPerTurn], count = new double[partsPerTurn];
        for (var i = 0; i < signal.Length; i++)
        {
            var turns = angleRad[i] / (2 * Math.PI);
            var part = Math.Min(partsPerTurn - 1, (int)((turns - Math.Floor(turns)) * partsPerTurn));
            sum[part] += signal[i];
            count[part]++;
        }

        for (var p = 0; p < partsPerTurn; p++) sum[p] /= count[p];
        return new(sum, (angleRad[^1] - angleRad[0]) / (2 * Math.PI));
    }
}
