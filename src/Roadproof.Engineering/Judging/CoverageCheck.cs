using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Judging;

/// <summary>A budget held against draws of its inputs through the full computation.</summary>
/// <param name="StandardUncertainty">Standard deviation of what was drawn.</param>
/// <param name="Interval">Holds the middle 95 % of what was drawn, as differences from the estimate.</param>
/// <param name="Tolerance">How far either end may differ from the budget's: half of the second digit of its uncertainty.</param>
/// <param name="Holds">Both ends of the budget's interval are within the tolerance of the drawn ones.</param>
/// <remarks>Source: JCGM 101:2008, 7.9.2 (numerical tolerance, two significant digits) and 8.1 (comparison of the ends).</remarks>
public sealed record CoverageCheck(double StandardUncertainty, Interval Interval, double Tolerance, bool Holds)
{
    const double Confidence = 0.95;

    /// <summary>Holds an expanded uncertainty against draws.</summary>
    /// <param name="drawn">Differences from the estimate, one for each draw; sorted afterwards.</param>
    public static CoverageCheck Of(double[] drawn, double standardUncertainty, double expandedUncertainty)
    {
        var ((lower, upper), sd) = (Ends(drawn), Deviation(drawn));
        return Of(lower, upper, sd, standardUncertainty, expandedUncertainty);
    }

    /// <summary>The same with the linear result of each draw beside it: what both share of the luck of drawing drops out, so that few draws tell.</summary>
    /// <param name="linear">Of the same draws, shape [drawn]; sorted afterwards.</param>
    /// <param name="linearDeviation">The standard deviation that <paramref name="linear"/> has in the long run; its 95 % ends are those of the normal distribution.</param>
    public static CoverageCheck Of(double[] drawn, double[] linear, double linearDeviation, double standardUncertainty, double expandedUncertainty)
    {
        var ratio = Deviation(drawn) / Deviation(linear);
        var ((lower, upper), (linearLower, linearUpper)) = (Ends(drawn), Ends(linear));
        var end = Normal.Quantile((1 + Confidence) / 2) * linearDeviation;
        return Of(lower - linearLower - end, upper - linearUpper + end, ratio * linearDeviation, standardUncertainty, expandedUncertainty);
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

    static CoverageCheck Of(double lower, double upper, double sd, double standardUncertainty, double expandedUncertainty)
    {
        var tolerance = NumericalTolerance(standardUncertainty);
        var holds = Math.Abs(-expandedUncertainty - lower) <= tolerance && Math.Abs(expandedUncertainty - upper) <= tolerance;
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
