using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Lots;

/// <summary>Lays out what happened to a lot.</summary>
static class LotRecord
{
    public static void Received(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var said = RecordJson.Read<LotReceivedBody>(record.Body).Said;
        c.Run(
            "insert into lot (lot, part, quantity, expires_at, state, received_at) values (@Lot, @Part, @Quantity, @expiresAt, 'open', @at)",
            new { said.Lot, said.Part, said.Quantity, expiresAt = said.ExpiresAt is { } e ? Utc.Text(e) : null, at = Utc.Text(record.OccurredAt) }, t);
    }

    public static void Made(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var d = RecordJson.Read<LotMadeBody>(record.Body).Decided;
        c.Run(
            "insert into lot (lot, part, quantity, expires_at, state, received_at) values (@Lot, @Part, @Quantity, @expiresAt, 'open', @receivedAt)",
            new { d.Lot, d.Part, d.Quantity, expiresAt = d.ExpiresAt is { } e ? Utc.Text(e) : null, receivedAt = Utc.Text(d.ReceivedAt) }, t);
        foreach (var source in d.Sources)
        {
            c.Run("insert into lot_source (lot, source, quantity, sequence) values (@made, @Lot, @Quantity, @Sequence)", new { made = d.Lot, source.Lot, source.Quantity, record.Sequence }, t);
            c.Run("update lot set used = used + @Quantity where lot = @Lot", new { source.Quantity, source.Lot }, t);
        }
    }

    public static void Brought(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var said = RecordJson.Read<LotBroughtBody>(record.Body).Said;
        c.Run("update lot set station = @Station, brought_at = @at, moved = @Sequence where lot = @Lot", new { said.Station, at = Utc.Text(record.OccurredAt), record.Sequence, said.Lot }, t);
        if (said.Counted is { } counted) c.Run("update lot set used = max(0, quantity - @counted) where lot = @Lot", new { counted, said.Lot }, t);
    }

    public static void Held(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var (said, d) = RecordJson.Read<LotActBody>(record.Body);
        c.Run("update lot set state = 'held', reason = @Reason, held_at = @at where lot = @Lot", new { said.Reason, d.Lot, at = Utc.Text(record.OccurredAt) }, t);
        for (var i = 0; i < d.Units.Count; i++)
        {
            Units.AddHolds(c, t, record, d.Units[i], [new($"Lot {d.Lot} is on hold: {said.Reason}", $"lot:{d.Lot}")], from: i);
            Units.RefreshState(c, t, d.Units[i]);
        }
    }

    public static void Released(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var (said, d) = RecordJson.Read<LotActBody>(record.Body);
        var at = Utc.Text(record.OccurredAt);
        c.Run("update lot set state = 'open', reason = null, held_at = null where lot = @Lot", new { d.Lot }, t);
        var cause = $"lot:{d.Lot}";
        var units = c.Query<string>("select unit from hold where cause = @cause and released_at is null", new { cause }, t).AsList();
        c.Run(
            "update hold set released_at = @at, release_reason = @Reason, released_by = @Person, release_sequence = @Sequence where cause = @cause and released_at is null",
            new { at, said.Reason, record.Person, record.Sequence, cause }, t);
        foreach (var unit in units) Units.RefreshState(c, t, unit);
    }

    public static void Shifted(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var finding = RecordJson.Read<LotShiftBody>(record.Body).Decided;
        c.Run(
            "insert into lot_shift (lot, part, family, characteristic, sequence, at, finding) values (@Lot, @Part, @Family, @Characteristic, @Sequence, @at, @finding)",
            new { finding.Lot, finding.Part, finding.Family, finding.Characteristic, record.Sequence, at = Utc.Text(record.OccurredAt), finding = RecordJson.Write(finding) }, t);
    }
}
