using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>How well faults would be found by some of a plan's load points alone.</summary>
/// <remarks>
/// What a run tells of a known shift s is sᵀ·C⁻¹·s; the best test for that fault alone then finds Φ(√told − z) of such units at a false-alarm rate whose upper quantile is z
/// (Neyman and Pearson's lemma, textbook; parts' curvature left to the covariance). The points that are left out count as never run: see <see cref="PointInformation"/>.
/// </remarks>
sealed class PointSubsets
{
    readonly PointInformation information;
    readonly MeasuredRun run;
    readonly double quantile;

    public PointSubsets(LoadTestPlan plan)
    {
        var spread = new ExpectationSpread(plan, new RunKind(SampleRates.Usual, IdleIsKnown: true));
        Faults = spread.Model.Faults;
        information = new(plan, spread);
        run = FaultlessRun.Of(plan, Deviation.None);
        quantile = Normal.Quantile(1 - plan.FalseAlarm);
    }

    public IReadOnlyList<FaultHypothesis> Faults { get; }

    /// <summary>Share of each fault, at its usual size, that the best test for it alone would find; of one with two signs the one that is found less. Shape [faults].</summary>
    /// <param name="kept">Ids of load points.</param>
    public double[] RatesOf(IReadOnlySet<string> kept)
    {
        var told = information.Told(kept, run);
        return [.. Faults.Select(fault => fault.EitherSign ? Math.Min(Rate(told(fault.At(fault.Typical))), Rate(told(fault.At(-fault.Typical)))) : Rate(told(fault.At(fault.Typical))))];

        double Rate(double information) => Normal.Below(Math.Sqrt(Math.Max(0, information)) - quantile);
    }
}
