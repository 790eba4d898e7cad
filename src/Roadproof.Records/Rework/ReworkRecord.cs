using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Rework;

/// <summary>Lays out what a repairer did.</summary>
static class ReworkRecord
{
    public static void Swapped(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var (said, d) = RecordJson.Read<PartSwapBody>(record.Body);
        PartUses.TakeOut(record, c, t, d.Unit, d.Out.Part, d.Step);
        c.Run(
            """
            insert into part_out (sequence, unit, part, lot, serial, built_unit, step, step_number, quantity, place, reason, at, person)
            values (@Sequence, @Unit, @Part, @Lot, @Serial, @BuiltUnit, @Step, @Number, @Quantity, @Place, @Reason, @at, @Person)
            """,
            new
            {
                record.Sequence, d.Unit, d.Out.Part, d.Out.Lot, d.Out.Serial, d.Out.BuiltUnit, d.Step, d.Number, d.Out.Quantity, d.Place, said.Reason, at = Utc.Text(record.OccurredAt), record.Person,
            },
            t);
        if (d.Place == PartPlaces.Stock) BackToStock(c, t, d.Out.Lot, d.Out.Quantity);
        if (d.Out.BuiltUnit is { } built) Built(record, c, t, built, d.Place, $"Out of {d.Unit}: {said.Reason.TrimEnd('.')}");
        if (d.In is { } into) PartUses.PutIn(record, c, t, d.Unit, into, d.Step, d.Number, PartUses.AtRework, d.Station);
        Units.AddHolds(c, t, record, d.Unit, [d.Hold]);
        Units.Stopped(c, t, d.Unit, Utc.Text(record.OccurredAt));
    }

    public static void Placed(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var (said, d) = RecordJson.Read<PartPlacingBody>(record.Body);
        c.Run("update part_out set place = @Place where sequence = @Swap", new { said.Place, d.Swap }, t);
        if (said.Place == PartPlaces.Stock) BackToStock(c, t, d.Lot, d.Quantity);
    }

    public static void Measured(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var (said, d) = RecordJson.Read<UnitMeasurementBody>(record.Body);
        c.Run(
            "insert into rework_measurement (sequence, unit, id, name, value, unit_word, text, at, person) values (@Sequence, @Unit, @Id, @Name, @Value, @word, @Text, @at, @Person)",
            new { record.Sequence, d.Unit, d.Id, d.Name, said.Value, word = said.UnitWord ?? "", said.Text, at = Utc.Text(record.OccurredAt), record.Person }, t);
    }

    /// <summary>The unit has gone back, or has ended: what was swapped on it is settled, and what was found is kept.</summary>
    public static void Finished(LedgerRecord record, SqliteConnection c, SqliteTransaction t, string unit, ReworkFinding? found)
    {
        c.Run("update part_out set settled = 1 where unit = @unit and settled = 0", new { unit }, t);
        if (found is null) return;
        c.Run(
            """
            insert into rework_finding (sequence, unit, step, cause, named, named_word, probability, at, person)
            values (@Sequence, @unit, @Step, @Cause, @Named, @NamedWord, @Probability, @at, @Person)
            """,
            new { record.Sequence, unit, found.Step, found.Cause, found.Named, found.NamedWord, found.Probability, at = Utc.Text(record.OccurredAt), record.Person }, t);
    }

    static void BackToStock(SqliteConnection c, SqliteTransaction t, string? lot, int quantity)
    {
        if (lot is not null) c.Run("update lot set used = used - @quantity where lot = @lot", new { lot, quantity }, t);
    }

    // What the plant built itself is a unit: it is held or scrapped as one.
    static void Built(LedgerRecord record, SqliteConnection c, SqliteTransaction t, string built, string place, string reason)
    {
        if (place == PartPlaces.Hold) Units.AddHolds(c, t, record, built, [new(reason, "person")]);
        if (place == PartPlaces.Scrap) c.Run("update unit set scrapped_at = @at, scrap_reason = @reason where unit = @built", new { built, reason, at = Utc.Text(record.OccurredAt) }, t);
        Units.RefreshState(c, t, built);
    }
}
