using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Definitions;

namespace Roadproof.App.LoadTest;

/// <summary>What a route keeps of a fault that no load point sees.</summary>
/// <param name="Product">Product on whose route it is kept.</param>
/// <param name="Step">Name of the step.</param>
/// <param name="Kind">reading, screws or lot.</param>
/// <param name="Judged">It has a limit, or must read as written; a lot is only known.</param>
public sealed record ProcessRecord(string Product, string Step, string Kind, string Name, bool Judged);

/// <summary>Finds the records of a route, and of the routes of the parts that the plant builds into it, that must catch what a load test does not see.</summary>
/// <remarks>By the words of ids: a plant that calls its readings otherwise is told that there is none, and then either has none or learns it here.</remarks>
public static class ProcessRecords
{
    public static IReadOnlyList<ProcessRecord> Of(UnseenFault fault, RouteRevision revision, IReadOnlyList<RouteRevision> plant)
    {
        var built = revision.Steps.SelectMany(s => s.Parts).Select(p => revision.Parts.FirstOrDefault(d => d.Id == p.Part)?.Product).OfType<string>().ToHashSet(StringComparer.Ordinal);
        List<ProcessRecord> all = [.. Own(revision), .. plant.Where(r => built.Contains(r.Product.Id)).SelectMany(Own)];
        return [.. all.OrderBy(r => !r.Judged)];

        IEnumerable<ProcessRecord> Own(RouteRevision route) =>
            from step in route.Steps
            from record in (IEnumerable<ProcessRecord>)
            [
                .. step.Readings.Where(r => Names(r.Id) && (r.Lower is not null || r.Upper is not null || r.Equal is not null)).Select(r => new ProcessRecord(route.Product.Id, step.Name, "reading", r.Name, true)),
                .. step.Screws.Where(_ => fault.RecordWords.Contains("screw")).Select(g => new ProcessRecord(route.Product.Id, step.Name, "screws", g.Name, true)),
                .. step.Parts.Where(p => fault.Id is "paste-missing" or "grease-oil" or "bond" && Names(p.Part)).Select(p => new ProcessRecord(route.Product.Id, step.Name, "lot", $"lot of {route.Parts.FirstOrDefault(d => d.Id == p.Part)?.Name ?? p.Part}", false)),
            ]
            select record;

        bool Names(string id) => fault.Id != "loose-screw" && fault.RecordWords.Any(w => id.Contains(w, StringComparison.Ordinal));
    }
}
