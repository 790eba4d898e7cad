using Dapper;
using Microsoft.Extensions.Time.Testing;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Ledger;
using Roadproof.Records.Stores;

namespace Roadproof.Records.Tests;

/// <summary>What the ledger promises to those who write to it.</summary>
public sealed class LineLedgerTests : IDisposable
{
    readonly TestFolder place = new();
    readonly FakeTimeProvider clock = new(Sample.Start.AddHours(2));

    public void Dispose() => place.Dispose();

    [Fact]
    public async Task Keeps_what_it_is_given_and_reads_it_back()
    {
        using var folder = place.Open();
        await using var ledger = new LineLedger(folder, clock, new ItemCounts());

        var kept = await ledger.Write(t => t.Append(Sample.Record(1, body: """{ "z": 1.0, "a": "ü" }""")));

        Assert.Equal(1, kept.Sequence);
        Assert.Equal("""{"a":"ü","z":1}""", kept.Body);
        Assert.Equal(new string('0', 64), kept.PreviousHash);
        Assert.Equal(clock.GetUtcNow(), kept.ReceivedAt);
        using var connection = folder.ReadConnection();
        var read = Assert.Single(LedgerRows.OfItem(connection, kept.Item));
        Assert.Equal(kept, read);
        Assert.Equal(TimeSpan.FromHours(1), read.OccurredAt.Offset);
    }

    [Fact]
    public async Task Has_let_go_of_the_file_when_it_is_closed()
    {
        // The log beside the file goes with the last connection.
        for (var i = 1; i <= 20; i++)
        {
            using var folder = place.Open();
            var ledger = new LineLedger(folder, clock, new ItemCounts());
            await ledger.Write(t => t.Append(Sample.Record(i)));
            await ledger.DisposeAsync();
            Assert.False(File.Exists(Path.Combine(place.Path, "records.db-wal")), $"still open after start {i}");
        }
    }

    [Fact]
    public async Task A_question_is_answered_at_one_moment()
    {
        using var folder = place.Open();
        await using var ledger = new LineLedger(folder, clock, new ItemCounts());
        await ledger.Write(t => t.Append(Sample.Record(1)));
        var (before, meanwhile, after) = folder.Ask(c =>
        {
            var first = LedgerRows.Head(c);
            ledger.Write(t => t.Append(Sample.Record(2))).GetAwaiter().GetResult();
            return (first, LedgerRows.Head(c), LedgerRows.After(c, 0).Count());
        });
        Assert.Equal((before, before.Size), (meanwhile, after));
        Assert.Equal(ledger.Head, folder.Ask(LedgerRows.Head));
        Assert.Equal(2, ledger.Head.Size);
    }

    [Fact]
    public async Task Chains_each_item_on_its_own()
    {
        using var folder = place.Open();
        await using var ledger = new LineLedger(folder, clock, new ItemCounts());

        var (a1, b1, a2) = await ledger.Write(t => (
            t.Append(Sample.Record(1, item: "A")), t.Append(Sample.Record(2, item: "B")), t.Append(Sample.Record(3, item: "A"))));

        Assert.Equal(new string('0', 64), b1.PreviousHash);
        Assert.Equal(a1.Hash, a2.PreviousHash);
    }

    [Fact]
    public async Task Undoes_only_the_work_that_failed()
    {
        using var folder = place.Open();
        await using var ledger = new LineLedger(folder, clock, new ItemCounts());

        var works = Enumerable.Range(1, 60).Select(n => ledger.Write(t =>
        {
            t.Append(Sample.Record(n));
            return n % 3 == 0 ? throw new InputException(new InputError("message", 0, "", "a third", "another")) : n;
        })).ToList();
        foreach (var work in works) await Record.ExceptionAsync(() => work);

        Assert.Equal(40, works.Count(w => w.IsCompletedSuccessfully));
        Assert.All(works.Where(w => w.IsFaulted), w => Assert.IsType<InputException>(w.Exception!.InnerException));
        Assert.Equal(40, ledger.Head.Size);
        using var connection = folder.ReadConnection();
        Assert.Equal(Enumerable.Range(1, 40).Select(n => (long)n), LedgerRows.After(connection, 0).Select(r => r.Sequence));
    }

    [Fact]
    public async Task Goes_on_after_a_restart_where_it_ended()
    {
        LedgerHead ended;
        using (var folder = place.Open())
        await using (var ledger = new LineLedger(folder, clock, new ItemCounts()))
        {
            await ledger.Write(t => Enumerable.Range(1, 21).Select(n => t.Append(Sample.Record(n))).ToList());
            ended = ledger.Head;
        }

        using var again = place.Open();
        await using var reopened = new LineLedger(again, clock, new ItemCounts());
        Assert.Equal(ended, reopened.Head);
        Assert.Equal(22, (await reopened.Write(t => t.Append(Sample.Record(22)))).Sequence);
    }

    [Fact]
    public async Task Refuses_a_key_that_it_has()
    {
        using var folder = place.Open();
        await using var ledger = new LineLedger(folder, clock, new ItemCounts());
        await ledger.Write(t => t.Append(Sample.Record(1)));

        var bug = await Assert.ThrowsAsync<InvalidOperationException>(() => ledger.Write(t => t.Append(Sample.Record(1))));

        Assert.StartsWith("Bug in Roadproof: the key st30-000001 is in the ledger already", bug.Message);
        Assert.Equal(1, ledger.Head.Size);
    }

    [Fact]
    public async Task Has_a_database_that_says_no_to_change()
    {
        using var folder = place.Open();
        await using var ledger = new LineLedger(folder, clock, new ItemCounts());
        await ledger.Write(t => t.Append(Sample.Record(1)));

        var update = Assert.Throws<Microsoft.Data.Sqlite.SqliteException>(() => place.Tamper("update ledger set person = 'x'"));
        var delete = Assert.Throws<Microsoft.Data.Sqlite.SqliteException>(() => place.Tamper("delete from ledger"));

        Assert.Contains("The ledger is append-only: add a correcting record that points at this one.", update.Message);
        Assert.Contains("The ledger is append-only: nothing is deleted", delete.Message);
    }

    [Fact]
    public async Task Will_not_be_used_after_the_work_is_done()
    {
        using var folder = place.Open();
        await using var ledger = new LineLedger(folder, clock, new ItemCounts());

        var escaped = await ledger.Write(t => t);

        Assert.Throws<InvalidOperationException>(() => escaped.Append(Sample.Record(1)));
    }

    [Fact]
    public async Task Says_that_it_is_closed()
    {
        using var folder = place.Open();
        var ledger = new LineLedger(folder, clock, new ItemCounts());
        await ledger.DisposeAsync();

        await Assert.ThrowsAsync<ObjectDisposedException>(() => ledger.Write(t => t.Append(Sample.Record(1))));
    }

    [Fact]
    public async Task Keeps_nothing_when_the_disk_is_full_and_goes_on_when_there_is_room()
    {
        using var folder = place.Open();
        await using var ledger = new LineLedger(folder, clock, new ItemCounts());
        await ledger.Write(t => t.Append(Sample.Record(0)));
        await ledger.Write(t => t.Connection.Execute($"pragma max_page_count = {t.Connection.ExecuteScalar<long>("pragma page_count") + 2}"));
        var before = ledger.Head;
        var large = $$"""{"note":"{{new string('x', 100_000)}}"}""";

        var works = Enumerable.Range(1, 20).Select(n => ledger.Write(t => t.Append(Sample.Record(n, body: large)))).ToList();
        foreach (var work in works)
        {
            var full = await Assert.ThrowsAsync<NotKeptException>(() => work);
            Assert.Equal("The disk is full: nothing of this was kept. Make room; the same message may then be sent again.", full.Message);
        }

        Assert.Equal(before, ledger.Head);
        await ledger.Write(t => t.Connection.Execute("pragma max_page_count = 1000000"));
        Assert.Equal(2, (await ledger.Write(t => t.Append(Sample.Record(1, body: large)))).Sequence);
        using var connection = folder.ReadConnection();
        Assert.Equal(2, LedgerRows.After(connection, 0).Count());
    }

    [Fact]
    public void Keeps_a_second_program_out()
    {
        using var folder = place.Open();

        var refused = Assert.Throws<InputException>(() => DataFolder.Open(place.Path));

        Assert.Equal(
            $"{place.Path}: found a folder in use by process {Environment.ProcessId}, expected a data folder that no other program has open. Stop that program, or choose another folder with --data.",
            refused.Message);
    }

    [Fact]
    public void Refuses_tables_of_a_newer_version()
    {
        place.Open().Dispose();
        place.Tamper("insert into schema_step values (9999, 'from-the-future')");

        var refused = Assert.Throws<InputException>(() => place.Open());

        Assert.Contains("found step 9999", refused.Message);
        Assert.Contains("written by a newer version", refused.Message);
    }

    [Fact]
    public void Refuses_a_file_that_is_no_database()
    {
        File.WriteAllText(Path.Combine(place.Path, "records.db"), string.Join(' ', Enumerable.Repeat("not a database", 200)));

        var refused = Assert.Throws<InputException>(() => place.Open());

        Assert.Contains("no whole SQLite database", refused.Message);
    }
}
