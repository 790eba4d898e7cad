using System.Text.Json;
using Dapper;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.Time.Testing;
using Roadproof.App.Frame;
using Roadproof.App.Line;
using Roadproof.App.Tests.Commands;

namespace Roadproof.App.Tests.Demo;

/// <summary>A line whose program is killed without warning in the middle of its work is whole when it opens again, and its views are what its records say.</summary>
public sealed class KilledDemoTests
{
    [Theory]
    [InlineData(1, 90), InlineData(2, 240), InlineData(3, 430)]
    public async Task A_killed_line_opens_whole(int seed, int records)
    {
        using var place = new Folder();
        var data = place["demo"];
        var seen = await KillAfter(records, $"demo --no-serve --units 40 --seed {seed} --data {data}", data);
        var said = await Typed.Line($"records verify --json --data {data}");
        Assert.Equal((0, "[]"), (said.Exit, said.Json.GetProperty("broken").ToString()));
        Assert.True(said.Number("records") >= seen, $"{said.Number("records")} of {seen} records");

        await using var line = await OpenLine.Open(data, new FakeTimeProvider(new DateTimeOffset(2031, 3, 4, 9, 0, 0, TimeSpan.FromHours(1))));
        var before = Views(line);
        await line.Ledger.Rebuild();
        Assert.Equal(before, Views(line));
        Assert.Empty(Directory.EnumerateFiles(Path.Combine(data, "captures", "incoming")));
    }

    static async Task<long> KillAfter(int records, string words, string data)
    {
        using var program = Program.Start(words);
        var (output, error) = (program.StandardOutput.ReadToEndAsync(), program.StandardError.ReadToEndAsync());
        long seen = 0;
        while (seen < records && !program.HasExited)
        {
            await Task.Delay(20);
            seen = Count(Path.Combine(data, "records.db"));
        }

        Assert.False(program.HasExited, await Ended(program, error));
        program.Kill();
        await program.WaitForExitAsync();
        await output;
        return seen;
    }

    static async Task<string> Ended(System.Diagnostics.Process program, Task<string> error) => program.HasExited ? await error : "";

    static long Count(string file)
    {
        if (!File.Exists(file)) return 0;
        using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = file, Mode = SqliteOpenMode.ReadOnly, Pooling = false }.ToString());
        connection.Open();
        return connection.ExecuteScalar<long>("select count(*) from sqlite_master where name = 'ledger'") == 0 ? 0 : connection.ExecuteScalar<long>("select count(*) from ledger");
    }

    // Lines, units and each unit's own story, as the pages would show them.
    static string Views(OpenLine line)
    {
        var units = AskLine.Units(null, null, 0, 500, line);
        return JsonSerializer.Serialize(new { lines = AskLine.Lines(line), units, each = units.Units.Select(u => AskLine.Unit(u.Unit, line)) }, Json.Options);
    }
}
