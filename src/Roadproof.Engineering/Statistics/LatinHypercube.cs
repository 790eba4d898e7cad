namespace Roadproof.Engineering.Statistics;

/// <summary>Samples that cover every variable evenly: each of n equal slices of each variable is hit exactly once.</summary>
/// <remarks>Source: McKay, Beckman, Conover, Technometrics 21(2), 1979 (from memory). Independent variables.</remarks>
public static class LatinHypercube
{
    /// <returns>Shares in (0, 1), shape [samples][variables]; the same seed gives the same samples.</returns>
    public static double[][] Sample(int samples, int variables, ulong seed)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(samples, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(variables, 1);
        var noise = new SeededNoise(seed, "latin hypercube");
        var rows = new double[samples][];
        for (var i = 0; i < samples; i++) rows[i] = new double[variables];
        var order = new int[samples];
        for (var v = 0; v < variables; v++)
        {
            for (var i = 0; i < samples; i++) order[i] = i;
            for (var i = samples - 1; i > 0; i--)
            {
                var j = (int)(noise.Share() * (i + 1));
                (order[i], order[j]) = (order[j], order[i]);
            }

            for (var i = 0; i < samples; i++) rows[i][v] = (order[i] + Math.Clamp(noise.Share(), 1e-9, 1 - 1e-9)) / samples;
        }

        return rows;
    }
}
