using Microsoft.Data.Sqlite;

namespace Roadproof.Records.Ledger;

/// <summary>Reads records out of the ledger.</summary>
public static class LedgerRows
{
    internal const string Columns =
        "sequence, key, kind, item, station, occurred_at, received_at, person, body, body_version, previous_hash, hash";

    /// <summary>The record with this key, or null.</summary>
    public static LedgerRecord? WithKey(SqliteConnection connection, string key, SqliteTransaction? transaction = null) =>
        Read(connection, $"select {Columns} from ledger where key = $value", key, transaction).FirstOrDefault();

    /// <summary>The first record and the newest; null where there is none.</summary>
    public static (LedgerRecord First, LedgerRecord Newest)? Ends(SqliteConnection connection)
    {
        var ends = Read(connection, $"select {Columns} from ledger where sequence in ($value, (select max(sequence) from ledger)) order by sequence", 1, null).ToList();
        return ends.Count == 0 ? null : (ends[0], ends[^1]);
    }

    /// <summary>The head of what the connection sees.</summary>
    public static LedgerHead Head(SqliteConnection connection)
    {
        using var command = connection.CreateCommand();
        command.CommandText = "select size, root from ledger_tip";
        using var reader = command.ExecuteReader();
        reader.Read();
        return new(reader.GetInt64(0), Convert.ToHexStringLower(reader.GetFieldValue<byte[]>(1)));
    }

    /// <summary>Everything about one unit, lot or revision, oldest first.</summary>
    public static IEnumerable<LedgerRecord> OfItem(SqliteConnection connection, string item, SqliteTransaction? transaction = null) =>
        Read(connection, $"select {Columns} from ledger where item = $value order by sequence", item, transaction);

    /// <summary>Every record of some kinds, oldest first.</summary>
    public static IEnumerable<LedgerRecord> OfKinds(SqliteConnection connection, IReadOnlyList<string> kinds, SqliteTransaction? transaction = null) =>
        Read(connection, $"select {Columns} from ledger where kind in (select value from json_each($value)) order by sequence", System.Text.Json.JsonSerializer.Serialize(kinds), transaction);

    /// <summary>The records after a place, oldest first; 0 gives all of them. Read while the connection stays open.</summary>
    public static IEnumerable<LedgerRecord> After(SqliteConnection connection, long sequence, SqliteTransaction? transaction = null) =>
        Read(connection, $"select {Columns} from ledger where sequence > $value order by sequence", sequence, transaction);

    static IEnumerable<LedgerRecord> Read(SqliteConnection connection, string sql, object value, SqliteTransaction? transaction)
    {
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.Transaction = transaction;
        command.Parameters.AddWithValue("$value", value);
        using var reader = command.ExecuteReader();
        while (reader.Read()) yield return Row(reader);
    }

    internal static LedgerRecord Row(SqliteDataReader row) => new(
        Sequence: row.GetInt64(0),
        Key: row.GetString(1),
        Kind: row.GetString(2),
        Item: row.GetString(3),
        Station: row.GetString(4),
        OccurredAt: LedgerTime.Read(row.GetString(5)),
        ReceivedAt: LedgerTime.Read(row.GetString(6)),
        Person: row.GetString(7),
        Body: row.GetString(8),
        BodyVersion: row.GetInt32(9),
        PreviousHash: Convert.ToHexStringLower(row.GetFieldValue<byte[]>(10)),
        Hash: Convert.ToHexStringLower(row.GetFieldValue<byte[]>(11)));
}
