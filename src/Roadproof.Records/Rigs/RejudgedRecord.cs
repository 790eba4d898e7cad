using Microsoft.Data.Sqlite;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Rigs;

/// <summary>Lays out a run judged again. Steps, verdicts and readings stay as they were; only a hold for the rig may end.</summary>
static class RejudgedRecord
{
    public static void Apply(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var (said, d) = RecordJson.Read<RejudgedBody>(record.Body);
        var at = Utc.Text(record.OccurredAt);
        c.Run(
            """
            insert into rejudged (sequence, unit, rig, attempt, run_sequence, wrong_sequence, at, outcome, released, judgement)
            values (@Sequence, @Unit, @Rig, @Attempt, @RunSequence, @WrongSequence, @at, @outcome, @Released, @judgement)
            """,
            new { record.Sequence, d.Unit, d.Rig, d.Attempt, d.RunSequence, d.WrongSequence, at, outcome = Word(d.Rejudged.Outcome), d.Released, judgement = RecordJson.Text(d.Rejudged) }, t);
        if (!d.Released) return;
        c.Run(
            "update hold set released_at = @at, release_reason = @Reason, released_by = @Person, release_sequence = @Sequence where unit = @Unit and cause = @cause and released_at is null",
            new { at, said.Reason, record.Person, record.Sequence, d.Unit, cause = TakeReferenceRun.Cause(d.Rig) }, t);
        Units.RefreshState(c, t, d.Unit);
    }

    static string Word(RejudgedAs outcome) => outcome switch { RejudgedAs.Passes => "passes", RejudgedAs.Fails => "fails", _ => "cannot-tell" };
}
