using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>One screw, judged.</summary>
/// <param name="Reading">What the curve means and what to do, in sentences.</param>
public sealed record TighteningVerdict(string Source, RunVerdict Verdict, IReadOnlyList<CheckFeature> Features, IReadOnlyList<SeenSign> Signs, string Reading);

/// <summary>Judges the features of a tightening against its window. Method: <c>docs/methods/tightening.md</c>.</summary>
public static class TighteningJudge
{
    public const string FinalTorqueId = "final-torque", FinalAngleId = "final-angle", RundownAngleId = "rundown-angle", PrevailingId = "prevailing-torque", SlopeId = "slope";

    public const string Method =
        "Line of the steepest quarter of the rise down to the prevailing torque gives the snug point (elastic origin, Shoberg); edges with the guard band of JCGM 106:2012; docs/methods/tightening.md.";

    public static TighteningVerdict Judge(TighteningCurve curve, TighteningWindow window) => Judge(curve.Source, TighteningFeatures.Of(curve, window.Gauge, window.AngleFromNm), window);

    public static TighteningVerdict Judge(string source, TighteningFeatures f, TighteningWindow window)
    {
        CheckFeature[] features =
        [
            CheckFeature.Of(FinalTorqueId, "Final torque", "N·m", f.FinalTorque, window.Guarded(window.FinalTorque)),
            CheckFeature.Of(FinalAngleId, window.AngleFromNm is null ? "Angle from snug point" : "Angle from threshold", "°", f.FinalAngle, window.Guarded(window.FinalAngle)),
            CheckFeature.Of(RundownAngleId, window.AngleFromNm is null ? "Turn to snug point" : "Turn to threshold", "°", f.RundownAngle, window.Guarded(window.RundownAngle)),
            CheckFeature.Of(PrevailingId, "Prevailing torque", "N·m", f.Prevailing, window.Guarded(window.Prevailing)),
            CheckFeature.Of("rundown-peak-torque", "Largest run-down torque", "N·m", f.RundownPeak),
            CheckFeature.Of(SlopeId, "Slope after snug point", "N·m/°", f.Slope, window.Guarded(window.Slope)),
            .. Yield(f),
            CheckFeature.Of("seating-speed", "Speed at snug point", "°/s", f.SeatingSpeed),
            CheckFeature.Of("energy", "Work of the drive", "J", f.Energy),
            CheckFeature.Of("seating-energy", "Work after snug point", "J", f.SeatingEnergy),
            .. Preload(f, window),
        ];
        var signs = TighteningSigns.Of(f, features, window.PrePassed).ToList();
        var oneValueOnly = window.Class == HazardClass.A && (window.FinalTorque is null || window.FinalAngle is null);
        var verdict = features.Any(x => x.Verdict == Verdict.Fail) || signs.Exists(s => s.Weighs == RunVerdict.Fail) ? RunVerdict.Fail
            : features.Any(x => x.Verdict == Verdict.Undecided) || signs.Exists(s => s.Weighs == RunVerdict.Hold) || oneValueOnly ? RunVerdict.Hold
            : RunVerdict.Pass;
        return new(source, verdict, features, signs, Say(verdict, features, signs, window.Class, oneValueOnly));
    }

    // A screw that did not yield has no yield point: that is no feature that the curve cannot tell.
    static CheckFeature[] Yield(TighteningFeatures f) => double.IsNaN(f.YieldTorque.Value) ? [] :
        [CheckFeature.Of("yield-torque", "Torque at yield", "N·m", f.YieldTorque), CheckFeature.Of("yield-angle", "Yield after snug point", "°", f.YieldAngle)];

    static IEnumerable<CheckFeature> Preload(TighteningFeatures f, TighteningWindow window)
    {
        if (window.DiameterM is not { } d || double.IsNaN(f.Slope.Value)) yield break;
        var clamping = f.FinalTorque with { Value = f.FinalTorque.Value - (double.IsNaN(f.Prevailing.Value) ? 0 : f.Prevailing.Value) };
        yield return CheckFeature.Of("preload", "Preload by nut factor", "N", clamping.Value > 0 ? ScrewPreload.Of(clamping, d) : Reading.None);
    }

    static string Say(RunVerdict verdict, IReadOnlyList<CheckFeature> features, List<SeenSign> signs, HazardClass hazard, bool oneValueOnly)
    {
        var sentences = signs.Select(s => s.Says).ToList();
        sentences.AddRange(features.Where(f => f.Id == FinalTorqueId && f.Verdict == Verdict.Fail).Select(f => f.Value < f.Lower ? "The final torque is too low." : "The final torque is too high."));
        if (verdict != RunVerdict.Fail) sentences.AddRange(features.Where(f => f.Verdict == Verdict.Undecided).Select(f => f.Value is null ? $"{f.Name}: the curve cannot tell." : $"{f.Name}: too near to its edge to decide."));
        if (oneValueOnly) sentences.Add("Class A needs two independent values, torque and angle: a window is missing.");
        if (verdict == RunVerdict.Fail) sentences.Add("Do not tighten it again to make it pass: take the screw out, look at hole and parts, and use a new screw once.");
        else if (verdict == RunVerdict.Hold)
        {
            sentences.Add(hazard == HazardClass.B && signs.Count == 0
                ? "Class B: check once more with another calibrated gauge; both readings must lie inside."
                : "A check of a tight screw is no second value: replace the screw, or let a person decide with the curve at hand.");
        }

        return sentences.Count == 0 ? "As required." : string.Join(' ', sentences);
    }
}
