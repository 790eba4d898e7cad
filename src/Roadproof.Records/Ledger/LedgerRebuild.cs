using Microsoft.Data.Sqlite;

namespace Roadproof.Records.Ledger;

/// <summary>Empties the derived tables and fills them again from every record.</summary>
static class LedgerRebuild
{
    /// <returns>How many records were applied.</returns>
    public static long Run(SqliteConnection connection, SqliteTransaction transaction, IDerive derive)
    {
        derive.Clear(connection, transaction);
        long applied = 0;
        foreach (var record in LedgerRows.After(connection, 0, transaction))
        {
            derive.Apply(record, connection, transaction);
            applied++;
        }

        return applied;
    }
}
