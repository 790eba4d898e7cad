using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Whether the rig measures well enough for a requirement: its spread beside the tolerance and beside what the units themselves scatter.</summary>
/// <param name="StandardUncertainty">Of one run on any rig: noise and what changes with the unit's temperature (repeatability), gains and zeros of the rigs (reproducibility), the model's own share.</param>
/// <param name="PercentOfTolerance">Six standard uncertainties over the tolerance; of a limit with one side three over the way from what the line makes to it. Null where that cannot be told.</param>
/// <param name="DistinctCategories">How many sizes of unit it tells apart, √2 times the units' scatter over the uncertainty; null where no model says how units scatter.</param>
/// <param name="Word">good, conditional, poor, or "cannot tell".</param>
/// <param name="LargestShare">Of the variance of the reading, from its largest part.</param>
/// <param name="Largest">What that part is: the run itself, the rig, or the model; empty where it is not split up.</param>
/// <remarks>
/// Below 10 % good, to 30 % conditional, five categories or more (AIAG, Measurement Systems Analysis, 4th edition 2010, as a paper's table gives it; an industry manual). Here the spread comes from the gauges' definitions and the model,
/// not from a study: reference runs show whether a rig keeps to it. A good process makes any gauge look bad beside its own scatter, so both are told.
/// </remarks>
public sealed record GaugeFitness(string Id, string Name, string Unit, double StandardUncertainty, double? PercentOfTolerance, double? DistinctCategories, string Word, double LargestShare, string Largest)
{
    public const double GoodPercent = 10, LargestPercent = 30;

    /// <summary>One for each requirement of the plan.</summary>
    internal static IReadOnlyList<GaugeFitness> Of(LoadTestPlan plan, ExpectationSpread spread) => [.. plan.Requirements.Select(limit => Of(limit, spread))];

    static GaugeFitness Of(RequirementLimit limit, ExpectationSpread spread)
    {
        var row = Array.IndexOf(spread.Ids, limit.Id);
        if (row < 0)
        {
            var percent = limit is { Lower: { } from, Upper: { } to } && limit.StandardUncertainty > 0 ? 100 * 6 * limit.StandardUncertainty / (to - from) : (double?)null;
            return new(limit.Id, limit.Name, limit.Unit, limit.StandardUncertainty, percent, null, WordFor(percent), 0, "");
        }

        double Variance(IEnumerable<double[]> columns) => columns.Sum(c => c[row] * c[row]);
        (string Word, double Variance)[] parts = [("the run itself", Variance(spread.Own)), ("the rig", Variance(spread.Rig)), ("the model", Variance(spread.Shared))];
        var (u, whole) = (spread.ReadingUncertainty(row), parts.Sum(p => p.Variance));
        var largest = parts.MaxBy(p => p.Variance);
        var ofTolerance = PercentOf(limit, spread.Mean[row], u);
        return new(limit.Id, limit.Name, limit.Unit, u, ofTolerance, u > 0 ? Categories(Math.Sqrt(Variance(spread.PartColumns())), u) : null, WordFor(ofTolerance), whole > 0 ? largest.Variance / whole : 0, whole > 0 ? largest.Word : "");
    }

    /// <summary>How many sizes are told apart.</summary>
    public static double Categories(double unitsSd, double standardUncertainty) => Math.Sqrt(2) * unitsSd / standardUncertainty;

    static double? PercentOf(RequirementLimit limit, double mean, double u)
    {
        if (limit is { Lower: { } lower, Upper: { } upper }) return 100 * 6 * u / (upper - lower);
        var room = limit.Upper is { } top ? top - mean : limit.Lower is { } bottom ? mean - bottom : 0;
        return room > 0 ? 100 * 3 * u / room : null;
    }

    static string WordFor(double? percent) => percent switch { null => "cannot tell", < GoodPercent => "good", <= LargestPercent => "conditional", _ => "poor" };
}
