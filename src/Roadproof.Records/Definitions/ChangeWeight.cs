using System.Globalization;
using System.Text.RegularExpressions;

namespace Roadproof.Records.Definitions;

/// <summary>What a change touches, the most dangerous first.</summary>
public enum ChangeKind
{
    /// <summary>A safety function, a joint of hazard class A, or a caution.</summary>
    Safety,

    /// <summary>A requirement limit of the load test.</summary>
    Requirement,

    /// <summary>What must be there before a unit may go on: steps and their order, parts, readings, screws.</summary>
    Interlock,

    /// <summary>A limit of a station's reading or screw.</summary>
    Limit,

    /// <summary>What a load test's expectations and verdict are computed from.</summary>
    LoadTest,

    /// <summary>Names, instructions, stations, takt.</summary>
    Other,
}

/// <summary>Says of every change what it touches and whether more units pass than before, and puts the most dangerous on top.</summary>
static partial class ChangeWeight
{
    /// <summary>Keys that a person reads and nothing is decided by.</summary>
    static readonly string[] Words = ["name", "say", "hint", "instruction", "workS", "number", "usualValue", "usualSpread", "quantity", "variant"];

    /// <summary>Keys of a part on which an interlock hangs.</summary>
    static readonly string[] PartInterlocks = ["serialised", "shell", "product"];

    public static IReadOnlyList<RevisionChange> Sorted(IEnumerable<RevisionChange> changes, RouteRevision before, RouteRevision after) =>
    [
        .. changes.Select(c => c with { Kind = KindOf(c, before, after), Wider = IsWider(c) })
            .OrderBy(c => c.Kind).ThenByDescending(c => c.Wider == true),
    ];

    static ChangeKind KindOf(RevisionChange change, RouteRevision before, RouteRevision after)
    {
        if (change.Path == "steps (order)") return ChangeKind.Interlock;
        if (change.Path.EndsWith(".curve.order (order)", StringComparison.Ordinal)) return ChangeKind.Limit;
        if (change.Path.EndsWith(" (order)", StringComparison.Ordinal)) return ChangeKind.Other;
        if (OfStep().Match(change.Path) is { Success: true } step) return OfStep(step, [before, after]);
        if (OfRequirement().Match(change.Path) is { Success: true } requirement) return OfRequirement(requirement, [before, after]);
        if (OfPart().Match(change.Path) is { Success: true } part) return part.Groups["key"].Value is var key && (key.Length == 0 || PartInterlocks.Contains(key)) ? ChangeKind.Interlock : ChangeKind.Other;
        if (OfVariant().Match(change.Path) is { Success: true } variant) return variant.Groups["key"].Value switch { "region" => ChangeKind.Safety, "name" => ChangeKind.Other, _ => ChangeKind.Interlock };
        if (change.Path == "product.loadTest") return ChangeKind.Requirement;
        return change.Path.StartsWith("product.loadTest.", StringComparison.Ordinal) ? ChangeKind.LoadTest : ChangeKind.Other;
    }

    static ChangeKind OfStep(Match path, IReadOnlyList<RouteRevision> both)
    {
        var (id, key) = (path.Groups["id"].Value, path.Groups["key"].Value);
        if (key == "caution") return ChangeKind.Safety;
        if (Words.Contains(key) || path.Groups["plan"].Value == "places") return ChangeKind.Other;
        var steps = both.Select(r => r.StepOf(path.Groups["step"].Value)).OfType<RouteStep>().ToList();
        return path.Groups["list"].Value switch
        {
            "readings" when steps.SelectMany(s => s.Readings).Any(r => r.Id == id && r.Safety) => ChangeKind.Safety,
            "readings" => key switch { "" or "text" or "equal" or "ofVariant" => ChangeKind.Interlock, "origin" or "unit" => ChangeKind.Other, _ => ChangeKind.Limit },
            "screws" when steps.SelectMany(s => s.Screws).Any(g => g.Id == id && g.Class == "A") => ChangeKind.Safety,
            "screws" => key switch { "" or "count" => ChangeKind.Interlock, "origin" => ChangeKind.Other, _ => ChangeKind.Limit },
            "" when key.Length == 0 && path.Groups["plan"].Length == 0 && steps.Exists(s => s.Readings.Any(r => r.Safety) || s.Screws.Any(g => g.Class == "A")) => ChangeKind.Safety,
            _ => ChangeKind.Interlock,
        };
    }

    static ChangeKind OfRequirement(Match path, IReadOnlyList<RouteRevision> both)
    {
        if (Words.Contains(path.Groups["key"].Value)) return ChangeKind.Other;
        var limits = both.SelectMany(r => r.Product.LoadTest?.Requirements ?? []).Where(r => r.Id == path.Groups["id"].Value);
        return limits.Any(r => r.Safety) ? ChangeKind.Safety : ChangeKind.Requirement;
    }

    /// <summary>True where more passes than before, false where less does, null where the change alone does not say.</summary>
    static bool? IsWider(RevisionChange change)
    {
        if (change.Path.EndsWith(']')) return IsChecked(change.Path) ? change.After is null : null;
        var (before, after) = (Number(change.Before), Number(change.After));
        var risen = after is null ? (bool?)null : before is null ? null : after > before;
        return change.Path[(change.Path.LastIndexOf('.') + 1)..] switch
        {
            // The edges of a curve's features have their unit behind the word: slopeUpperNmPerDeg.
            var key when key.Contains("upper", StringComparison.OrdinalIgnoreCase) => after is null || (before is not null && after > before),
            var key when key.Contains("lower", StringComparison.OrdinalIgnoreCase) => after is null || (before is not null && after < before),
            "firstScrewRecheck" => change.After == "false",
            // A whole plan that comes or goes has no key of its own.
            "curve" or "press" or "leak" or "functional" => change.After is null,
            // A narrower guard band lets more pass; so do fewer wrong alarms, fewer screws and a function that counts as safety no more.
            "guardFactor" or "standardUncertainty" or "standardUncertaintyNm" or "falseAlarm" or "count" => risen is null ? null : !risen,
            "safety" or "noRetest" => change.After == "false",
            // Another try lets more pass; so does one that may begin warmer, or sooner.
            "retestsAtMost" => risen,
            "coolDownK" => after is null ? true : risen,
            "coolDownS" => after is null ? true : !risen,
            "equal" => change.After is null ? true : change.Before is null ? false : null,
            _ => null,
        };
    }

    static bool IsChecked(string path) =>
        (OfStep().Match(path) is { Success: true } step && step.Groups["list"].Value is "" or "readings" or "screws" or "parts") || OfRequirement().IsMatch(path);

    static double? Number(string? text) => double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var value) ? value : null;

    [GeneratedRegex(@"^steps\[(?<step>[^\]]+)\](\.(?<list>readings|screws|parts)\[(?<id>[^\]]+)\](\.(?<plan>curve|places|press|leak)(\.bands\[[^\]]+\]|\.(at|order)\[[^\]]+\])?(?=\.|$))?|\.(?<plan>functional)(\.readings\[[^\]]+\](?=$)|(?=\.)))?(\.(?<key>\w+))?$", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex OfStep();

    [GeneratedRegex(@"^product\.loadTest\.requirements\[(?<id>[^\]]+)\](\.(?<key>\w+))?$", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex OfRequirement();

    [GeneratedRegex(@"^product\.variants\[[^\]]+\](\.parts\[[^\]]+\])?(\.(?<key>\w+))?$", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex OfVariant();

    [GeneratedRegex(@"^parts\[[^\]]+\](\.(?<key>\w+))?$", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex OfPart();
}
