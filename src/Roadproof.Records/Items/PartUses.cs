using Microsoft.Data.Sqlite;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Items;

/// <summary>Parts as they go into a unit and come out of it again: each use has a beginning and, once it is over, an end.</summary>
static class PartUses
{
    /// <summary>The attempt that stands beside a part which a repair put in: its step has not been done again yet.</summary>
    public const int AtRework = 0;

    /// <summary>The part comes out, and with it what it had brought in.</summary>
    public static void TakeOut(LedgerRecord record, SqliteConnection c, SqliteTransaction t, string unit, string part, string step) => c.Run(
        """
        update part_use set replaced = @Sequence, out_at = @at where unit = @unit and step = @step and replaced is null
          and (part = @part and via is null or via in (select built_unit from part_use where unit = @unit and part = @part and step = @step and replaced is null and via is null))
        """,
        new { record.Sequence, at = Utc.Text(record.OccurredAt), unit, part, step }, t);

    public static void PutIn(LedgerRecord record, SqliteConnection c, SqliteTransaction t, string unit, UsedPart part, string step, int number, int attempt, string station)
    {
        var at = Utc.Text(record.OccurredAt);
        c.Run(
            """
            insert into part_use (unit, part, lot, serial, step, step_number, attempt, used_at, sequence, built_unit)
            values (@unit, @Part, @Lot, @Serial, @step, @number, @attempt, @at, @Sequence, @BuiltUnit)
            """,
            new { unit, part.Part, part.Lot, part.Serial, step, number, attempt, at, record.Sequence, part.BuiltUnit }, t);
        if (part.BuiltUnit is not null) BringIn(record, c, t, unit, part.BuiltUnit, step, number, attempt);
        if (part.Lot is null) return;
        c.Run("update lot set used = used + @Quantity where lot = @Lot", new { part.Quantity, part.Lot }, t);

        // A report of something earlier may come after a later use. A repair takes a piece of it and leaves the lot where it lies.
        c.Run(
            """
            insert into lot_opening (lot, part, station, opened_at, sequence) values (@Lot, @Part, @station, @at, @Sequence)
            on conflict (lot) do update set station = case when @attempt = @AtRework then station else excluded.station end,
              opened_at = min(opened_at, excluded.opened_at), sequence = excluded.sequence
            """,
            new { part.Lot, part.Part, station, at, record.Sequence, attempt, AtRework }, t);
    }

    /// <summary>The step is done again with the very part that is in the unit: the one with the same number, or the piece that a repair has put in. It stays where it is.</summary>
    public static bool Stays(SqliteConnection c, SqliteTransaction t, string unit, UsedPart part, string step, int attempt) => c.Run(
        """
        update part_use set attempt = @attempt where unit = @unit and part = @Part and step = @step and replaced is null and via is null
          and lot is @Lot and serial is @Serial and built_unit is @BuiltUnit and (serial is not null or attempt = @AtRework)
        """,
        new { attempt, unit, part.Part, step, part.Lot, part.Serial, part.BuiltUnit, AtRework }, t) > 0;

    static void BringIn(LedgerRecord record, SqliteConnection c, SqliteTransaction t, string unit, string built, string step, int number, int attempt) => c.Run(
        """
        insert into part_use (unit, part, lot, serial, step, step_number, attempt, used_at, sequence, built_unit, via)
        select @unit, part, lot, serial, @step, @number, @attempt, used_at, @Sequence, built_unit, @built from part_use where unit = @built and replaced is null
        """,
        new { unit, step, number, attempt, record.Sequence, built }, t);
}
