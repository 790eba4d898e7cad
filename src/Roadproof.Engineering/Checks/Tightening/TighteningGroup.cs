using Roadproof.Engineering.Judging;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>The screws of a group, each judged by its curve, and what they show together: their order, and what the first has lost when the last is tight.</summary>
/// <param name="Features">Of each screw, in the order of tightening.</param>
/// <param name="Recheck">What the check of the first screw shows; empty where there was none.</param>
public sealed record TighteningGroup(
    RunVerdict Verdict, IReadOnlyList<TighteningVerdict> Screws, IReadOnlyList<TighteningFeatures> Features, IReadOnlyList<CheckFeature> Recheck, IReadOnlyList<string> OutOfOrder, string Reading)
{
    public const string Residual = "residual-torque", Loss = "relaxation";

    /// <param name="curves">In the order of tightening.</param>
    /// <param name="recheck">The last curve is the first screw, turned on by a few degrees after the last one; needs two curves at least.</param>
    /// <param name="driven">Number of each screw, in the order of tightening; empty where nobody told.</param>
    /// <param name="pattern">Order that is required; null where none is.</param>
    public static TighteningGroup Judge(IReadOnlyList<TighteningCurve> curves, bool recheck, TighteningWindow window, IReadOnlyList<int> driven, TighteningPattern? pattern)
    {
        var tightened = recheck ? curves.Take(curves.Count - 1).ToList() : curves;
        var features = tightened.Select(c => TighteningFeatures.Of(c, window.Gauge, window.AngleFromNm)).ToList();
        var judged = tightened.Zip(features, (c, f) => TighteningJudge.Judge(c.Source, f, window)).ToList();
        IReadOnlyList<CheckFeature> lost = recheck ? [.. Relaxed(Relaxation.Of(features[0], curves[^1]))] : [];
        var outOfOrder = pattern?.Deviations(driven) ?? [];
        var failed = judged.Exists(j => j.Verdict == RunVerdict.Fail) || lost.Any(f => f.Verdict == Judging.Verdict.Fail) || outOfOrder.Count > 0;
        var held = judged.Exists(j => j.Verdict == RunVerdict.Hold) || lost.Any(f => f.Verdict == Judging.Verdict.Undecided);
        return new(failed ? RunVerdict.Fail : held ? RunVerdict.Hold : RunVerdict.Pass, judged, features, lost, outOfOrder, Say(judged, lost, outOfOrder));
    }

    static IEnumerable<CheckFeature> Relaxed(Relaxation lost)
    {
        yield return CheckFeature.Of(Residual, "Residual torque of the first screw", "N·m", lost.Residual);
        yield return CheckFeature.Of(Loss, "Clamping torque lost", "1", lost.Loss, new(null, Relaxation.UsualLargestLoss, "common practice, no source"));
    }

    static string Say(List<TighteningVerdict> judged, IReadOnlyList<CheckFeature> lost, IReadOnlyList<string> outOfOrder)
    {
        if (judged.Count == 1 && outOfOrder.Count == 0) return judged[0].Reading;
        var (passed, failed) = (judged.Count(j => j.Verdict == RunVerdict.Pass), judged.Count(j => j.Verdict == RunVerdict.Fail));
        var said = Invariant($"{passed} of {judged.Count} screws pass, {failed} fail, {judged.Count - passed - failed} cannot be decided.");
        if (outOfOrder.Count > 0) said += " The order was not held.";
        return lost.FirstOrDefault(f => f.Id == Loss) switch
        {
            { Value: null } => said + " The check did not move the first screw on: what it has lost cannot be told.",
            { Verdict: Judging.Verdict.Fail } => said + " The first screw has lost too much: the joint settles more than a gasket does.",
            _ => said,
        };
    }
}
