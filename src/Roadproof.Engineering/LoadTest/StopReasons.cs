using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.LoadTest;

/// <summary>One reason why a run did not pass.</summary>
/// <param name="Id">Of the requirement, the reading or the fault; <c>distance</c> for all readings together.</param>
/// <param name="Verdict">Fail, undecided or unusual.</param>
/// <param name="Value">Of a requirement in its unit; of an expectation in standard deviations of sound units, of all readings together their squared distance.</param>
/// <param name="Limit">That it was judged by: of a requirement its nearest edge.</param>
/// <param name="Unit">Empty for the squared distance.</param>
public sealed record StopReason(StopKind Kind, string Id, string Name, Verdict Verdict, double Value, double Limit, string Unit);

/// <summary>What stopped a run, the worst first: pages, holds and retests all say it from here.</summary>
/// <remarks>
/// A requirement that failed is a fact about the product and comes first, a safety function before the others; then a safety function that cannot be decided. What is unusual was shown to be unlike sound units and comes before what could only
/// not be decided: a rotor angle 19.9 σ out says more than a torque inside its guard band. Of what is unusual a single reading says the most plainly what it is, then the move along a known fault, then all together.
/// </remarks>
public static class StopReasons
{
    public const string Distance = "distance";

    /// <returns>Empty for a run that passed, and for one that was only not complete.</returns>
    public static IReadOnlyList<StopReason> Of(LoadTestVerdict v)
    {
        var requirements = v.Mean?.Requirements ?? v.Requirements;
        return
        [
            .. Requirements(requirements.Where(r => r.Verdict == Verdict.Fail)),
            .. Requirements(requirements.Where(r => r is { Verdict: Verdict.Undecided, NeverAgain: true })),
            .. v.Expectations.Where(e => e.Verdict == Verdict.Unusual).OrderByDescending(e => Math.Abs(e.Sigma)).Select(e => new StopReason(StopKind.Reading, e.Id, e.Name, Verdict.Unusual, e.Sigma, v.SigmaLimit, "σ")),
            .. IsBeyond(v.NearestFault) ? (StopReason[])[new(StopKind.Fault, v.NearestFault!.Fault, v.NearestFault.Name, Verdict.Unusual, v.NearestFault.Sigma, v.NearestFault.Limit, "σ")] : [],
            .. v.Distance > v.DistanceLimit ? (StopReason[])[new(StopKind.Together, Distance, "All readings together", Verdict.Unusual, v.Distance, v.DistanceLimit, "")] : [],
            .. Requirements(requirements.Where(r => r is { Verdict: Verdict.Undecided, NeverAgain: false })),
        ];
    }

    /// <summary>The unit read unlike sound ones, by one limit or another.</summary>
    public static bool IsUnusual(LoadTestVerdict v) => v.Distance > v.DistanceLimit || IsBeyond(v.NearestFault) || v.Expectations.Any(e => e.Verdict == Verdict.Unusual);

    /// <summary>The statistic of the expectation limit that comes first; null where none was missed, or nobody has kept how it scatters.</summary>
    public static StopStatistic? Statistic(LoadTestVerdict v) => Of(v).Where(r => r.Verdict == Verdict.Unusual).Select(r => Statistic(v, r)).OfType<StopStatistic>().FirstOrDefault();

    static StopStatistic? Statistic(LoadTestVerdict v, StopReason reason) => reason.Kind switch
    {
        StopKind.Reading when v.Expectations.First(e => e.Id == reason.Id) is { StandardDeviation: > 0 } e =>
            new(reason.Kind, e.Id, e.Name, Math.Abs(e.Sigma), v.SigmaLimit, 0, new(1, e.ReadingUncertainty / e.StandardDeviation, e.Budget?.OfRun / e.StandardDeviation, e.Budget?.OfRig / e.StandardDeviation)),
        StopKind.Fault when v.NearestFault!.Spread is { } spread => new(reason.Kind, reason.Id, reason.Name, reason.Value, reason.Limit, 0, spread),

        // Of sound units the root of χ² with n degrees of freedom is nearly normal about √(n − ½) with variance ½ (R. A. Fisher's approximation, from memory).
        StopKind.Together when v.DistanceSpread is { } spread => new(reason.Kind, reason.Id, reason.Name, Math.Sqrt(v.Distance), Math.Sqrt(v.DistanceLimit), Math.Sqrt(Math.Max(0, v.Expectations.Count - 0.5)),
            spread with { SoundSd = spread.SoundSd * Math.Sqrt(0.5) }),
        _ => null,
    };

    static bool IsBeyond(FaultLikeness? like) => like is not null && like.Sigma > like.Limit;

    static IEnumerable<StopReason> Requirements(IEnumerable<RequirementReading> readings) => readings
        .OrderBy(r => r.Safety ? 0 : 1).ThenBy(r => r.ConformanceProbability)
        .Select(r => new StopReason(StopKind.Requirement, r.Id, r.Name, r.Verdict, r.Value, NearestEdge(r), r.Unit));

    static double NearestEdge(RequirementReading r) => r is { Lower: { } lower, Upper: { } upper } ? Math.Abs(r.Value - lower) < Math.Abs(r.Value - upper) ? lower : upper : r.Lower ?? r.Upper ?? r.Value;
}
