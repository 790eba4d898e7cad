using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Checks.Tightening;
using Roadproof.Engineering.Judging;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;

namespace Roadproof.Records.Curves;

/// <summary>What a step's curves say, in the shape of the step's other readings and screws.</summary>
static class CurveJudgement
{
    public static StepJudgement Of(RouteStep step, IReadOnlyList<CurveOutcome> curves)
    {
        var judged = curves.Select(c => c.Verdict).OfType<JudgedCurve>().ToList();
        var readings = judged.SelectMany(c => Readings(step, c)).ToList();
        var screws = judged.SelectMany(c => c.Screws.Select(s => Screw(c.Check, s))).ToList();
        var failed = judged.Where(c => c.Verdict == RunVerdict.Fail).ToList();
        var held = judged.Exists(c => c.Verdict == RunVerdict.Hold) || curves.Any(c => c.Verdict is null);
        var reasons = curves.SelectMany(c => Reasons(step, c)).Distinct();
        return new(
            failed.Count > 0 ? "fail" : held ? "hold" : "pass", Word(readings, screws, judged), readings, screws,
            [.. reasons.Select(r => new DecidedHold(r, $"step:{step.Id}"))],
            failed.Exists(c => step.Readings.Any(r => r.Id == c.Check && r.NeverAgain)) || readings.Exists(r => r.Verdict is Verdict.Fail or Verdict.Undecided && step.Readings.First(l => l.Id == r.Id).NeverAgain));
    }

    /// <summary>The same words for a refusal and for a hold: a report has one reason for a curve that cannot be judged.</summary>
    public static string CannotJudge(RouteStep step, string check) => $"{step.Name}: the curve of {Named(step, check)} could not be judged";

    public static string Named(RouteStep step, string check) => step.Screws.FirstOrDefault(g => g.Id == check) is { } group ? Wording.Screws(group.Name)
        : check == FunctionalPlan.CheckId && step.Functional is not null ? Wording.Lower(FunctionalCurveCheck.Title)
        : Wording.Lower(step.Readings.FirstOrDefault(r => r.Id == check)?.Name ?? check);

    static IEnumerable<string> Reasons(RouteStep step, CurveOutcome curve)
    {
        if (curve.Verdict is not { } v) return [CannotJudge(step, curve.Check)];
        if (v.Verdict == RunVerdict.Pass) return [];
        // Of a reading the feature says what it is; of screws the group has to.
        var of = v.Screws.Count > 0 ? $"{Named(step, curve.Check)}, " : "";
        return v.Reasons.Count > 0 ? v.Reasons.Select(r => $"{step.Name}: {of}{r}") : [$"{step.Name}: {Named(step, curve.Check)} cannot be decided"];
    }

    static IEnumerable<JudgedReading> Readings(RouteStep step, JudgedCurve curve) => curve.Kind == CurveKind.Functional
        ? step.Readings.Where(r => step.Functional?.Readings.Contains(r.Id) == true).Select(r => Reading(r, curve.Features.First(f => f.Id == r.Id)))
        : curve.Value is null ? [] : [Reading(step.Readings.First(r => r.Id == curve.Check), curve.Main())];

    // The feature's verdict stands: a gross leak, or a pressure that had not settled, is more than its value against its limit.
    static JudgedReading Reading(StepReading limit, CheckFeature main)
    {
        if (main.Value is not { } value || (limit.Lower ?? limit.Upper) is null) return new(limit.Id, limit.Name, main.Value, limit.Unit, null, main.Verdict, null, limit.Safety);
        var edges = new RequirementLimit { Id = limit.Id, Name = limit.Name, Unit = limit.Unit, Lower = limit.Lower, Upper = limit.Upper, GuardFactor = limit.GuardFactor, Safety = limit.Safety, NoRetest = limit.NoRetest, Origin = limit.Origin };
        var judged = Requirement.Judge(edges, value, main.StandardUncertainty ?? 0) with { Verdict = main.Verdict ?? Verdict.Undecided };
        return new(limit.Id, limit.Name, value, limit.Unit, null, judged.Verdict, judged, limit.Safety);
    }

    static JudgedScrew Screw(string group, CurveScrew screw) => new(
        group, screw.Number, screw.Value(TighteningJudge.FinalTorqueId) ?? 0, screw.Value(TighteningJudge.FinalAngleId),
        screw.Verdict switch { RunVerdict.Pass => Verdict.Pass, RunVerdict.Fail => Verdict.Fail, _ => Verdict.Undecided });

    static string Word(List<JudgedReading> readings, List<JudgedScrew> screws, List<JudgedCurve> curves)
    {
        var own = StepJudgement.TellingWord(readings, screws);
        if (curves.Exists(c => c.Verdict == RunVerdict.Hold) && curves.SelectMany(c => c.SoundUnits?.Readings ?? []).Where(e => e.Verdict == Verdict.Unusual).MaxBy(e => Math.Abs(e.Sigma)) is { } unusual && !readings.Exists(r => r.Verdict == Verdict.Fail))
            return string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{unusual.Sigma:+0.0;−0.0} σ");
        var telling = curves.SelectMany(c => c.Features).FirstOrDefault(f => f is { Verdict: Verdict.Fail, Value: not null });
        return telling is null || readings.Exists(r => r.Verdict == Verdict.Fail) || screws.Exists(s => s.Verdict == Verdict.Fail) ? own
            : $"{Wording.Lower(telling.Name)} {Wording.Number(telling.Value!.Value)} {telling.Unit}".TrimEnd();
    }
}
