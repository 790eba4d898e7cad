using Microsoft.Data.Sqlite;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;

namespace Roadproof.Records.ReadModel;

/// <summary>A judged load test of another unit of the product, or an earlier one of the same, that a run may be laid beside.</summary>
/// <param name="Verdict">pass, fail, hold.</param>
/// <param name="SameRig">Run on the same rig.</param>
/// <param name="SameLots">Parts of the unit, of those whose lots are watched, that come from the same lot: "Stator S-12".</param>
/// <param name="State">Of its captures: kept, retired under a rule, or missing.</param>
public sealed record RunBeside(string Unit, string? Serial, int Attempt, string Rig, DateTimeOffset At, string Verdict, bool SameRig, IReadOnlyList<string> SameLots, string State);

/// <summary>The latest runs of a product beside one run of one unit.</summary>
public static class RunsBeside
{
    const int Newest = 40;

    public static IReadOnlyList<RunBeside> Of(SqliteConnection c, RouteRevision revision, string unit, int attempt, string rig)
    {
        var runs = RunList.Of(c, revision.Product.Id, null, null, Newest + 1).Where(r => r.Unit != unit || r.Attempt != attempt).Take(Newest).ToList();
        var shared = SharedLots(c, revision, unit, runs.Select(r => r.Unit)).ToLookup(s => s.Unit, s => $"{s.Name} {s.Lot}");
        return [.. runs.Select(r => new RunBeside(r.Unit, r.Serial, r.Attempt, r.Rig, r.At, r.Verdict, r.Rig == rig, r.Unit == unit ? [] : [.. shared[r.Unit]], r.State))];
    }

    /// <summary>Which of the units have a part of the same lot as a unit inside, of those parts whose lots are watched.</summary>
    internal static List<(string Unit, string Part, string Name, string Lot, int StepNumber)> SharedLots(SqliteConnection c, RouteRevision revision, string unit, IEnumerable<string> units)
    {
        var watched = revision.Parts.Where(p => p.Moves.Count > 0).ToDictionary(p => p.Id, p => p.Name, StringComparer.Ordinal);
        return c.Rows(
            """
            select distinct o.unit, o.part, o.lot, o.step_number from part_use o join part_use m on m.unit = @unit and m.part = o.part and m.lot = o.lot and m.replaced is null
            where o.replaced is null and o.unit in (select value from json_each(@units)) and o.part in (select value from json_each(@parts)) order by o.step_number
            """,
            new { unit, units = RecordJson.Text(units), parts = RecordJson.Text(watched.Keys) }, null,
            row => (row.GetString(0), row.GetString(1), watched[row.GetString(1)], row.GetString(2), row.GetInt32(3)));
    }
}
