using System.Globalization;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Records.Items;

/// <summary>A verdict as a person would say it.</summary>
static class Wording
{
    /// <summary>The most telling reason why a run did not pass, without figures, so that equal reasons can be counted.</summary>
    public static string Reason(LoadTestVerdict verdict)
    {
        if (WorstRequirement(verdict) is { } requirement) return $"{Lower(requirement.Name)} {How(requirement)}";
        if (MostUnusual(verdict) is { } reading) return $"{Lower(reading.Name)} unusual";
        if (verdict.NearestFault is { } like && like.Sigma > like.Limit) return $"reads like {Lower(like.Name)}";
        return "readings unusual together";
    }

    /// <summary>The figure behind the reason; for a pass how far the unit lies from what sound units look like.</summary>
    public static string Figure(LoadTestVerdict verdict)
    {
        if (WorstRequirement(verdict) is { } requirement) return $"{Number(requirement.Value)} {requirement.Unit}";
        if (MostUnusual(verdict) is { } reading) return string.Create(CultureInfo.InvariantCulture, $"{reading.Sigma:+0.0;−0.0} σ");
        return string.Create(CultureInfo.InvariantCulture, $"d² {verdict.Distance:0.#} of {verdict.DistanceLimit:0.#}");
    }

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

    static RequirementReading? WorstRequirement(LoadTestVerdict verdict) => verdict.Requirements
        .Where(r => r.Verdict is Verdict.Fail or Verdict.Undecided)
        .OrderBy(r => r.Verdict == Verdict.Fail ? 0 : 1)
        .ThenBy(r => r.Safety ? 0 : 1)
        .ThenBy(r => r.ConformanceProbability)
        .FirstOrDefault();

    static ExpectationReading? MostUnusual(LoadTestVerdict verdict) => verdict.Expectations
        .Where(e => e.Verdict == Verdict.Unusual)
        .MaxBy(e => Math.Abs(e.Sigma));
}
