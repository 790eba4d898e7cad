using Roadproof.Engineering.Judging;
using static System.FormattableString;

namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>What a curve looks like that a torque and an angle alone do not tell.</summary>
public enum TighteningSign
{
    NeverSeated,
    Stripped,
    TightAlready,
    NotRecordedFromStart,
    TooFewSamples,
    Yielded,
    SeatedEarly,
    SeatedLate,
    ThreadTight,
    ThreadLoose,
    JointSoft,
    JointStiff,
    HighFriction,
    TurnedFurther,
}

/// <summary>A sign, with its figures and what is most likely behind it.</summary>
/// <param name="Weighs">What the sign does to the verdict by itself; pass where only the feature that it explains decides.</param>
public sealed record SeenSign(TighteningSign Sign, string Says, RunVerdict Weighs);

/// <summary>Names what a curve shows. Likely causes are common practice, no source: they tell where to look first, not what is.</summary>
static class TighteningSigns
{
    /// <summary>A screw that lost this share of its torque while it turned on holds nothing; stretched steel loses less before it breaks.</summary>
    const double StrippedFall = 0.25;

    public static IEnumerable<SeenSign> Of(TighteningFeatures f, IReadOnlyList<CheckFeature> judged, bool prePassed)
    {
        var turnedOn = f.TurnAfterTop.Value >= DrivenCurve.StopDeg;
        var stripped = turnedOn && f.Fall >= StrippedFall;
        if (stripped)
            yield return new(TighteningSign.Stripped, Invariant($"Torque fell from {f.Top.Value:0.00} to {f.FinalTorque.Value:0.00} N·m while the screw turned {f.TurnAfterTop.Value:0}° on: thread or head has let go."), RunVerdict.Fail);
        else if (f.Rundown == RundownKind.None && !prePassed)
            yield return new(TighteningSign.TightAlready, "Torque rose from the first degrees without a run-down: the screw was tight already, or sits crooked in its first thread.", RunVerdict.Fail);
        else if (f.Rundown == RundownKind.NotRecorded && !prePassed)
            yield return new(TighteningSign.NotRecordedFromStart, "The curve begins inside its rise: run-down, snug point and the angle from it cannot be told.", RunVerdict.Pass);
        else if (!f.Seated)
            yield return new(TighteningSign.NeverSeated, "Torque never rose above the run-down: the head did not seat. The screw floats in a stripped or too wide hole, is too long, or the drive ended early.", RunVerdict.Fail);
        else if (double.IsNaN(f.Slope.Value))
            yield return new(TighteningSign.TooFewSamples, "The rise has too few samples for a line: slope, snug point and the angle from it cannot be told. Record faster or drive more slowly.", RunVerdict.Pass);

        if (!stripped && !double.IsNaN(f.YieldTorque.Value))
            yield return new(TighteningSign.Yielded, Invariant($"From {f.YieldTorque.Value:0.00} N·m on the slope fell below half of its best: screw, thread or joint gives way."), RunVerdict.Hold);
        else if (!stripped && turnedOn)
            yield return new(TighteningSign.Yielded, Invariant($"Torque no longer rose over the last {f.TurnAfterTop.Value:0}°: screw, thread or joint gives way."), RunVerdict.Hold);

        foreach (var feature in judged)
        {
            if (feature is not { Verdict: not (null or Verdict.Pass), Value: { } value }) continue;
            var (low, high) = (value < feature.Lower, value > feature.Upper);
            switch (feature.Id)
            {
                case TighteningJudge.RundownAngleId when low: yield return Explained(TighteningSign.SeatedEarly, "The head seats early: a worn or pre-cut thread, a screw that is too long or stands on the ground of its hole, something under the head."); break;
                case TighteningJudge.RundownAngleId when high: yield return Explained(TighteningSign.SeatedLate, "The head seats late: a part under the head is missing, or the screw caught its thread late."); break;
                case TighteningJudge.PrevailingId when high: yield return Explained(TighteningSign.ThreadTight, "The thread runs hard: crooked in the thread, chips or paint in it, thread-locker double, wrong screw."); break;
                case TighteningJudge.PrevailingId when low: yield return Explained(TighteningSign.ThreadLoose, "The thread runs too easily: a worn hole, thread-locker missing or old, too thin a screw."); break;
                case TighteningJudge.SlopeId when low: yield return Explained(TighteningSign.JointSoft, "The joint is soft: gasket doubled, a chip or seal between the parts, thread giving way."); break;
                case TighteningJudge.SlopeId when high: yield return Explained(TighteningSign.JointStiff, "The joint is stiff: gasket or washer missing."); break;
                case TighteningJudge.FinalAngleId when low: yield return Explained(TighteningSign.HighFriction, "Torque came after too little turn: high friction, thread-locker double, washer missing, tightened twice."); break;
                case TighteningJudge.FinalAngleId when high: yield return Explained(TighteningSign.TurnedFurther, "Torque came after too much turn: a soft gasket, a part missing, thread or screw giving way."); break;
                default: break;
            }
        }
    }

    static SeenSign Explained(TighteningSign sign, string says) => new(sign, says, RunVerdict.Pass);
}
