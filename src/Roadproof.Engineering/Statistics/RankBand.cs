namespace Roadproof.Engineering.Statistics;

/// <summary>The middle of values that are alike, and edges between which the next one like them falls with a known chance: from their ranks alone, whatever their distribution.</summary>
/// <remarks>
/// Of n values in order the next one falls between the r-th and the s-th with the chance (s − r)/(n + 1), for any continuous distribution (order statistics, textbook; from memory; coverage is tested). The 5 % and
/// 95 % places are p·(n + 1), between two values on a straight line: the sixth of Hyndman and Fan's definitions (1996), numpy's "weibull". Below 19 values those places lie beyond the outermost ones; then the
/// outermost are the edges, and <see cref="ShareBetween"/> says what they hold.
/// </remarks>
public static class RankBand
{
    /// <summary>The least number of values that make a band: the next one then lies within it two times of three.</summary>
    public const int Fewest = 5;

    const double Below = 0.05, Above = 0.95;

    /// <summary>Chance that the next value falls between the edges of so many.</summary>
    public static double ShareBetween(int values) => Math.Min(Above - Below, (values - 1.0) / (values + 1));

    /// <param name="values">At least one, finite; they are put in order.</param>
    public static double Lower(Span<double> values) => At(values, Below);

    /// <inheritdoc cref="Lower"/>
    public static double Median(Span<double> values) => At(values, 0.5);

    /// <inheritdoc cref="Lower"/>
    public static double Upper(Span<double> values) => At(values, Above);

    static double At(Span<double> values, double share)
    {
        values.Sort();
        var place = Math.Clamp(share * (values.Length + 1), 1, values.Length);
        var before = (int)place;
        return before == values.Length ? values[^1] : values[before - 1] + (place - before) * (values[before] - values[before - 1]);
    }
}
