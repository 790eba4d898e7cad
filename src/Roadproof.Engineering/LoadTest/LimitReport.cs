using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.LoadTest;

/// <summary>The expectation limits of a load test with what they stop and what they pass.</summary>
/// <param name="Sound">Share of sound units stopped, by each limit and together.</param>
/// <param name="Faults">Each fault at its typical size.</param>
/// <param name="Requirements">Those that the model carries, with their guard bands.</param>
public sealed record LimitReport(
    IReadOnlyList<ReportedLimit> Expectations, double FalseAlarm, double SigmaLimit, double DistanceLimit, double EvidenceLimit, StopRate Sound, IReadOnlyList<PassedFault> Faults, IReadOnlyList<ReportedGuardBand> Requirements)
{
    /// <summary>Whether the rig measures well enough for each requirement.</summary>
    public IReadOnlyList<GaugeFitness> Gauges { get; init; } = [];

    /// <param name="largestConsumerRisk">Share of all units that may be bad and pass, for the guard bands.</param>
    internal static LimitReport Of(LoadTestPlan plan, ExpectationSpread spread, JointLimits limits, StopRates rates, IReadOnlyList<ExpectationLimit> expectations, double largestConsumerRisk)
    {
        var drawn = DrawnReadings.OfSoundUnits(spread, plan);
        return new(
            [.. expectations.Select((e, i) => new ReportedLimit(e.Id, e.Name, e.Unit, e.Expected, e.StandardDeviation, e.Lower, e.Upper, e.ReadingUncertainty, ScatterShares.Of(spread, i), drawn[i]))],
            plan.FalseAlarm, limits.SigmaLimit, limits.DistanceLimit, limits.EvidenceLimit, rates.Of(Drive.Deviation.None),
            [.. spread.Model.Faults.Select(h => PassedFault.Of(h, rates, limits))],
            [.. plan.Requirements.Select(r => ReportedGuardBand.Of(r, spread, largestConsumerRisk))])
        {
            Gauges = GaugeFitness.Of(plan, spread),
        };
    }
}

/// <summary>One expectation limit with where its width comes from.</summary>
/// <param name="Shares">Of the variance over sound units.</param>
/// <param name="Drawn">The scatter over sound units by the linear computation, by the second-order one that the limits are made of, and drawn through the whole computation.</param>
public sealed record ReportedLimit(
    string Id, string Name, string Unit, double Expected, double StandardDeviation, double Lower, double Upper, double ReadingUncertainty, ScatterShares Shares, DrawnSpread Drawn);

/// <summary>Shares of a variance over sound units.</summary>
/// <param name="Parts">Part tolerances, to first order.</param>
/// <param name="SecondOrder">What their curvature adds.</param>
/// <param name="Rig">Gains and zeros that stay with a rig.</param>
/// <param name="Own">Noise, sensors in the unit, estimates.</param>
/// <param name="Model">How far the model is trusted.</param>
public sealed record ScatterShares(double Parts, double SecondOrder, double Rig, double Own, double Model)
{
    internal static ScatterShares Of(ExpectationSpread spread, int row)
    {
        var whole = spread.Covariance[row, row];
        double Share(IEnumerable<double[]> columns) => columns.Sum(c => c[row] * c[row]) / whole;
        return new(Share(spread.Parts), spread.CurvatureVariance(row) / whole, Share(spread.Rig), Share(spread.Own), Share(spread.Shared));
    }
}

/// <summary>What passes of a fault at its typical size; of one with two signs the mean of both.</summary>
/// <param name="LimitSigma">The move along its own signature from which a unit is unusual, in standard deviations of a sound unit; null where it moves none of the joint readings.</param>
/// <param name="ShareOfUnits">Units that have it: common practice, no source, until a plant has its own.</param>
public sealed record PassedFault(string Fault, string Name, double Size, string Unit, double Passed, double? LimitSigma, double ShareOfUnits)
{
    internal static PassedFault Of(FaultHypothesis h, StopRates rates, JointLimits limits)
    {
        var stopped = h.EitherSign ? (rates.Of(h.At(h.Typical)).Rate + rates.Of(h.At(-h.Typical)).Rate) / 2 : rates.Of(h.At(h.Typical)).Rate;
        return new(h.Id, h.Name, h.Typical, h.Unit, 1 - stopped, limits.LimitAlong(h), h.Prior);
    }
}

/// <summary>A requirement's guard band, as its limit says and as a largest consumer's risk would ask for.</summary>
/// <param name="ProcessMean">What the line makes, by the model; null with everything after it where no model says how sound units scatter.</param>
/// <param name="ConsumerRisk">Share of all units that are bad and pass at the present guard band.</param>
/// <param name="GuardBandForRisk">Keeps the consumer's risk at the largest allowed; negative where even accepting beyond the edge would.</param>
public sealed record ReportedGuardBand(
    string Id, string Name, string Unit, double? Lower, double? Upper, double StandardUncertainty, double GuardBand, double? ProcessMean, double? ProcessSd, double? ConsumerRisk, double? ProducerRisk, double? GuardBandForRisk)
{
    internal static ReportedGuardBand Of(RequirementLimit limit, ExpectationSpread spread, double largestConsumerRisk)
    {
        var row = Array.IndexOf(spread.Ids, limit.Id);
        if (row < 0) return new(limit.Id, limit.Name, limit.Unit, limit.Lower, limit.Upper, limit.StandardUncertainty, Requirement.Judge(limit, 0).GuardBand, null, null, null, null, null);
        var (mean, sd) = (spread.Mean[row], Math.Sqrt(spread.PartColumns().Sum(c => c[row] * c[row])));
        var judged = Requirement.Judge(limit, mean, spread.ReadingUncertainty(row));
        var risk = ConformanceRisk.Of(limit.Lower, limit.Upper, judged.StandardUncertainty, mean, sd, judged.GuardBand);
        return new(limit.Id, limit.Name, limit.Unit, limit.Lower, limit.Upper, judged.StandardUncertainty, judged.GuardBand, mean, sd, risk.Consumer, risk.Producer,
            ConformanceRisk.GuardBandFor(largestConsumerRisk, limit.Lower, limit.Upper, judged.StandardUncertainty, mean, sd));
    }
}
