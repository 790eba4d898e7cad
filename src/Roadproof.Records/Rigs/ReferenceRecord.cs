using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Rigs;

/// <summary>Lays out a reference unit's run, and what it stops.</summary>
static class ReferenceRecord
{
    public static void Apply(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var (said, d) = RecordJson.Read<ReferenceRunBody>(record.Body);
        c.Run(
            """
            insert into reference_run (sequence, rig, reference, kind, at, outcome, reason, verdict, level)
            values (@Sequence, @Rig, @Reference, @Kind, @at, @Outcome, @Reason, @verdict, @level)
            """,
            new
            {
                record.Sequence, d.Rig, d.Reference, d.Kind, at = Utc.Text(record.OccurredAt), d.Outcome, d.Reason,
                verdict = d.Readings is null ? null : RecordJson.Text(d.Readings with { Level = Engineering.LoadTest.Rigs.RigLevel.None }),
                level = d.Outcome == "good" && d.Readings is { } readings ? RecordJson.Text(readings.Level) : null,
            },
            t);
        foreach (var capture in said.Captures)
        {
            var kept = c.Any("select 1 from capture where sha256 = @Sha256 and state = 'kept'", new { capture.Sha256 }, t);
            c.Run(
                "insert or ignore into capture_ref (sha256, unit, step, attempt, name, state, named_at, sequence) values (@Sha256, @Item, @Step, @Sequence, @Name, @state, @at, @Sequence)",
                new { capture.Sha256, record.Item, said.Step, capture.Name, state = kept ? "kept" : "retired", at = Utc.Text(record.OccurredAt), record.Sequence }, t);
        }

        for (var i = 0; i < d.Held.Count; i++)
        {
            Suspect(record, c, t, d.Rig, d.Held[i]);
            Units.AddHolds(c, t, record, d.Held[i].Unit, [new($"{d.Rig} judged it after it had last been right: {d.Reason}", TakeReferenceRun.Cause(d.Rig))], from: i);
            Units.RefreshState(c, t, d.Held[i].Unit);
            // What such a rig read says nothing of the lots in the unit.
            c.Run("delete from unit_residual where unit = @Unit and rig = @Rig", new { d.Held[i].Unit, d.Rig }, t);
        }

        foreach (var unit in d.Shipped) Suspect(record, c, t, d.Rig, unit);
        Stations.Done(c, t, record, record.Item);
    }

    static void Suspect(LedgerRecord record, SqliteConnection c, SqliteTransaction t, string rig, SuspectUnit unit) => c.Run(
        "insert or ignore into rig_suspect (unit, rig, attempt, sequence, run_sequence) values (@Unit, @rig, @Attempt, @Sequence, @RunSequence)",
        new { unit.Unit, rig, unit.Attempt, record.Sequence, unit.RunSequence }, t);
}
