using Microsoft.Data.Sqlite;

namespace Roadproof.Records.Ledger;

/// <summary>What a piece of work on the writer may do: look, decide, append. All of it is kept together or not at all.</summary>
public sealed class LedgerTransaction
{
    readonly LedgerWriter writer;
    bool over;

    internal LedgerTransaction(LedgerWriter writer, DateTimeOffset now) => (this.writer, Now) = (writer, now);

    /// <summary>The connection of the writer; nothing else writes meanwhile.</summary>
    public SqliteConnection Connection => Open().Connection;
    public SqliteTransaction Transaction => Open().Transaction;

    /// <summary>The line's clock when this work began, UTC; every record of this work is received at this time.</summary>
    public DateTimeOffset Now { get; }

    /// <summary>The record with this key, or null; those of this work and of works before it in the same commit are seen too.</summary>
    public LedgerRecord? Find(string key) => LedgerRows.WithKey(Open().Connection, key, writer.Transaction);

    /// <summary>Adds a record at the end of the ledger and brings the derived tables up to it. Its body is put into canonical form.</summary>
    /// <exception cref="InvalidOperationException">The key is taken: look with <see cref="Find"/> first and decide what a repeat means.</exception>
    public LedgerRecord Append(NewRecord record) => Open().Append(record, Now);

    LedgerWriter Open() => over
        ? throw new InvalidOperationException("Bug in Roadproof: a ledger transaction is used after its work was done.")
        : writer;

    internal void End() => over = true;
}
