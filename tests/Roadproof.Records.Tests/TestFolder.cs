using Dapper;
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
    bool made;

    public void Apply(LedgerRecord record, SqliteConnection connection, SqliteTransaction transaction)
    {
        Make(connection, transaction);
        connection.Execute(
            "insert into item_count values (@Item, 1, @Hash) on conflict (item) do update set records = records + 1, last = excluded.last", record, transaction);
    }

    public void Clear(SqliteConnection connection, SqliteTransaction transaction)
    {
        Make(connection, transaction);
        connection.Execute("delete from item_count", transaction: transaction);
    }

    // A real derivation has its tables from a schema file.
    void Make(SqliteConnection connection, SqliteTransaction transaction)
    {
        if (!made) connection.Execute("create table if not exists item_count (item text primary key, records integer not null, last text not null)", transaction: transaction);
        made = true;
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
