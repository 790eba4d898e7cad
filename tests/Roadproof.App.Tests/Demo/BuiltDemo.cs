using Microsoft.Data.Sqlite;
using Roadproof.App.Tests.Commands;

namespace Roadproof.App.Tests.Demo;

/// <summary>A demo of eight units, built once for all tests that only look at it or at a copy of its records.</summary>
public sealed class BuiltDemo : IAsyncLifetime
{
    internal const string Words = "demo --no-serve --units 8 --seed 5 --json --data";

    internal Folder Place { get; } = new();

    internal Typed Said { get; private set; } = new(-1, "", "");

    internal string Data => Place["demo"];

    public async ValueTask InitializeAsync() => Said = await Typed.Line($"{Words} {Data}");

    public ValueTask DisposeAsync()
    {
        Place.Dispose();
        return ValueTask.CompletedTask;
    }

    /// <summary>The same records in a folder of their own, changed behind the ledger's back, with the triggers that forbid it taken away; the captures are the same files.</summary>
    internal Folder Tampered(string sql)
    {
        var copy = new Folder();
        using (var from = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = Path.Combine(Data, "records.db"), Mode = SqliteOpenMode.ReadOnly, Pooling = false }.ToString()))
        using (var to = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = copy["records.db"], Pooling = false }.ToString()))
        {
            from.Open();
            to.Open();
            from.BackupDatabase(to);
            using var change = to.CreateCommand();
            change.CommandText = $"drop trigger ledger_stays; drop trigger ledger_keeps; drop trigger ledger_head_stays; drop trigger ledger_head_keeps; {sql}";
            change.ExecuteNonQuery();
        }

        Directory.CreateSymbolicLink(copy["captures"], Path.Combine(Data, "captures"));
        return copy;
    }
}
