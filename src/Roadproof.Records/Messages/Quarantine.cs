using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Messages;

/// <summary>A message that could not be understood, as it came.</summary>
/// <param name="State">open, replayed, dropped.</param>
public sealed record QuarantineEntry(long Id, DateTimeOffset ReceivedAt, string Station, string Raw, IReadOnlyList<InputError> Errors, string State, DateTimeOffset? ClosedAt, string? ReplayKey);

/// <summary>Keeps what could not be understood until a person mends and replays it. It is no part of the ledger: nothing in it has happened as far as the line knows.</summary>
public static class Quarantine
{
    /// <summary>Keeps a message with everything that is wrong with it. The same text from the same station is kept once.</summary>
    /// <returns>Its number in the quarantine.</returns>
    public static long Keep(LedgerTransaction t, string station, string raw, IReadOnlyList<InputError> errors) =>
        t.Connection.QueryFirstOrDefault<long?>("select id from quarantine where station = @station and raw = @raw and state = 'open'", new { station, raw }, t.Transaction)
        ?? t.Connection.QueryFirst<long>(
            "insert into quarantine (received_at, station, raw, errors, state) values (@at, @station, @raw, @errors, 'open') returning id",
            new { at = Utc.Text(t.Now), station, raw, errors = RecordJson.Write(errors) }, t.Transaction);

    /// <param name="replayKey">The key of the mended message that was taken; null drops the entry.</param>
    /// <returns>Refused where no open entry has that number.</returns>
    public static Outcome<QuarantineEntry> Close(LedgerTransaction t, long id, string? replayKey, string person)
    {
        if (Find(t.Connection, t.Transaction, id) is not { State: "open" })
            return new Refusal($"Nothing open has number {id.ToString(System.Globalization.CultureInfo.InvariantCulture)} in the quarantine.", "Look at the list again; someone else may have closed it.");
        t.Connection.Execute(
            "update quarantine set state = @state, closed_at = @at, closed_by = @person, replay_key = @replayKey where id = @id",
            new { id, state = replayKey is null ? "dropped" : "replayed", at = Utc.Text(t.Now), person, replayKey }, t.Transaction);
        return Find(t.Connection, t.Transaction, id)!;
    }

    /// <summary>What waits for a person, oldest first.</summary>
    public static IReadOnlyList<QuarantineEntry> Open(SqliteConnection connection) =>
        connection.Query<Row>($"{Select} where state = 'open' order by id").Select(r => r.ToEntry()).ToList();

    static QuarantineEntry? Find(SqliteConnection connection, SqliteTransaction? transaction, long id) =>
        connection.QueryFirstOrDefault<Row>($"{Select} where id = @id", new { id }, transaction)?.ToEntry();

    const string Select = "select id, received_at ReceivedAt, station, raw, errors, state, closed_at ClosedAt, replay_key ReplayKey from quarantine";

    sealed record Row(long Id, string ReceivedAt, string Station, string Raw, string Errors, string State, string? ClosedAt, string? ReplayKey)
    {
        public QuarantineEntry ToEntry() =>
            new(Id, Utc.Read(ReceivedAt), Station, Raw, RecordJson.Read<List<InputError>>(Errors), State, Utc.ReadOrNull(ClosedAt), ReplayKey);
    }
}
