using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Judging;

/// <summary>A budget held against draws of its inputs through the full computation.</summary>
/// <param name="StandardUncertainty">Standard deviation of what was drawn.</param>
/// <param name="Interval">Holds the middle 95 % of what was drawn, as differences from the estimate.</param>
/// <param name="Tolerance">How far either end may differ from the budget's: half of the second digit of its uncertainty.</param>
/// <param name="Holds">Neither end of the budget's interval is seen to differ from the drawn one by more than the tolerance; what the draws leave unsure counts for the budget.</param>
/// <remarks>Source: JCGM 101:2008, 7.9.2 (numerical tolerance, two significant digits) and 8.1 (comparison of the ends).</remarks>
public sealed record CoverageCheck(double StandardUncertainty, Interval Interval, double Tolerance, bool Holds)
{
    const double Confidence = 0.95;

    /// <summary>Holds an expanded uncertainty against draws.</summary>
    /// <param name="drawn">Differences from the estimate, one for each draw; sorted afterwards.</param>
    public static CoverageCheck Of(double[] drawn, double standardUncertainty, double expandedUncertainty)
    {
        // An end is unsure by √(0.025·0.975/n) over the density there (order statistics, textbook); for a normal one 2.67·sd/√n.
        var ((lower, upper), sd) = (Ends(drawn), Deviation(drawn));
        return Of(lower, upper, sd, 2.67 * sd / Math.Sqrt(drawn.Length), standardUncertainty, expandedUncertainty);
    }

    /// <summary>The same with the linear result of each draw beside it: what both share of the luck of drawing drops out, so that few draws tell.</summary>
    /// <param name="linear">Of the same draws, shape [drawn]; sorted afterwards.</param>
    /// <param name="linearDeviation">The standard deviation that <paramref name="linear"/> has in the long run; its 95 % ends are those of the normal distribution.</param>
    public static CoverageCheck Of(double[] drawn, double[] linear, double linearDeviation, double standardUncertainty, double expandedUncertainty)
    {
        const int batches = 10;
        var (ratio, end) = (Deviation(drawn) / Deviation(linear), Normal.Quantile((1 + Confidence) / 2) * linearDeviation);
        var parts = Enumerable.Range(0, batches).Select(b => Corrected(Batch(drawn, b), Batch(linear, b))).ToArray();
        var unsure = Math.Max(Deviation([.. parts.Select(p => p.Lower)]), Deviation([.. parts.Select(p => p.Upper)])) / Math.Sqrt(batches);
        var (lower, upper) = Corrected(drawn, linear);
        return Of(lower, upper, ratio * linearDeviation, unsure, standardUncertainty, expandedUncertainty);

        (double Lower, double Upper) Corrected(double[] full, double[] straight)
        {
            var ((fullLower, fullUpper), (straightLower, straightUpper)) = (Ends(full), Ends(straight));
            return (fullLower - straightLower - end, fullUpper - straightUpper + end);
        }

        static double[] Batch(double[] values, int b) => values[(int)((long)values.Length * b / batches)..(int)((long)values.Length * (b + 1) / batches)];
    }

    /// <summary>Half of the last digit where a standard uncertainty is written with so many significant digits.</summary>
    public static double NumericalTolerance(double standardUncertainty, int digits = 2)
    {
        if (!(standardUncertainty > 0)) return 0;
        var place = Math.Floor(Math.Log10(standardUncertainty)) - digits + 1;

        // 0.996 with two digits is written 1.0, whose last digit stands one place higher.
        if (Math.Round(standardUncertainty / Math.Pow(10, place)) >= Math.Pow(10, digits)) place++;
        return 0.5 * Math.Pow(10, place);
    }

    static CoverageCheck Of(double lower, double upper, double sd, double unsure, double standardUncertainty, double expandedUncertainty)
    {
        var tolerance = NumericalTolerance(standardUncertainty);
        var farthest = Math.Max(Math.Abs(-expandedUncertainty - lower), Math.Abs(expandedUncertainty - upper));
        var holds = farthest <= tolerance + 2 * unsure;
        return new(sd, new(lower, upper, Confidence), tolerance, holds);
    }

    static (double Lower, double Upper) Ends(double[] values)
    {
        Array.Sort(values);
        return (At(values, (1 - Confidence) / 2), At(values, (1 + Confidence) / 2));
    }

    static double At(double[] rising, double share)
    {
        var place = share * (rising.Length - 1);
        var below = (int)place;
        return rising[below] + (place - below) * (rising[Math.Min(below + 1, rising.Length - 1)] - rising[below]);
    }

    static double Deviation(double[] values)
    {
        var mean = values.Average();
        return Math.Sqrt(values.Sum(v => (v - mean) * (v - mean)) / (values.Length - 1));
    }
}
