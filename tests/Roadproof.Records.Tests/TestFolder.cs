using Microsoft.Data.Sqlite;
using Roadproof.Records.Ledger;
using Roadproof.Records.Stores;

namespace Roadproof.Records.Tests;

/// <summary>A data folder of its own for one test, deleted afterwards.</summary>
sealed class TestFolder : IDisposable
{
    public string Path { get; } = Directory.CreateTempSubdirectory("roadproof-records-").FullName;

    public DataFolder Open() => DataFolder.Open(Path);

    /// <summary>Runs SQL on the file behind the ledger's back.</summary>
    public void Tamper(string sql)
    {
        var to = new SqliteConnectionStringBuilder { DataSource = System.IO.Path.Combine(Path, "records.db"), Pooling = false }.ToString();
        using var connection = new SqliteConnection(to);
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }

    public void Dispose() => Directory.Delete(Path, recursive: true);
}

/// <summary>A derived table that counts the records of each item: enough to see whether derivation and rebuild agree.</summary>
sealed class ItemCounts : IDerive
{
    public void Apply(LedgerRecord record, SqliteConnection connection, SqliteTransaction transaction) => Run(
        """
        create table if not exists item_count (item text primary key, records integer not null, last text not null);
        insert into item_count values ($item, 1, $hash) on conflict (item) do update set records = records + 1, last = excluded.last
        """, connection, transaction, ("$item", record.Item), ("$hash", record.Hash));

    public void Clear(SqliteConnection connection, SqliteTransaction transaction) =>
        Run("drop table if exists item_count", connection, transaction);

    static void Run(string sql, SqliteConnection connection, SqliteTransaction transaction, params (string Name, string Value)[] values)
    {
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.Transaction = transaction;
        foreach (var (name, value) in values) command.Parameters.AddWithValue(name, value);
        command.ExecuteNonQuery();
    }
}

/// <summary>Records for tests, all of invented items.</summary>
static class Sample
{
    public static readonly DateTimeOffset Start = new(2025, 11, 3, 6, 0, 0, TimeSpan.FromHours(1));

    public static NewRecord Record(int number, string? item = null, string? key = null, string? body = null) => new(
        key ?? $"st30-{number:d6}", RecordKinds.StepDone, item ?? $"SH-{number % 7:d7}", "st30", Start.AddSeconds(57 * number), $"p{number % 5}",
        body ?? $$"""{"step":"rotor-in","readings":[{"id":"insertion-force","value":{{200 + number % 100}}.5,"unit":"N"}]}""");
}
