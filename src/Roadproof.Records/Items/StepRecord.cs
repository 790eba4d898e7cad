using Microsoft.Data.Sqlite;
using Roadproof.Records.Ledger;
using Roadproof.Records.Lots;
using Roadproof.Records.Marking;

namespace Roadproof.Records.Items;

/// <summary>Lays out the begin or end of a step.</summary>
sealed class StepRecord(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
{
    readonly StepBody body = RecordJson.Read<StepBody>(record.Body);
    readonly string at = Utc.Text(record.OccurredAt);

    StepDecision Decided => body.Decided;

    public void Begun()
    {
        Unit();
        c.Run(
            """
            insert into unit_step (unit, step, attempt, number, station, began_at, person, sequence)
            values (@Unit, @Step, @Attempt, @Number, @Station, @at, @Person, @Sequence)
            on conflict (unit, step, attempt) do update set station = excluded.station, began_at = excluded.began_at, person = excluded.person, sequence = excluded.sequence
            """,
            new { Decided.Unit, Decided.Step, Decided.Attempt, Decided.Number, record.Station, at, record.Person, record.Sequence }, t);
        if (Decided.Attempt > 1) Units.Stopped(c, t, Decided.Unit, at);
        Units.AddHolds(c, t, record, Decided.Unit, Decided.Holds);
        Units.RefreshState(c, t, Decided.Unit);
        Stations.Began(c, t, record, Decided.Unit);
    }

    public void Done()
    {
        Unit();
        if (Decided.MarkSpoiled)
        {
            Spoiled();
            return;
        }

        Step(Decided.Verdict!);
        Parts();
        UnitReadings.Lay(c, t, record, Decided.Unit, Decided.Step, Decided.Attempt, record.Station, Decided.Readings);
        UnitScrews.Lay(c, t, Decided.Unit, Decided.Step, Decided.Attempt, Decided.Screws);
        Captures();
        CurveRecord.Lay(c, t, record, Decided.Unit, Decided.Step, Decided.Attempt, record.Sequence, Decided.Curves);
        LoadTest();
        if (Decided.Attempt > 1 || Decided.Verdict is "fail" or "hold") Units.Stopped(c, t, Decided.Unit, at);
        Units.AddHolds(c, t, record, Decided.Unit, Decided.Holds);
        Units.MoveOn(c, t, Decided.Unit, at, Decided.Next, Decided.Good);
        c.Run(
            """
            update unit set serial = coalesce(@serial, serial), customer = coalesce(@Customer, customer), box = coalesce(@Box, box),
              shipped_at = case when @Shipped then @at else shipped_at end
            where unit = @Unit
            """,
            new { Decided.Unit, serial = Decided.Stands ? Decided.Serial : null, Decided.Customer, Decided.Box, Decided.Shipped, at }, t);
        if (Decided is { Stands: true, Serial: { } marked }) SerialBook.Use(c, t, marked);
        Units.RefreshState(c, t, Decided.Unit);
        Stations.Done(c, t, record, Decided.Unit);
    }

    void Spoiled()
    {
        Step("fail");
        Units.Stopped(c, t, Decided.Unit, at);
        Units.AddHolds(c, t, record, Decided.Unit, Decided.Holds);
        Units.MoveOn(c, t, Decided.Unit, at, Decided.Next, Decided.Good);
        Units.RefreshState(c, t, Decided.Unit);
        Stations.Done(c, t, record, Decided.Unit);
    }

    void Unit()
    {
        if (Decided.Creates) Create();
        if (Decided.Order is { } order) c.Run("update unit set work_order = @order where unit = @Unit", new { order, Decided.Unit }, t);
    }

    void Create()
    {
        c.Run(
            """
            insert into unit (unit, product, revision, state, next_step, ready_since, started_at, sequence)
            values (@Unit, @Product, @Revision, 'building', @Step, @at, @at, @Sequence)
            """,
            new { Decided.Unit, Decided.Product, Decided.Revision, Step = Decided.Next?.Step, at, record.Sequence }, t);
    }

    void Step(string verdict)
    {
        // Only the last attempt can stand.
        if (Decided.Attempt > 1) c.Run("update unit_step set stands = 0 where unit = @Unit and step = @Step", new { Decided.Unit, Decided.Step }, t);
        c.Run(
            """
            insert into unit_step (unit, step, attempt, number, station, ended_at, verdict, stands, safety_failed, word, person, sequence)
            values (@Unit, @Step, @Attempt, @Number, @Station, @at, @verdict, @Stands, @SafetyFailed, @Word, @Person, @Sequence)
            on conflict (unit, step, attempt) do update set station = excluded.station, ended_at = excluded.ended_at, verdict = excluded.verdict, stands = excluded.stands,
              safety_failed = excluded.safety_failed, word = excluded.word, person = excluded.person, sequence = excluded.sequence
            """,
            new
            {
                Decided.Unit, Decided.Step, Decided.Attempt, Decided.Number, record.Station, at, verdict, Decided.Stands, Decided.SafetyFailed, Decided.Word, record.Person, record.Sequence,
            },
            t);
    }

    void Parts()
    {
        foreach (var part in Decided.Parts)
        {
            if (Decided.Attempt > 1)
            {
                if (PartUses.Stays(c, t, Decided.Unit, part, Decided.Step, Decided.Attempt)) continue;
                PartUses.TakeOut(record, c, t, Decided.Unit, part.Part, Decided.Step);
            }

            PartUses.PutIn(record, c, t, Decided.Unit, part, Decided.Step, Decided.Number, Decided.Attempt, record.Station);
        }
    }

    void Captures()
    {
        foreach (var capture in Decided.Captures)
        {
            c.Run(
                "insert into capture_ref (sha256, unit, step, attempt, name, state, named_at, sequence) values (@Sha256, @Unit, @Step, @Attempt, @Name, @state, @at, @Sequence)",
                new { capture.Sha256, Decided.Unit, Decided.Step, Decided.Attempt, capture.Name, state = capture.Kept ? "kept" : "awaited", at, record.Sequence }, t);
        }
    }

    void LoadTest()
    {
        if (Decided.LoadTest is not { } run) return;
        c.Run(
            """
            insert into load_test (sequence, step_sequence, unit, rig, attempt, at, state, judgement, problem, method, rig_standing)
            values (@Sequence, @Sequence, @Unit, @Station, @Attempt, @at, @State, @judgement, @Problem, @method, @rigStanding)
            """,
            new
            {
                record.Sequence, Decided.Unit, record.Station, Decided.Attempt, at, run.State,
                judgement = run.Verdict is null ? null : RecordJson.Text(run.Verdict), run.Problem, method = run.Verdict?.Method ?? "", rigStanding = run.Rig is null ? null : RecordJson.Text(run.Rig),
            },
            t);
        if (run.Verdict is { } verdict && Decided.Attempt == 1) UnitResiduals.Keep(c, t, Decided.Unit, record.Station, verdict);
    }
}

/// <summary>Changes of units that several kinds of record make.</summary>
static class Units
{
    /// <summary>The unit is no first-pass unit any more.</summary>
    public static void Stopped(SqliteConnection c, SqliteTransaction t, string unit, string at) =>
        c.Run("update unit set stopped_at = coalesce(stopped_at, @at) where unit = @unit", new { unit, at }, t);

    public static void MoveOn(SqliteConnection c, SqliteTransaction t, string unit, string at, NextStep? next, bool good) => c.Run(
        "update unit set next_step = @Step, ready_since = @at, good = @good where unit = @unit",
        new { unit, at, good, Step = next?.Step }, t);

    public static void AddHolds(SqliteConnection c, SqliteTransaction t, LedgerRecord record, string unit, IReadOnlyList<DecidedHold> holds, int from = 0)
    {
        for (var i = 0; i < holds.Count; i++)
        {
            c.Run(
                "insert into hold (id, unit, reason, cause, at, by, sequence) values (@id, @unit, @Reason, @Cause, @at, @Person, @Sequence)",
                new { id = HoldId(record, from + i), unit, holds[i].Reason, holds[i].Cause, at = Utc.Text(record.OccurredAt), record.Person, record.Sequence }, t);
        }
    }

    // From the record and the place in it, so that a rebuild gives the same ids; a record stops at most a million units.
    static long HoldId(LedgerRecord record, int index) => record.Sequence * 1_000_000 + index;

    /// <summary>One word for where the unit stands; a unit on hold leaves the station that it was at.</summary>
    public static void RefreshState(SqliteConnection c, SqliteTransaction t, string unit)
    {
        var state = c.Rows(
            """
            update unit set state = case
              when scrapped_at is not null then 'scrapped'
              when shipped_at is not null then 'shipped'
              when exists (select 1 from hold where hold.unit = unit.unit and released_at is null) then 'held'
              when good then 'passed'
              else 'building' end
            where unit = @unit returning state
            """,
            new { unit }, t, row => row.GetString(0)).Single();
        if (state is "held" or "scrapped" or "shipped") Stations.Leave(c, t, unit);
    }
}

/// <summary>Which unit is at which station.</summary>
static class Stations
{
    public static void Began(SqliteConnection c, SqliteTransaction t, LedgerRecord record, string unit)
    {
        Leave(c, t, unit);
        var held = c.Any("select 1 from unit where unit = @unit and state in ('held', 'scrapped', 'shipped')", new { unit }, t);
        Set(c, t, record, held ? null : unit);
    }

    public static void Done(SqliteConnection c, SqliteTransaction t, LedgerRecord record, string unit)
    {
        Leave(c, t, unit);
        var occupied = c.Any("select 1 from station_state where station = @Station and unit is not null", new { record.Station }, t);
        if (!occupied) Set(c, t, record, null);
        else c.Run("update station_state set accepted_sequence = @Sequence where station = @Station", new { record.Station, record.Sequence }, t);
    }

    public static void Leave(SqliteConnection c, SqliteTransaction t, string unit) =>
        c.Run("update station_state set unit = null where unit = @unit", new { unit }, t);

    static void Set(SqliteConnection c, SqliteTransaction t, LedgerRecord record, string? unit) => c.Run(
        """
        insert into station_state (station, unit, since, accepted_sequence) values (@Station, @unit, @at, @Sequence)
        on conflict (station) do update set unit = excluded.unit, since = excluded.since, accepted_sequence = excluded.accepted_sequence
        """,
        new { record.Station, unit, at = Utc.Text(record.OccurredAt), record.Sequence }, t);
}

/// <summary>Lays out a refused request.</summary>
static class RefusedRecord
{
    public static void Apply(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var body = RecordJson.Read<RefusedBody>(record.Body);
        c.Run(
            """
            insert into refusal (sequence, station, item, step, at, reason, remedy, needed, found)
            values (@Sequence, @Station, @Unit, @Step, @at, @Reason, @Remedy, @Needed, @Found)
            """,
            new { record.Sequence, body.Station, body.Unit, body.Said.Step, at = Utc.Text(record.OccurredAt), body.Decided.Reason, body.Decided.Remedy, body.Decided.Needed, body.Decided.Found }, t);
    }
}
