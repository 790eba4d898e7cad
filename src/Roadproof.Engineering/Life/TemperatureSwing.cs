namespace Roadproof.Engineering.Life;

/// <summary>Swings of a part's temperature that are alike; solder, potting and joints tire by them.</summary>
/// <param name="RangeK">Middle of the class.</param>
/// <param name="MeanC">Middle of the class.</param>
/// <param name="Count">Half swings as halves.</param>
public sealed record TemperatureSwing(double RangeK, double MeanC, double Count)
{
    /// <summary>Every class that holds swings, the widest first.</summary>
    /// <param name="times">How often the history happens.</param>
    public static IReadOnlyList<TemperatureSwing> Of(RangeMeanMatrix swings, double times = 1)
    {
        ArgumentNullException.ThrowIfNull(swings);
        return [.. swings.Cycles().Select(c => new TemperatureSwing(c.Range, c.Mean, times * c.Count))];
    }
}
