namespace Roadproof.Engineering.Signals;

/// <summary>How much a signal trembles from row to row, whatever it does on the whole.</summary>
public static class RowNoise
{
    /// <summary>Standard deviation from second differences, which a slope does not touch and a few jumps hardly do: median/(0.6745·√6). 0 below three rows.</summary>
    public static double Of(ReadOnlySpan<double> signal)
    {
        if (signal.Length < 3) return 0;
        var bends = new double[signal.Length - 2];
        for (var i = 0; i < bends.Length; i++) bends[i] = Math.Abs(signal[i] - 2 * signal[i + 1] + signal[i + 2]);
        return Median(bends) / (0.6744897501960817 * Math.Sqrt(6));
    }

    /// <summary>The largest of so many normal values, in standard deviations: √(2·ln n), its leading term.</summary>
    public static double Reach(int rows) => Math.Sqrt(2 * Math.Log(Math.Max(2, rows)));

    public static double Median(ReadOnlySpan<double> values)
    {
        var sorted = values.ToArray();
        Array.Sort(sorted);
        return sorted.Length % 2 == 1 ? sorted[sorted.Length / 2] : (sorted[sorted.Length / 2 - 1] + sorted[sorted.Length / 2]) / 2;
    }
}
