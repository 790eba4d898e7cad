using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Lots;

namespace Roadproof.Records.Rigs;

/// <summary>The units whose verdicts rest on runs that a rig may have judged wrong: those since it last showed that it was right, and no others.</summary>
/// <remarks>
/// A verdict rests on a unit's last run; after a fail it rests on two passes. What was reported later counts by the rig's own clock, what was asked by the order in which the line heard it, so that
/// a clock that is set neither hides a run nor adds one. A unit that is to run again anyway is left alone.
/// </remarks>
static class SuspectUnits
{
    /// <param name="good">The record of the run by which the rig last was right; 0 where there is none.</param>
    public static (IReadOnlyList<SuspectUnit> Held, IReadOnlyList<SuspectUnit> Shipped) Of(LedgerTransaction t, string rig, long good)
    {
        var rows = t.Connection.Rows(
            """
            select s.unit, s.attempt, s.sequence, u.serial, u.customer, u.box, u.shipped_at
            from unit_step s join unit u on u.unit = s.unit join ledger l on l.sequence = s.sequence
            where s.station = @rig and s.ended_at is not null and s.sent_back = 0 and s.sequence > @good and u.scrapped_at is null
              and not exists (select 1 from rejudged j where j.unit = s.unit and j.run_sequence = s.sequence and j.released)
              and not (json_extract(l.body, '$.said.kind') = 'report' and s.ended_at < coalesce((select at from reference_run where sequence = @good), ''))
              and (not exists (select 1 from unit_step n where n.unit = s.unit and n.step = s.step and n.attempt > s.attempt)
                or (s.verdict = 'pass' and s.stands = 0 and exists (
                  select 1 from unit_step n where n.unit = s.unit and n.step = s.step and n.attempt = s.attempt + 1 and n.verdict = 'pass' and n.sent_back = 0)
                  and not exists (select 1 from unit_step n where n.unit = s.unit and n.step = s.step and n.attempt > s.attempt + 1)))
            order by s.sequence
            """,
            new { rig, good }, t.Transaction,
            row => new SuspectUnit(row.GetString(0), row.GetInt32(1), row.GetInt64(2), row.Text(6) is null ? null : new ShippedUnit(row.GetString(0), row.Text(3), row.Text(4), row.Text(5))))
            .DistinctBy(s => s.Unit).ToList();
        return (rows.FindAll(r => r.Left is null), rows.FindAll(r => r.Left is not null));
    }
}
