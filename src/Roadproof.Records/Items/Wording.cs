using System.Globalization;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Records.Items;

/// <summary>A verdict as a person would say it.</summary>
static class Wording
{
    /// <summary>The most telling reason why a run did not pass, without figures, so that equal reasons can be counted.</summary>
    public static string Reason(LoadTestVerdict verdict) => StopReasons.Of(verdict) is [var first, ..] ? Reason(verdict, first) : "readings are missing";

    /// <summary>One of its reasons in the same words.</summary>
    public static string Reason(LoadTestVerdict verdict, StopReason reason) => reason.Kind switch
    {
        StopKind.Requirement => $"{Lower(reason.Name)} {How((verdict.Mean?.Requirements ?? verdict.Requirements).First(r => r.Id == reason.Id))}",
        StopKind.Reading => $"{Lower(reason.Name)} unusual",
        StopKind.Fault => $"unusual along {Lower(reason.Name)}",
        _ => "readings unusual together",
    };

    /// <summary>The same with its figure against the limit: "rotor angle unusual, 19.9 σ against 3.6".</summary>
    public static string WithFigure(LoadTestVerdict verdict, StopReason reason) => Reason(verdict, reason) + reason.Kind switch
    {
        StopKind.Requirement => $", {Number(reason.Value)} {reason.Unit} against {Number(reason.Limit)}",
        StopKind.Together => string.Create(CultureInfo.InvariantCulture, $", d² {reason.Value:0.#} against {reason.Limit:0.#}"),
        _ => string.Create(CultureInfo.InvariantCulture, $", {reason.Value:+0.0;−0.0} σ against {reason.Limit:0.0}"),
    };

    /// <summary>What stopped a run, by which test and how far beyond its limit, then what the evidence says: every page says it in these words.</summary>
    public static string Headline(LoadTestVerdict verdict)
    {
        var stopped = StopReasons.Of(verdict) is [var first, ..] ? WithFigure(verdict, first) : Reason(verdict);
        var runs = verdict.Mean is { Rigs.Count: var n } ? string.Create(CultureInfo.InvariantCulture, $"mean of {n} runs, ") : "";
        return $"{runs}{stopped}{(Evidence(verdict) is { Length: > 0 } evidence ? $"; {evidence}" : "")}";
    }

    /// <summary>What the evidence says beside what stopped it; empty where nothing was diagnosed.</summary>
    public static string Evidence(LoadTestVerdict verdict) => verdict.Diagnosis.MaxBy(d => d.Probability) switch
    {
        null => "",
        { Fault: "sound" } top => $"most probably sound all the same, {Percent(top.Probability)}",
        { Fault: "unknown" } top => $"most probably none of the faults that are computed, {Percent(top.Probability)}",
        var top => $"most probably {Lower(top.Name)}, {Percent(top.Probability)}",
    };

    /// <summary>Where a statistic looks: "Along bearing or rotor drag", "In phase resistance", "All together".</summary>
    public static string Where(StopStatistic s) => s.Kind switch
    {
        StopKind.Fault => $"Along {Lower(s.Name)}",
        StopKind.Together => "With all readings together",
        _ => $"In {Lower(s.Name)}",
    };

    /// <summary>The figure behind the reason; for a pass how far the unit lies from what sound units look like.</summary>
    public static string Figure(LoadTestVerdict verdict) => StopReasons.Of(verdict) is not [var first, ..] || first.Kind == StopKind.Together
        ? string.Create(CultureInfo.InvariantCulture, $"d² {verdict.Distance:0.#} of {verdict.DistanceLimit:0.#}")
        : first.Kind == StopKind.Requirement ? $"{Number(first.Value)} {first.Unit}" : string.Create(CultureInfo.InvariantCulture, $"{first.Value:+0.0;−0.0} σ");

    public static string How(RequirementReading r) => r switch
    {
        { Verdict: Verdict.Undecided } => "cannot be decided",
        { Lower: { } lower } when r.Value < lower => "too low",
        _ => "too high",
    };

    /// <summary>A name inside a sentence: small, unless it is an abbreviation or a symbol.</summary>
    public static string Lower(string name) => name.Length > 1 && (char.IsLower(name[1]) || name.StartsWith("A ", StringComparison.Ordinal)) ? char.ToLowerInvariant(name[0]) + name[1..] : name;

    /// <summary>A screw group inside a sentence: "cover screws", whether the group is named so or not.</summary>
    public static string Screws(string group) => group.Contains("screw", StringComparison.OrdinalIgnoreCase) ? Lower(group) : $"{Lower(group)} screws";

    public static string Number(double value) => value.ToString(Math.Abs(value) >= 1000 ? "0" : "G4", CultureInfo.InvariantCulture);

    static string Percent(double share) => share > 0.995 ? "more than 99 %" : string.Create(CultureInfo.InvariantCulture, $"{100 * share:0} %");
}
