using System.Diagnostics;
using Dapper;
using Roadproof.Engineering.Marking;
using Roadproof.Records.Captures;
using Roadproof.Records.Ledger;
using Roadproof.Records.Stores;

namespace Roadproof.Records.Tests.Crash;

/// <summary>A program that is killed without warning in the middle of its messages has kept everything it acknowledged, and nothing by halves.</summary>
/// <remarks>A kill takes the program away, not the power: what the operating system holds in its caches survives it. That commits reach
/// the disk rests on SQLite's <c>synchronous = full</c> and on our own flush of capture files and their folders.</remarks>
public sealed class KillTests
{
    const int Kills = 20;

    [Fact]
    public async Task Twenty_kills_lose_nothing_that_was_acknowledged()
    {
        using var place = new TestFolder();
        var acknowledged = new List<string>();
        // Where to kill: a seeded choice between the first messages and almost the last.
        var chance = new Random(18);
        var cutShort = 0;

        for (var run = 1; run <= Kills; run++)
        {
            var (lines, killed) = await KillAfter(place.Path, run, chance.Next(5, 950));
            if (killed) cutShort++;
            acknowledged.AddRange(lines);
            await RequireAllThere(place.Path, acknowledged);
        }

        Assert.InRange(cutShort, Kills - 2, Kills);
    }

    static async Task<(List<string> Lines, bool Killed)> KillAfter(string folder, int run, int acknowledgements)
    {
        using var child = Process.Start(Child(folder, run))!;
        var lines = new List<string>();
        using var stuck = new CancellationTokenSource(TimeSpan.FromMinutes(1));
        using var ending = stuck.Token.Register(child.Kill);
        while (await child.StandardOutput.ReadLineAsync(stuck.Token) is { } line)
        {
            lines.Add(line);
            if (lines.Count == acknowledgements) child.Kill();
        }

        await child.WaitForExitAsync();
        Assert.True(lines.Count >= acknowledgements, await child.StandardError.ReadToEndAsync());
        return (lines, child.ExitCode != 0);
    }

    static ProcessStartInfo Child(string folder, int run)
    {
        var program = Environment.ProcessPath!;
        var start = new ProcessStartInfo(program) { RedirectStandardOutput = true, RedirectStandardError = true, UseShellExecute = false };
        if (Path.GetFileNameWithoutExtension(program) == "dotnet")
        {
            start.ArgumentList.Add("exec");
            start.ArgumentList.Add(typeof(KillTests).Assembly.Location);
        }

        foreach (var word in new[] { CrashChild.Argument, folder, run.ToString() }) start.ArgumentList.Add(word);
        return start;
    }

    static async Task RequireAllThere(string path, List<string> acknowledged)
    {
        using var folder = DataFolder.Open(path);
        await using var ledger = new LineLedger(folder, TimeProvider.System, new ItemCounts());
        var captures = new CaptureStore(folder, ledger);

        var found = LedgerCheck.Verify(folder);
        Assert.Empty(found.Broken);
        Assert.Equal(ledger.Head, found.Head);

        using var connection = folder.ReadConnection();
        var records = LedgerRows.After(connection, 0).ToDictionary(r => r.Key);
        var serials = connection.Query<(string Serial, string Unit, long Number)>("select serial, unit, number from serial").ToDictionary(s => s.Serial);
        foreach (var words in acknowledged.Where(IsWhole).Select(l => l.Split(' ')))
        {
            if (words[0] == "record") RequireRecord(records[words[1]], words);
            else if (words[0] == "serial") Assert.Equal(words[2], serials[words[1]].Unit);
            else Assert.Equal(CaptureState.Kept, captures.State(words[1]));
        }

        RequireNothingHalf(folder, connection, records, serials.Values);
    }

    // The kill may cut the last line of the program's own output.
    static bool IsWhole(string line) => line.Split(' ') switch
    {
        ["record", _, _, { Length: 64 }] => true,
        ["serial", _, { Length: 10 }] => true,
        ["capture", { Length: 64 }] => true,
        _ => false,
    };

    static void RequireRecord(LedgerRecord record, string[] words)
    {
        Assert.Equal((words[2], words[3]), (record.Sequence.ToString(), record.Hash));
        var sent = CrashChild.Message(int.Parse(words[1].AsSpan(3, 2)), int.Parse(words[1].AsSpan(6)));
        Assert.Equal((sent.Item, sent.OccurredAt, sent.Body.Length), (record.Item, record.OccurredAt, record.Body.Length));
    }

    static void RequireNothingHalf(
        DataFolder folder, Microsoft.Data.Sqlite.SqliteConnection connection, Dictionary<string, LedgerRecord> records, IEnumerable<(string Serial, string Unit, long Number)> serials)
    {
        // Derived tables and records went to disk together.
        Assert.Equal(
            records.Values.GroupBy(r => r.Item).Select(g => (g.Key, g.LongCount())).Order(),
            connection.Query<(string, long)>("select item, records from item_count").Order());
        Assert.Equal(
            records.Values.Where(r => r.Kind == RecordKinds.SerialIssued).Select(r => r.Sequence).Order(),
            connection.Query<long>("select issued_sequence from serial where state = 'issued' order by 1"));
        Assert.Equal(Enumerable.Range(1, serials.Count()).Select(n => (long)n), serials.Select(s => s.Number).Order());
        Assert.All(serials, s => SerialNumber.Parse(s.Serial));
        Assert.Empty(Directory.EnumerateFiles(Path.Combine(folder.CapturesPath, "incoming")));
    }
}
