using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Checks.Tightening;
using Roadproof.Engineering.Judging;
using Roadproof.Records.Messages;
using static System.FormattableString;

namespace Roadproof.Records.Curves;

/// <summary>Kinds of curve that a line judges.</summary>
public enum CurveKind
{
    Tightening,
    Press,
    Leak,
    Functional,
}

/// <summary>What a check's curve says, as it stands in the record.</summary>
/// <param name="Check">Id of the screw group or the reading.</param>
/// <param name="Features">Of the whole curve; of screws only what the check of the first shows.</param>
/// <param name="Screws">Each screw in the order of tightening; empty for other kinds.</param>
/// <param name="OutOfOrder">Where the screws differ from the order that is required.</param>
/// <param name="Reading">In sentences.</param>
/// <param name="Reasons">Why it is no pass, without figures.</param>
/// <param name="Value">The feature that is the reading's value; null for screws, and for slow turning, where a feature is the reading of the same id.</param>
/// <param name="SoundUnits">How it lies among sound units, where the check says so.</param>
public sealed record JudgedCurve(
    string Check, CurveKind Kind, string Sha256, RunVerdict Verdict, IReadOnlyList<CheckFeature> Features, IReadOnlyList<CurveScrew> Screws, IReadOnlyList<string> OutOfOrder,
    string Reading, IReadOnlyList<string> Reasons, string Method, string? Value = null, SoundUnits? SoundUnits = null)
{
    /// <summary>The feature that is the reading's value.</summary>
    public CheckFeature Main() => Features.First(f => f.Id == Value);
}

/// <summary>Readings among sound units, one by one and together.</summary>
/// <param name="Distance">Squared distance of all together.</param>
public sealed record SoundUnits(IReadOnlyList<ExpectationReading> Readings, double Distance, double DistanceLimit, double SigmaLimit)
{
    /// <summary>What each alone allows may be unusual together.</summary>
    public bool TogetherUnusual() => Distance > DistanceLimit;
}

/// <summary>One screw of a group as judged by its curve.</summary>
public sealed record CurveScrew(int Number, RunVerdict Verdict, IReadOnlyList<CheckFeature> Features, string Reading)
{
    public double? Value(string feature) => Features.FirstOrDefault(f => f.Id == feature)?.Value;
}

/// <summary>What judging one check's curve came to; worked out before the message is taken.</summary>
public sealed record CurveOutcome
{
    CurveOutcome(string check, string sha256, JudgedCurve? judged, string problem, string? otherUnit = null) => (Check, Sha256, Verdict, Problem, OtherUnit) = (check, sha256, judged, problem, otherUnit);

    public string Check { get; }
    public string Sha256 { get; }
    public JudgedCurve? Verdict { get; }

    /// <summary>Why the curve could not be judged; empty where it was.</summary>
    public string Problem { get; }

    /// <summary>The unit that the curve says it is of, where it is another than the message's; else null.</summary>
    public string? OtherUnit { get; }

    public CurveDecision Decision() => new(Check, Sha256, Verdict, Problem);

    /// <summary>Held against what the driver says of its own screws: a curve that ends elsewhere was cut short or is another screw's.</summary>
    public CurveOutcome HeldAgainst(StationMessage said)
    {
        foreach (var screw in Verdict?.Screws ?? [])
        {
            var final = screw.Features.First(f => f.Id == TighteningJudge.FinalTorqueId);
            if (said.Screws.FirstOrDefault(w => w.Group == Check && w.Number == screw.Number) is { } driver && !(Math.Abs(driver.TorqueNm - final.Value!.Value) <= Alike * final.StandardUncertainty!.Value))
                return CannotJudge(Check, Sha256, Invariant($"The curve of screw {screw.Number} ends at {final.Value:0.00} N·m, and its driver says {driver.TorqueNm:0.00} N·m: it was cut short, or is another screw's."));
        }

        return this;
    }

    /// <summary>Standard uncertainties between the end of a curve and the driver's own word for it; both come from one gauge, and common practice has no source for it.</summary>
    const double Alike = 5;

    public static CurveOutcome Judged(JudgedCurve judged) => new(judged.Check, judged.Sha256, judged, "");

    public static CurveOutcome CannotJudge(string check, string sha256, string problem) => new(check, sha256, null, problem);

    public static CurveOutcome NotNamed(string check) => CannotJudge(check, "", "No curve was named.");

    public static CurveOutcome OfOtherUnit(string check, string sha256, string unit) => new(check, sha256, null, $"The curve is of {unit}, not of this unit.", unit);
}

/// <summary>A check's curve as decided on with its step.</summary>
/// <param name="Verdict">Null where it could not be judged.</param>
public sealed record CurveDecision(string Check, string Sha256, JudgedCurve? Verdict, string Problem);
