using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>How surely a fault is found by a load test, and by what.</summary>
/// <param name="Rate">Share of units with the fault that are not passed.</param>
/// <param name="BySingleReading">Share stopped by a single reading, whatever else stops them.</param>
/// <param name="ByDistance">Share stopped by the distance.</param>
/// <param name="SeenBy">The characteristic that the fault moves farthest, in standard deviations over sound units.</param>
public sealed record StopRate(double Rate, double BySingleReading, double ByDistance, string SeenBy);

/// <summary>Predicts what a load test stops, over part scatter, rigs and noise.</summary>
/// <remarks>
/// 60 000 seeded sound units, each moved by what the fault does to the mean (computed with the full model, not its slope). Requirements that depend on
/// software alone are taken as met.
/// One standard error is at most 0.2 %.
/// </remarks>
sealed class StopRates
{
    const int Draws = 60_000;

    readonly ExpectationSpread spread;
    readonly JointLimits limits;
    readonly (int Row, double From, double To)[] requirements;

    // Drawn once: each unit's residuals, and the joint ones made independent. A fault only shifts both.
    readonly float[][] residuals, whites;

    public StopRates(LoadTestPlan plan, ExpectationSpread spread, JointLimits limits)
    {
        (this.spread, this.limits) = (spread, limits);
        requirements = [.. plan.Requirements.Where(r => Array.IndexOf(spread.Ids, r.Id) >= spread.Model.JointCount).Select(r => PassRange(r, spread))];
        var units = new SoundUnits(spread, seed: 2);
        var residual = new double[spread.Ids.Length];
        var joint = new double[limits.Rows.Length];
        (residuals, whites) = (new float[Draws][], new float[Draws][]);
        for (var n = 0; n < Draws; n++)
        {
            units.Next(residual);
            for (var i = 0; i < joint.Length; i++) joint[i] = residual[limits.Rows[i]];
            residuals[n] = Array.ConvertAll(residual, r => (float)r);
            whites[n] = Array.ConvertAll(limits.Whitening.Whiten(joint), w => (float)w);
        }
    }

    public StopRate Of(Deviation fault)
    {
        var moved = spread.Model.At(fault).Zip(spread.Model.At(Deviation.None), (with, without) => with - without).ToArray();
        var (single, distance, any) = (0, 0, 0);
        Span<double> white = stackalloc double[limits.Rows.Length];
        double[] movedJoint = [.. limits.Rows.ToArray().Select(row => moved[row])];
        var movedWhite = limits.Whitening.Whiten(movedJoint);
        for (var n = 0; n < Draws; n++)
        {
            var bySingle = IsFarOut(residuals[n], movedJoint);
            for (var i = 0; i < white.Length; i++) white[i] = whites[n][i] + movedWhite[i];
            var byDistance = Whitening.Dot(white, white) > limits.DistanceLimit;
            if (bySingle) single++;
            if (byDistance) distance++;
            if (bySingle || byDistance || limits.Faults.Farthest(white).Sigma > limits.FaultLimit || MissesRequirement(residuals[n], moved)) any++;
        }

        var farthest = Enumerable.Range(0, spread.Ids.Length).MaxBy(i => Math.Abs(moved[i]) / spread.StandardDeviation(i));
        return new((double)any / Draws, (double)single / Draws, (double)distance / Draws, spread.Ids[farthest]);
    }

    bool IsFarOut(float[] residual, double[] movedJoint)
    {
        for (var i = 0; i < movedJoint.Length; i++)
            if (Math.Abs(residual[limits.Rows[i]] + movedJoint[i]) > limits.FarthestAllowed(i)) return true;
        return false;
    }

    bool MissesRequirement(float[] residual, double[] moved)
    {
        foreach (var (row, from, to) in requirements)
        {
            var value = spread.Mean[row] + residual[row] + moved[row];
            if (value < from || value > to) return true;
        }

        return false;
    }

    static (int Row, double From, double To) PassRange(RequirementLimit limit, ExpectationSpread spread)
    {
        var row = Array.IndexOf(spread.Ids, limit.Id);
        var guardBand = Requirement.Judge(limit, spread.Mean[row], spread.ReadingUncertainty(row)).GuardBand;
        return (row, limit.Lower + guardBand ?? double.NegativeInfinity, limit.Upper - guardBand ?? double.PositiveInfinity);
    }
}
