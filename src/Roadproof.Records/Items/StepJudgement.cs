using System.Globalization;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Curves;
using Roadproof.Records.Definitions;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Items;

/// <summary>What the readings and screws of a step say: each on its own, then the step's verdict, its reasons to hold and its most telling figure.</summary>
sealed record StepJudgement(
    string Verdict, string Word, IReadOnlyList<JudgedReading> Readings, IReadOnlyList<JudgedScrew> Screws, IReadOnlyList<DecidedHold> Holds, bool SafetyFailed)
{
    /// <param name="curves">What the step's curves came to; empty where it has none, and while one is still to come.</param>
    /// <param name="order">The order that the unit is built for, as a person would say it.</param>
    public static StepJudgement Of(RouteStep step, StationMessage said, IReadOnlyList<CurveOutcome> curves, string? order = null)
    {
        var (own, read) = (OfMessage(step, said, order), CurveJudgement.Of(step, curves));
        return new(
            Worse(own.Verdict, read.Verdict), own.Verdict == "pass" && (read.Verdict != "pass" || own.Word.Length == 0) ? read.Word : own.Word,
            [.. own.Readings, .. read.Readings], [.. own.Screws, .. read.Screws], [.. own.Holds, .. read.Holds], own.SafetyFailed || read.SafetyFailed);
    }

    static string Worse(string one, string other) => one == "fail" || other == "fail" ? "fail" : one == "hold" || other == "hold" ? "hold" : "pass";

    static StepJudgement OfMessage(RouteStep step, StationMessage said, string? order)
    {
        var readings = said.Readings
            .Select(r => (Said: r, Limit: step.Readings.FirstOrDefault(l => l.Id == r.Id)))
            .Where(r => r.Limit is { } limit && !step.IsFromCurve(limit))
            .Select(r => Judge(r.Limit!, r.Said))
            .ToList();
        var screws = said.Screws
            .Select(w => (Said: w, Group: step.Screws.First(g => g.Id == w.Group)))
            .Where(w => w.Group.Curve is null)
            .Select(w => Judge(w.Group, w.Said))
            .ToList();

        var bad = readings.Where(r => r.Verdict == Engineering.Judging.Verdict.Fail).ToList();
        var open = readings.Where(r => r.Verdict == Engineering.Judging.Verdict.Undecided).ToList();
        var badScrews = screws.Where(w => w.Verdict == Engineering.Judging.Verdict.Fail).ToList();
        var openScrews = screws.Where(w => w.Verdict == Engineering.Judging.Verdict.Undecided).ToList();

        var reasons = bad.Select(r => Reason(step, r, order))
            .Concat(badScrews.Select(w => Reason(step, w)))
            .Concat(open.Select(r => Reason(step, r, order)))
            .Concat(openScrews.Select(w => Reason(step, w)));
        var verdict = bad.Count + badScrews.Count > 0 ? "fail" : open.Count + openScrews.Count > 0 ? "hold" : "pass";
        return new(verdict, TellingWord(readings, screws), readings, screws,
            reasons.Distinct().Select(r => new DecidedHold(r, $"step:{step.Id}")).ToList(),
            bad.Concat(open).Any(r => step.Readings.First(l => l.Id == r.Id).NeverAgain));
    }

    /// <summary>The load test's verdict in the same shape.</summary>
    public static StepJudgement Of(RouteStep step, LoadTestVerdict verdict)
    {
        var decides = verdict.Mean is { } mean ? verdict with { Verdict = mean.Verdict, Requirements = mean.Requirements } : verdict;
        var of = verdict.Mean is { Rigs.Count: var runs } ? $"mean of {runs.ToString(CultureInfo.InvariantCulture)} runs, " : "";
        var holds = decides.Verdict == RunVerdict.Pass ? [] : new[] { new DecidedHold($"{step.Name}: {of}{Wording.Reason(decides)}", $"step:{step.Id}") };
        return new(Spoken(decides.Verdict), Wording.Figure(decides), [], [], holds,
            decides.Requirements.Any(r => r is { NeverAgain: true, Verdict: not Engineering.Judging.Verdict.Pass }));
    }

    static string Spoken(RunVerdict verdict) => verdict switch { RunVerdict.Pass => "pass", RunVerdict.Fail => "fail", _ => "hold" };

    static JudgedReading Judge(StepReading limit, MessageReading said)
    {
        if (limit.Text)
        {
            // What the variant asks and nobody knows the variant of cannot be right.
            Verdict? equal = limit is { Equal: null, OfVariant: null } ? null : said.Text == limit.Equal ? Engineering.Judging.Verdict.Pass : Engineering.Judging.Verdict.Fail;
            return new(limit.Id, limit.Name, null, "", said.Text, equal, null, limit.Safety);
        }

        var value = said.Value!.Value;
        if (limit.Lower is null && limit.Upper is null) return new(limit.Id, limit.Name, value, limit.Unit, null, null, null, limit.Safety);
        var judged = Requirement.Judge(ToLimit(limit), value);
        return new(limit.Id, limit.Name, value, limit.Unit, null, judged.Verdict, judged, limit.Safety);
    }

    static RequirementLimit ToLimit(StepReading r) => new()
    {
        Id = r.Id, Name = r.Name, Unit = r.Unit, Lower = r.Lower, Upper = r.Upper, StandardUncertainty = r.StandardUncertainty, GuardFactor = r.GuardFactor,
        Safety = r.Safety, NoRetest = r.NoRetest, Origin = r.Origin,
    };

    // Two windows, both must hold: torque alone does not see a stripped thread, angle alone no missing preload.
    // The torque window is judged with its guard band; the angle is read from the spindle and taken as it is.
    static JudgedScrew Judge(ScrewGroup group, MessageScrew said)
    {
        var torque = Requirement.Judge(
            new RequirementLimit { Id = group.Id, Name = group.Name, Unit = "N·m", Lower = group.TorqueLowerNm, Upper = group.TorqueUpperNm, StandardUncertainty = group.StandardUncertaintyNm, Origin = group.Origin },
            said.TorqueNm).Verdict;
        var angleInside = said.AngleDeg >= group.AngleLowerDeg && said.AngleDeg <= group.AngleUpperDeg;
        return new(said.Group, said.Number, said.TorqueNm, said.AngleDeg, angleInside ? torque : Engineering.Judging.Verdict.Fail);
    }

    // Without figures: units on hold for the same reason are counted together. The figure is the step's word.
    static string Reason(RouteStep step, JudgedReading r, string? order) => order is not null && step.Readings.FirstOrDefault(l => l.Id == r.Id) is { OfVariant: not null, Equal: { } wanted }
        ? $"{step.Name}: {Wording.Lower(r.Name)} {r.Text} found, order {order} wants {wanted}; load what the order wants and do it again"
        : $"{step.Name}: {Wording.Lower(r.Name)} {How(r)}";

    static string How(JudgedReading r) => r switch
    {
        { Requirement: { } q } => Wording.How(q),
        _ => "is not as required",
    };

    static string Reason(RouteStep step, JudgedScrew w)
    {
        var group = step.Screws.First(g => g.Id == w.Group);
        if (w.Verdict == Engineering.Judging.Verdict.Undecided) return $"{step.Name}: a torque of {Wording.Screws(group.Name)} cannot be decided";
        var what = w.TorqueNm < group.TorqueLowerNm ? "torque too low" : w.TorqueNm > group.TorqueUpperNm ? "torque too high"
            : w.AngleDeg < group.AngleLowerDeg ? "angle too small" : "angle too large";
        return $"{step.Name}: {Wording.Screws(group.Name)}, {what}";
    }

    internal static string TellingWord(List<JudgedReading> readings, List<JudgedScrew> screws)
    {
        var telling = readings.FirstOrDefault(r => r.Verdict == Engineering.Judging.Verdict.Fail) ?? readings.FirstOrDefault(r => r.Verdict == Engineering.Judging.Verdict.Undecided);
        if (telling is not null) return Figure(telling);
        if (screws.FirstOrDefault(w => w.Verdict != Engineering.Judging.Verdict.Pass) is { } bad)
            return string.Create(CultureInfo.InvariantCulture, $"screw {bad.Number}: {bad.TorqueNm:0.0#} N·m{(bad.AngleDeg is { } deg ? $", {deg:0}°" : "")}");
        if (screws.Count > 0) return string.Create(CultureInfo.InvariantCulture, $"{screws.Count} of {screws.Count}");
        var limited = readings.FirstOrDefault(r => r.Requirement is not null) ?? readings.FirstOrDefault(r => r.Value is not null) ?? readings.FirstOrDefault();
        return limited is null ? "" : Figure(limited);
    }

    static string Figure(JudgedReading r) => r.Value is { } value ? $"{Wording.Number(value)} {r.Unit}".TrimEnd() : Short(r.Text ?? "");

    static string Short(string text) => text.Length <= 16 ? text : text[..15] + "…";
}
