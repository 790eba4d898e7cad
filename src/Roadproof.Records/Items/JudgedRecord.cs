using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Ledger;
using Roadproof.Records.Lots;
using Roadproof.Records.Rework;

namespace Roadproof.Records.Items;

/// <summary>Lays out a verdict that came after its step.</summary>
static class JudgedRecord
{
    public static void Apply(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var d = RecordJson.Read<JudgedBody>(record.Body).Decided;
        var at = Utc.Text(record.OccurredAt);
        if (d.LoadTest is { } run) LoadTest(record, c, t, d, run, at);
        CurveRecord.Lay(c, t, record, d.Unit, d.Step, d.Attempt, d.StepSequence, d.Curves);
        UnitReadings.Lay(c, t, record, d.Unit, d.Step, d.Attempt, d.Rig, d.Readings);
        UnitScrews.Lay(c, t, d.Unit, d.Step, d.Attempt, d.Screws);
        if (!d.Completes) return;

        c.Run(
            "update unit_step set verdict = @Verdict, word = @Word, stands = @Stands, safety_failed = @SafetyFailed where unit = @Unit and step = @Step and attempt = @Attempt",
            new { d.Verdict, d.Word, d.Stands, d.SafetyFailed, d.Unit, d.Step, d.Attempt }, t);
        if (d.Verdict is "fail" or "hold") Units.Stopped(c, t, d.Unit, at);
        Units.AddHolds(c, t, record, d.Unit, d.Holds);
        if (!d.Overtaken) Units.MoveOn(c, t, d.Unit, at, d.Next, d.Good);
        Units.RefreshState(c, t, d.Unit);
    }

    static void LoadTest(LedgerRecord record, SqliteConnection c, SqliteTransaction t, JudgedDecision d, LoadTestDecision run, string at)
    {
        if (d.Completes) c.Run("delete from load_test where sequence = @StepSequence and state = 'waiting'", new { d.StepSequence }, t);
        c.Run(
            """
            insert into load_test (sequence, step_sequence, unit, rig, attempt, at, state, judgement, problem, method, rig_standing)
            values (@Sequence, @StepSequence, @Unit, @Rig, @Attempt, @at, @State, @judgement, @Problem, @method, @rigStanding)
            """,
            new
            {
                record.Sequence, d.StepSequence, d.Unit, d.Rig, d.Attempt, at, run.State,
                judgement = run.Verdict is null ? null : RecordJson.Text(run.Verdict), run.Problem, method = run.Verdict?.Method ?? "", rigStanding = run.Rig is null ? null : RecordJson.Text(run.Rig),
            },
            t);
        if (d.Completes && d.Attempt == 1 && run.Verdict is { } verdict) UnitResiduals.Keep(c, t, d.Unit, d.Rig, verdict);
    }
}

/// <summary>Lays out what becomes of captures after they were named.</summary>
static class CaptureRecord
{
    public static void Kept(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var body = RecordJson.Read<CaptureKeptBody>(record.Body);
        c.Run(
            """
            insert into capture (sha256, state, bytes, at) values (@Item, 'kept', @Bytes, @at)
            on conflict (sha256) do update set state = excluded.state, bytes = excluded.bytes, at = excluded.at
            """,
            new { record.Item, body.Bytes, at = Utc.Text(record.OccurredAt) }, t);
        c.Run("update capture_ref set state = 'kept' where sha256 = @Item", new { record.Item }, t);
    }

    public static void Retired(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        c.Run("update capture set state = 'retired' where sha256 = @Item", new { record.Item }, t);
        c.Run("update capture_ref set state = 'retired' where sha256 = @Item", new { record.Item }, t);
    }
}

/// <summary>Lays out what a person did to a unit.</summary>
static class UnitActRecord
{
    public static void Held(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var body = RecordJson.Read<UnitActBody>(record.Body);
        Units.AddHolds(c, t, record, body.Decided.Unit, [new(body.Said.Reason, "person")]);
        Units.RefreshState(c, t, body.Decided.Unit);
    }

    public static void Released(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var (said, d) = RecordJson.Read<UnitActBody>(record.Body);
        var at = Utc.Text(record.OccurredAt);
        CloseHolds(record, c, t, d, said.Reason);
        foreach (var step in d.Accepted)
            c.Run("update unit_step set stands = 1 where unit = @Unit and step = @Step and attempt = @Attempt", new { d.Unit, step.Step, step.Attempt }, t);
        // The step that it goes back to is where the repair is done; what comes after is tested anew.
        for (var i = 0; i < d.Undone.Count; i++)
            c.Run("update unit_step set stands = 0, sent_back = 1, repaired = max(repaired, @repaired) where unit = @Unit and step = @Step", new { d.Unit, Step = d.Undone[i], repaired = i > 0 || d.Retest }, t);
        if (d.Undone.Count > 0) Units.Stopped(c, t, d.Unit, at);
        ReworkRecord.Finished(record, c, t, d.Unit, d.Found);
        if (d.Repair) c.Run("update unit set repairs = repairs + 1 where unit = @Unit", new { d.Unit }, t);
        Units.MoveOn(c, t, d.Unit, at, d.Next, d.Good);
        Units.RefreshState(c, t, d.Unit);
    }

    public static void Scrapped(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var (said, d) = RecordJson.Read<UnitActBody>(record.Body);
        CloseHolds(record, c, t, d, $"scrapped: {said.Reason}");
        c.Run("update unit set scrapped_at = @at, scrap_reason = @Reason where unit = @Unit", new { d.Unit, at = Utc.Text(record.OccurredAt), said.Reason }, t);
        ReworkRecord.Finished(record, c, t, d.Unit, d.Found);
        Units.RefreshState(c, t, d.Unit);
    }

    static void CloseHolds(LedgerRecord record, SqliteConnection c, SqliteTransaction t, UnitActDecision d, string reason) => c.Execute(
        """
        update hold set released_at = @at, release_reason = @reason, released_by = @Person, release_sequence = @Sequence
        where unit = @Unit and cause in @Causes and released_at is null
        """,
        new { d.Unit, d.Causes, reason, at = Utc.Text(record.OccurredAt), record.Person, record.Sequence }, t);
}
