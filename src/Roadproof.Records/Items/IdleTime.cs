using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Items;

/// <summary>How long a unit had stood when a run began, by its own records: since a load test or a step that turns its gears has ended.</summary>
public static class IdleTime
{
    /// <param name="unit">Shell code, or a reference unit's code.</param>
    /// <param name="startedAt">As the capture says it; null where it does not.</param>
    /// <returns>Hours; null where no record says when it was turned last.</returns>
    public static double? Hours(SqliteConnection c, string unit, RouteRevision revision, DateTimeOffset? startedAt)
    {
        if (startedAt is not { } at) return null;
        var steps = revision.Steps.Where(s => s.TurnsGears || s.Kind == StepKind.LoadTest).Select(s => s.Id).ToList();
        var turned = Utc.ReadOrNull(c.ExecuteScalar<string?>(
            """
            select max(at) from (
              select s.ended_at at from unit_step s where s.unit = @unit and s.step in @steps and s.ended_at < @at
              union all select r.at from ledger l join reference_run r on r.sequence = l.sequence where l.item = @unit and r.at < @at)
            """,
            new { unit, steps, at = Utc.Text(at) }));
        return turned is { } then ? (at - then).TotalHours : null;
    }
}
