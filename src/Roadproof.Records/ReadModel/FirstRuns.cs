using Microsoft.Data.Sqlite;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;

namespace Roadproof.Records.ReadModel;

/// <summary>What units read at their first load test, whatever became of them, with how many lots they are made of.</summary>
/// <param name="Lots">Of each part that may move a reading; by the part's id.</param>
public sealed record FirstRuns(IReadOnlyList<ProvenUnit> Units, IReadOnlyDictionary<string, int> Lots)
{
    // Months of a line; more would say nothing that these do not.
    const int Newest = 5_000;

    /// <param name="revisions">Revisions whose units were run by the same drawing and load cycle.</param>
    public static FirstRuns Of(SqliteConnection c, RouteRevision revision, IReadOnlyList<string> revisions)
    {
        var (units, seen) = (new List<ProvenUnit>(), new HashSet<string>(StringComparer.Ordinal));
        foreach (var (unit, rig, judgement) in c.Rows(
            """
            select l.unit, l.rig, l.judgement from load_test l join unit u on u.unit = l.unit
            where l.attempt = 1 and l.state = 'judged' and l.judgement is not null and u.product = @product and u.revision in (select value from json_each(@revisions)) order by l.sequence desc limit @Newest
            """,
            new { product = revision.Product.Id, revisions = RecordJson.Text(revisions), Newest }, null, row => (row.GetString(0), row.GetString(1), row.GetString(2))))
        {
            // A run that was judged anew stands once, as it was read last.
            if (!seen.Add(unit)) continue;
            units.Add(new(unit, rig, RecordJson.Read<LoadTestVerdict>(judgement).Expectations.Where(e => double.IsFinite(e.Value)).ToDictionary(e => e.Id, e => e.Value, StringComparer.Ordinal)));
        }

        var watched = revision.Parts.Where(p => p.Moves.Count > 0 && p.Product is null).Select(p => p.Id).ToHashSet(StringComparer.Ordinal);
        var lots = c.Rows(
            """
            with read(unit) as (select value from json_each(@units)), inside(unit) as (select unit from read union select p.built_unit from part_use p join read r on r.unit = p.unit where p.built_unit is not null)
            select p.part, count(distinct p.lot) from part_use p join inside i on i.unit = p.unit where p.lot is not null group by p.part
            """,
            new { units = RecordJson.Text(units.Select(u => u.Unit)) }, null, row => (Part: row.GetString(0), Lots: row.GetInt32(1))).ToDictionary(r => r.Part, r => r.Lots, StringComparer.Ordinal);
        var inRoute = revision.Steps.SelectMany(s => s.Parts).Select(p => p.Part).ToHashSet(StringComparer.Ordinal);
        return new(units, watched.Where(p => inRoute.Contains(p) || lots.ContainsKey(p)).ToDictionary(p => p, p => lots.GetValueOrDefault(p), StringComparer.Ordinal));
    }
}
