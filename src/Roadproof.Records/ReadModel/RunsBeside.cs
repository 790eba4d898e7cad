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
        var runs = c.Rows(
            """
            select l.unit, u.serial, l.attempt, l.rig, l.at, lower(l.judgement ->> '$.verdict'), l.step_sequence from load_test l join unit u on u.unit = l.unit
            where u.product = @product and l.state = 'judged' and l.judgement is not null and not (l.unit = @unit and l.attempt = @attempt) order by l.sequence desc limit @Newest
            """,
            new { product = revision.Product.Id, unit, attempt, Newest }, null,
            row => (Unit: row.GetString(0), Serial: row.Text(1), Attempt: row.GetInt32(2), Rig: row.GetString(3), At: Utc.Read(row.GetString(4)), Verdict: row.GetString(5), Step: row.GetInt64(6)))
            .DistinctBy(r => (r.Unit, r.Attempt)) // a run that was judged anew stands once
            .ToList();

        var watched = revision.Parts.Where(p => p.Moves.Count > 0).ToDictionary(p => p.Id, p => p.Name, StringComparer.Ordinal);
        var shared = c.Rows(
            """
            select distinct o.unit, o.part, o.lot from part_use o join part_use m on m.unit = @unit and m.part = o.part and m.lot = o.lot and m.replaced is null
            where o.replaced is null and o.unit in (select value from json_each(@units)) and o.part in (select value from json_each(@parts)) order by o.step_number
            """,
            new { unit, units = RecordJson.Text(runs.Select(r => r.Unit)), parts = RecordJson.Text(watched.Keys) }, null, row => (Unit: row.GetString(0), Part: row.GetString(1), Lot: row.GetString(2)))
            .ToLookup(s => s.Unit, s => $"{watched[s.Part]} {s.Lot}");
        var states = c.Rows(
            "select sequence, state from capture_ref where sequence in (select value from json_each(@steps))", new { steps = RecordJson.Text(runs.Select(r => r.Step)) }, null, row => (Step: row.GetInt64(0), State: row.GetString(1)))
            .ToLookup(s => s.Step, s => s.State);
        return [.. runs.Select(r => new RunBeside(r.Unit, r.Serial, r.Attempt, r.Rig, r.At, r.Verdict, r.Rig == rig, r.Unit == unit ? [] : [.. shared[r.Unit]], StateOf([.. states[r.Step]])))];
    }

    static string StateOf(List<string> files) => files.Contains("kept") ? "kept" : files.Contains("retired") ? "retired" : "missing";
}
