using Microsoft.Data.Sqlite;

namespace Roadproof.Records.Ledger;

/// <summary>Reads rows of the ledger as the bytes they are; a million of them without making a million objects.</summary>
sealed class LedgerRowReader : IDisposable
{
    readonly SqliteCommand command;
    readonly SqliteDataReader reader;

    public LedgerRowReader(SqliteConnection connection, string where, SqliteTransaction? transaction, params (string Name, object Value)[] values)
    {
        command = connection.CreateCommand();
        command.CommandText = $"select {LedgerRows.Columns}, skew_ms from ledger {where}";
        command.Transaction = transaction;
        foreach (var (name, value) in values) command.Parameters.AddWithValue(name, value);
        reader = command.ExecuteReader();
    }

    public long Sequence { get; private set; }
    public ReadOnlySpan<byte> Kind => Bytes(2);
    public ReadOnlySpan<byte> Item => Bytes(3);
    public ReadOnlySpan<byte> OccurredAt => Bytes(5);
    public ReadOnlySpan<byte> ReceivedAt => Bytes(6);
    public ReadOnlySpan<byte> PreviousHash => Bytes(10);
    public ReadOnlySpan<byte> Hash => Bytes(11);
    public long SkewMs => SQLitePCL.raw.sqlite3_column_int64(reader.Handle, 12);

    public bool Next()
    {
        if (!reader.Read()) return false;
        Sequence = SQLitePCL.raw.sqlite3_column_int64(reader.Handle, 0);
        return true;
    }

    public RecordBytes Record(long sequence) => new()
    {
        Sequence = sequence,
        Key = Bytes(1),
        Kind = Kind,
        Item = Item,
        Station = Bytes(4),
        OccurredAt = OccurredAt,
        ReceivedAt = ReceivedAt,
        Person = Bytes(7),
        Body = Bytes(8),
        BodyVersion = SQLitePCL.raw.sqlite3_column_int64(reader.Handle, 9),
        PreviousHash = PreviousHash,
    };

    // A text column read as a blob gives its UTF-8 bytes where they lie.
    ReadOnlySpan<byte> Bytes(int column) => SQLitePCL.raw.sqlite3_column_blob(reader.Handle, column);

    public void Dispose()
    {
        reader.Dispose();
        command.Dispose();
    }
}
