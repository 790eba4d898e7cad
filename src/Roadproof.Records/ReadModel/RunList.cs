using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;

namespace Roadproof.Records.ReadModel;

/// <summary>A judged load test.</summary>
/// <param name="Verdict">pass, fail, hold.</param>
/// <param name="State">Of its captures: kept, retired under a rule, or missing.</param>
public sealed record ListedRun(string Unit, string? Serial, int Attempt, string Rig, DateTimeOffset At, string Verdict, string State);

/// <summary>The newest judged runs of a product.</summary>
public static class RunList
{
    /// <param name="rig">Only of this rig; null for all.</param>
    /// <param name="find">Only of units whose code or serial begins like this; null for all.</param>
    public static IReadOnlyList<ListedRun> Of(SqliteConnection c, string product, string? rig, string? find, int most)
    {
        var runs = c.Rows(
            """
            select l.unit, u.serial, l.attempt, l.rig, l.at, lower(l.judgement ->> '$.verdict'), l.step_sequence from load_test l join unit u on u.unit = l.unit
            where u.product = @product and l.state = 'judged' and l.judgement is not null and (@rig is null or l.rig = @rig)
              and (@find is null or substr(l.unit, 1, length(@find)) = @find collate nocase or substr(u.serial, 1, length(@find)) = @find collate nocase)
            order by l.sequence desc limit @most
            """,
            new { product, rig, find, most }, null,
            row => (Unit: row.GetString(0), Serial: row.Text(1), Attempt: row.GetInt32(2), Rig: row.GetString(3), At: Utc.Read(row.GetString(4)), Verdict: row.GetString(5), Step: row.GetInt64(6)))
            .DistinctBy(r => (r.Unit, r.Attempt)) // a run that was judged anew stands once
            .ToList();
        var states = c.Rows(
            "select sequence, state from capture_ref where sequence in (select value from json_each(@steps))", new { steps = RecordJson.Text(runs.Select(r => r.Step)) }, null, row => (Step: row.GetInt64(0), State: row.GetString(1)))
            .ToLookup(s => s.Step, s => s.State);
        return [.. runs.Select(r => new ListedRun(r.Unit, r.Serial, r.Attempt, r.Rig, r.At, r.Verdict, StateOf([.. states[r.Step]])))];
    }

    static string StateOf(List<string> files) => files.Contains("kept") ? "kept" : files.Contains("retired") ? "retired" : "missing";
}
