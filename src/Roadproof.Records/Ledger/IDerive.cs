using Microsoft.Data.Sqlite;

namespace Roadproof.Records.Ledger;

/// <summary>Keeps tables that say nothing the ledger does not say. The same code runs when a record is kept and when the tables are rebuilt.</summary>
/// <remarks>Use only the record and the derived tables: no clock, no file, no chance. Otherwise a rebuild gives other tables.</remarks>
public interface IDerive
{
    /// <summary>Brings the tables up to a record, in the transaction that keeps it.</summary>
    void Apply(LedgerRecord record, SqliteConnection connection, SqliteTransaction transaction);

    /// <summary>Empties the tables.</summary>
    void Clear(SqliteConnection connection, SqliteTransaction transaction);
}

/// <summary>Several derivations as one, in the order given.</summary>
sealed class Derivations(params IReadOnlyList<IDerive> parts) : IDerive
{
    public void Apply(LedgerRecord record, SqliteConnection connection, SqliteTransaction transaction)
    {
        foreach (var part in parts) part.Apply(record, connection, transaction);
    }

    public void Clear(SqliteConnection connection, SqliteTransaction transaction)
    {
        foreach (var part in parts.Reverse()) part.Clear(connection, transaction);
    }
}
