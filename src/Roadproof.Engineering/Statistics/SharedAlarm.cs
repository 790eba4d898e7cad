namespace Roadproof.Engineering.Statistics;

/// <summary>Limits of several statistics that together stop a given share of draws, whatever their correlation.</summary>
public static class SharedAlarm
{
    /// <summary>One limit for each statistic; beyond it a draw is stopped.</summary>
    /// <param name="draws">Each statistic over the same draws, shape [statistics][draws]; sorted afterwards.</param>
    /// <param name="weights">The share of draws that each would stop alone, in relation to the others; the largest is a multiple of each.</param>
    /// <param name="falseAlarm">Share of draws that all of them together stop.</param>
    public static double[] Limits(double[][] draws, int[] weights, double falseAlarm)
    {
        var most = weights.Max();
        var factors = weights.Select(w => most / w).ToArray();
        var ranks = draws.Select(Ranks).ToArray();

        // Each draw is stopped at the smallest share at which one of the limits stops it; the asked share of draws lies below one such share.
        var stoppedAt = new int[draws[0].Length];
        for (var n = 0; n < stoppedAt.Length; n++)
        {
            stoppedAt[n] = int.MaxValue;
            for (var k = 0; k < ranks.Length; k++) stoppedAt[n] = Math.Min(stoppedAt[n], factors[k] * ranks[k][n]);
        }

        Array.Sort(stoppedAt);
        var stopped = stoppedAt[(int)Math.Round(falseAlarm * stoppedAt.Length)];
        return [.. draws.Select((values, k) => Between(values, stopped / factors[k]))];
    }

    // Values are sorted by now: the limit lies between the last one stopped and the first that is not.
    static double Between(double[] rising, int stopped) => (rising[^(stopped + 1)] + rising[^Math.Max(1, stopped)]) / 2;

    /// <summary>How many draws lie farther out than each, and sorts the values.</summary>
    static int[] Ranks(double[] values)
    {
        var places = new int[values.Length];
        for (var i = 0; i < places.Length; i++) places[i] = i;
        Array.Sort(values, places);
        var ranks = new int[values.Length];
        for (var i = 0; i < places.Length; i++) ranks[places[i]] = values.Length - 1 - i;
        return ranks;
    }
}
