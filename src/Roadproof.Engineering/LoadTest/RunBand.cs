using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What the runs of other units do place by place of a picture: the middle, and the edges between which the next run like them is expected.</summary>
/// <param name="Lower">5 % place of the runs' least values, or the least of all where they are few (<see cref="RankBand"/>); NaN where fewer than <see cref="RankBand.Fewest"/> runs have a value.</param>
/// <param name="Median">Of the middles between least and greatest; NaN likewise.</param>
/// <param name="Upper">95 % place of the runs' greatest values; NaN likewise.</param>
/// <param name="Runs">Runs that it is made of.</param>
public sealed record RunBand(double[] Lower, double[] Median, double[] Upper, int Runs)
{
    /// <param name="runs">Of each run the least and the greatest value at each place, shape [places]; NaN where it has none.</param>
    public static RunBand Of(IReadOnlyList<(double[] Minimum, double[] Maximum)> runs)
    {
        var places = runs.Count == 0 ? 0 : runs[0].Minimum.Length;
        var (lower, median, upper) = (new double[places], new double[places], new double[places]);
        Span<double> least = new double[runs.Count], middle = new double[runs.Count], most = new double[runs.Count];
        for (var p = 0; p < places; p++)
        {
            var n = 0;
            foreach (var (minimum, maximum) in runs)
            {
                if (double.IsNaN(minimum[p])) continue;
                (least[n], middle[n], most[n]) = (minimum[p], (minimum[p] + maximum[p]) / 2, maximum[p]);
                n++;
            }

            (lower[p], median[p], upper[p]) = n < RankBand.Fewest ? (double.NaN, double.NaN, double.NaN) : (RankBand.Lower(least[..n]), RankBand.Median(middle[..n]), RankBand.Upper(most[..n]));
        }

        return new(lower, median, upper, runs.Count);
    }
}
