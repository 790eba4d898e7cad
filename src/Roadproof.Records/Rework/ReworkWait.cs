using Microsoft.Data.Sqlite;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Rework;

/// <summary>What a stopped unit waits for, in a few words.</summary>
static class ReworkWait
{
    public static string For(SqliteConnection c, PlantContext plant, UnitRow unit, IReadOnlyList<StepRow> steps, RouteRevision revision)
    {
        if (unit.State != "held") return unit.NextStep is { } next && unit.ScrappedAt is null && unit.ShippedAt is null ? $"Not stopped: {revision.StepOf(next)?.Name ?? next} comes next." : $"Nothing: it is {unit.State}.";
        if (AtBench.SwappedAt(c, null, unit.Unit, revision) is { } swapped) return $"A part was swapped: finish it and send it back to {swapped.Name}.";
        var holds = c.Rows("select reason, cause from hold where unit = @Unit and released_at is null order by id", new { unit.Unit }, null, row => (Reason: row.GetString(0).TrimEnd('.'), Cause: row.GetString(1)));
        var lots = holds.Where(h => h.Cause.StartsWith("lot:", StringComparison.Ordinal)).Select(h => h.Cause["lot:".Length..]).ToList();
        if (lots.Count > 0 && lots.Count == holds.Count) return $"Lot {string.Join(", ", lots)}: swap what is of it, or have it released.";

        var reason = holds.FirstOrDefault(h => h.Cause.StartsWith("step:", StringComparison.Ordinal)).Reason ?? holds.FirstOrDefault().Reason ?? "";
        reason = AtBench.Headline(c, unit.Unit, steps, revision) ?? reason;
        return AtBench.StoppedAt(steps)?.Verdict switch
        {
            "fail" when unit.Repairs >= revision.Product.RepairsAtMost => $"Scrap: it has had its repairs. {reason}.",
            "fail" => $"A repair. {reason}.",
            "hold" => $"A look, then a decision. {reason}.",
            _ => $"A decision. {reason}.",
        };
    }
}
