using Roadproof.Records.Ledger;

namespace Roadproof.Records.Tests;

/// <summary>Many at once: each record has one place, no place is empty, and a raced key counts once.</summary>
public sealed class ManyWritersTests : IDisposable
{
    const int Writers = 64;
    readonly TestFolder place = new();

    public void Dispose() => place.Dispose();

    [Fact]
    public async Task Gives_sixty_four_writers_places_without_gap_or_double()
    {
        using var folder = place.Open();
        await using var ledger = new LineLedger(folder, TimeProvider.System, new ItemCounts());

        var kept = await Task.WhenAll(Enumerable.Range(0, Writers).Select(writer => Task.Run(async () =>
        {
            var own = new List<LedgerRecord>();
            for (var i = 0; i < 50; i++) own.Add(await ledger.Write(t => t.Append(Sample.Record(writer * 50 + i))));
            Assert.Equal(own.OrderBy(r => r.Sequence), own);
            return own;
        })));

        Assert.Equal(Enumerable.Range(1, Writers * 50).Select(n => (long)n), kept.SelectMany(k => k).Select(r => r.Sequence).Order());
        Assert.Equal(Writers * 50, ledger.Head.Size);
        Assert.True(LedgerCheck.Verify(folder).Whole);
    }

    [Fact]
    public async Task Lets_one_of_many_that_race_for_a_key_win()
    {
        using var folder = place.Open();
        await using var ledger = new LineLedger(folder, TimeProvider.System, new ItemCounts());

        for (var key = 1; key <= 30; key++)
        {
            var number = key;
            var found = await Task.WhenAll(Enumerable.Range(0, Writers).Select(writer => Task.Run(() =>
                ledger.Write(t => t.Find($"raced-{number}") ?? t.Append(Sample.Record(writer, key: $"raced-{number}"))))));
            Assert.Single(found.Distinct());
        }

        Assert.Equal(30, ledger.Head.Size);
    }

    [Fact]
    public async Task Tells_its_listeners_of_each_commit_in_order_and_survives_a_bad_one()
    {
        using var folder = place.Open();
        var ledger = new LineLedger(folder, TimeProvider.System, new ItemCounts());
        var heard = new List<LedgerHead>();
        ledger.Committed += heard.Add;
        ledger.Committed += _ => throw new InvalidOperationException("a listener's own fault");

        await Task.WhenAll(Enumerable.Range(0, 200).Select(n => ledger.Write(t => t.Append(Sample.Record(n)))));
        await ledger.Write(t => t.Find("nothing")?.Key ?? "");
        await ledger.DisposeAsync();

        Assert.Equal(heard.OrderBy(h => h.Size), heard);
        Assert.Equal(heard.Count, heard.Distinct().Count());
        Assert.Equal(ledger.Head, heard[^1]);
        Assert.Equal(200, ledger.Head.Size);
    }

    [Fact]
    public async Task Readers_see_only_what_is_durable_and_never_wait()
    {
        using var folder = place.Open();
        await using var ledger = new LineLedger(folder, TimeProvider.System, new ItemCounts());
        await ledger.Write(t => t.Append(Sample.Record(1)));

        var seen = await ledger.Write(t =>
        {
            t.Append(Sample.Record(2));
            using var reading = folder.ReadConnection();
            return LedgerRows.After(reading, 0).Count();
        });

        Assert.Equal(1, seen);
        using var afterwards = folder.ReadConnection();
        Assert.Equal(2, LedgerRows.After(afterwards, 0).Count());
    }
}
