using Dapper;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.Time.Testing;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Ledger;
using Roadproof.Records.Marking;
using Roadproof.Records.Stores;

namespace Roadproof.Records.Tests;

/// <summary>Each way of tampering is done to the file itself, with the triggers that forbid it taken away, as someone with the file would.</summary>
public sealed class LedgerCheckTests : IClassFixture<LedgerCheckTests.WholeLedger>, IDisposable
{
    const int Records = 2_345;
    const string WithoutTriggers = "drop trigger ledger_stays; drop trigger ledger_keeps; drop trigger ledger_head_stays; drop trigger ledger_head_keeps;";

    readonly TestFolder place = new();
    readonly LedgerHead head;

    public LedgerCheckTests(WholeLedger whole)
    {
        head = whole.Head;
        File.Copy(Path.Combine(whole.Place.Path, "records.db"), Path.Combine(place.Path, "records.db"));
    }

    public void Dispose() => place.Dispose();

    /// <summary>Written once; each test gets a copy of the file.</summary>
    public sealed class WholeLedger : IAsyncLifetime
    {
        internal TestFolder Place { get; } = new();
        internal LedgerHead Head { get; private set; } = new(0, "");

        public async ValueTask InitializeAsync()
        {
            var clock = new FakeTimeProvider(Sample.Start);
            using var folder = Place.Open();
            await using var ledger = new LineLedger(folder, clock, new ItemCounts());
            for (var n = 1; n <= Records; n += 100)
            {
                clock.Advance(TimeSpan.FromSeconds(57));
                var from = n;
                await ledger.Write(t => Enumerable.Range(from, Math.Min(100, Records - from + 1)).Select(i => t.Append(Sample.Record(i))).ToList());
            }

            Head = ledger.Head;
        }

        public ValueTask DisposeAsync()
        {
            Place.Dispose();
            return ValueTask.CompletedTask;
        }
    }

    [Fact]
    public void Finds_a_whole_ledger_whole()
    {
        var found = Verify();

        Assert.Empty(found.Broken);
        Assert.Equal((Records, head), (found.Records, found.Head));
    }

    [Theory]
    [InlineData("key = 'st30-999999'")]
    [InlineData("kind = 'step-dond'")]
    [InlineData("item = 'SH-0000099'")]
    [InlineData("station = 'st31'")]
    [InlineData("occurred_at = replace(occurred_at, '+01:00', '+02:00')")]
    [InlineData("received_at = replace(received_at, '2025', '2024')")]
    [InlineData("skew_ms = skew_ms + 1")]
    [InlineData("person = 'p9'")]
    [InlineData("body = replace(body, '.5', '.6')")]
    [InlineData("body_version = 2")]
    [InlineData("previous_hash = zeroblob(32)")]
    [InlineData("hash = zeroblob(32)")]
    [InlineData("hash = x'00'")]
    public void Places_a_change_in_any_field(string change)
    {
        place.Tamper($"{WithoutTriggers} update ledger set {change} where sequence = 1717");

        Assert.Contains(Verify().Broken, b => b.Place == "record 1717" && b.Reason.StartsWith("Changed", StringComparison.Ordinal));
    }

    // Whoever can change a record can compute its hash anew: the next record on the item and the heads know better.
    [Fact]
    public void Places_a_record_that_was_changed_with_its_hash()
    {
        using (var connection = Rewrite())
        {
            var was = LedgerRows.WithKey(connection, "st30-001717")!;
            var hash = HashOf(was with { Person = "p9" });
            connection.Execute("update ledger set person = 'p9', hash = @hash where sequence = 1717", new { hash });
        }

        var broken = Verify().Broken;
        Assert.Contains(broken, b => b.Place == "record 1724" && b.Reason.StartsWith("Does not follow the record before it on SH-0000002", StringComparison.Ordinal));
        Assert.Contains(broken, b => b.Place == "head 2000" && b.Reason.StartsWith("The records 1001 to 2000", StringComparison.Ordinal));
    }

    // The last record of an item has none behind it: the tip still knows.
    [Fact]
    public void Finds_the_last_record_changed_with_its_hash()
    {
        using (var connection = Rewrite())
        {
            var was = LedgerRows.WithKey(connection, $"st30-{Records:d6}")!;
            connection.Execute("update ledger set person = 'p9', hash = @hash where sequence = @Records", new { hash = HashOf(was with { Person = "p9" }), Records });
        }

        Assert.Contains(Verify().Broken, b => b.Place == $"head {Records}");
        Assert.Contains(Verify().Broken, b => b.Place == "tip");
    }

    [Fact]
    public void Places_a_record_that_was_removed()
    {
        place.Tamper($"{WithoutTriggers} delete from ledger where sequence = 1717");

        var broken = Verify().Broken;
        Assert.Equal(new BrokenPlace("record 1717", "Missing: a record was removed."), broken[0]);
        Assert.Equal("record 1724", broken[1].Place);
        Assert.Equal(2, broken.Count);
    }

    [Fact]
    public void Places_records_that_were_removed_and_the_gap_closed()
    {
        place.Tamper($"{WithoutTriggers} delete from ledger where sequence = 1717; update ledger set sequence = -sequence where sequence > 1717; update ledger set sequence = -sequence - 1 where sequence < 0");

        var broken = Verify().Broken;
        Assert.Equal(new BrokenPlace($"records 1717 to {Records - 1}", "Moved: was kept 1 place behind this one."), broken[0]);
        Assert.Contains(broken, b => b.Place == $"record {Records}" && b.Reason == "Missing: the ledger was cut off at its end.");
    }

    [Fact]
    public void Places_the_end_that_was_cut_off()
    {
        place.Tamper($"{WithoutTriggers} delete from ledger where sequence > 2300");

        Assert.Equal(new BrokenPlace($"records 2301 to {Records}", "Missing: the ledger was cut off at its end."), Assert.Single(Verify().Broken));
    }

    [Fact]
    public void Finds_the_end_cut_off_with_its_tip()
    {
        using (var connection = Rewrite())
        {
            connection.Execute("delete from ledger where sequence > 2300");
            var tree = new MerkleRange();
            foreach (var record in LedgerRows.After(connection, 0)) tree.Add(Convert.FromHexString(record.Hash));
            connection.Execute("update ledger_tip set size = 2300, root = @Root, peaks = @Peaks", new { Root = tree.Root(), Peaks = tree.Peaks.ToArray() });
        }

        Assert.Equal($"head {Records}", Assert.Single(Verify().Broken).Place);
    }

    [Theory]
    [InlineData(1700, 1717), InlineData(1717, 1718)]
    public void Places_two_records_that_were_swapped(int a, int b)
    {
        place.Tamper($"{WithoutTriggers} update ledger set sequence = -1 where sequence = {a}; update ledger set sequence = {a} where sequence = {b}; update ledger set sequence = {b} where sequence = -1");

        var places = Verify().Broken.Select(p => p.Place).ToList();
        Assert.Contains($"record {a}", places);
        Assert.Contains($"record {b}", places);
    }

    [Fact]
    public void Places_a_record_that_was_added_in_the_middle()
    {
        place.Tamper($"""
            {WithoutTriggers} update ledger set sequence = -sequence where sequence >= 1717; update ledger set sequence = -sequence + 1 where sequence < 0;
            insert into ledger select 1717, 'forged', kind, item, station, occurred_at, received_at, skew_ms, person, body, body_version, previous_hash, hash from ledger where sequence = 3;
            """);

        var broken = Verify().Broken;
        Assert.Contains(broken, b => b.Place == "record 1717" && b.Reason.StartsWith("Changed", StringComparison.Ordinal));
        Assert.Contains(broken, b => b.Place == $"records 1718 to {Records + 1}" && b.Reason == "Moved: was kept 1 place before this one.");
        Assert.Contains(broken, b => b.Place == $"record {Records + 1}");
    }

    [Fact]
    public void Places_a_record_that_was_added_at_the_end_with_a_right_hash()
    {
        using (var connection = Rewrite())
        {
            var last = LedgerRows.OfItem(connection, "SH-0000003").Last();
            var forged = last with { Sequence = Records + 1, Key = "forged", PreviousHash = last.Hash };
            connection.Execute("""
                insert into ledger select @next, 'forged', kind, item, station, occurred_at, received_at, skew_ms, person, body, body_version, @previous, @hash from ledger where sequence = @Sequence
                """, new { next = Records + 1, previous = Convert.FromHexString(last.Hash), hash = HashOf(forged), last.Sequence });
        }

        var only = Assert.Single(Verify().Broken);
        Assert.Equal($"record {Records + 1}", only.Place);
        Assert.StartsWith($"Stands behind the end of the ledger, which has {Records} records", only.Reason);
    }

    [Theory]
    [InlineData("update ledger_tip set root = zeroblob(32)", "tip")]
    [InlineData("update ledger_tip set peaks = zeroblob(length(peaks))", "tip")]
    [InlineData("delete from ledger_tip", "tip")]
    [InlineData("update ledger_tip set size = 2346", "record 2346")]
    [InlineData("update ledger_head set root = zeroblob(32) where size = 1000", "head 1000")]
    [InlineData("delete from ledger_head where size = 2000", "head 2000")]
    [InlineData("insert into ledger_head values (5000, zeroblob(32))", "head 5000")]
    public void Places_a_tip_or_head_that_was_changed(string change, string where)
    {
        place.Tamper($"{WithoutTriggers} {change}");

        Assert.Contains(Verify().Broken, b => b.Place == where);
    }

    // The one thing the folder cannot show by itself: everything in it written anew, from the first record to the tip.
    [Fact]
    public async Task Finds_a_ledger_that_was_rewritten_as_a_whole_by_a_head_noted_elsewhere()
    {
        using var forgedPlace = new TestFolder();
        using (var folder = forgedPlace.Open())
        await using (var ledger = new LineLedger(folder, new FakeTimeProvider(Sample.Start), new ItemCounts()))
            await ledger.Write(t => Enumerable.Range(1, Records).Select(i => t.Append(Sample.Record(i))).ToList());
        using var reading = DataFolder.OpenToRead(forgedPlace.Path);

        Assert.True(LedgerCheck.Verify(reading).Whole);
        Assert.Equal("noted head", Assert.Single(LedgerCheck.Verify(reading, head).Broken).Place);
    }

    [Fact]
    public void Does_not_write_on_behind_a_ledger_that_was_changed()
    {
        place.Tamper($"{WithoutTriggers} delete from ledger where sequence = {Records}");
        using var folder = place.Open();

        var refused = Assert.Throws<InputException>(() => new LineLedger(folder, TimeProvider.System, new ItemCounts()));

        Assert.Contains($"found {Records - 1} records, expected the {Records} records and the hash that its tip names", refused.Message);
    }

    [Fact]
    public void Says_of_one_item_whether_its_records_are_whole()
    {
        using var folder = place.Open();
        using var connection = folder.ReadConnection();
        Assert.Equal(new(335, true, "335 records, each fits its hash and follows the one before."), LedgerCheck.OfItem(connection, "SH-0000002"));

        place.Tamper($"{WithoutTriggers} update ledger set person = 'p9' where sequence = 1717");

        Assert.Equal("Record 1717: Changed: its content does not fit its hash.", LedgerCheck.OfItem(connection, "SH-0000002").Word);
        Assert.True(LedgerCheck.OfItem(connection, "SH-0000003").Whole);
    }

    [Fact]
    public async Task A_rebuild_gives_the_same_derived_tables()
    {
        using var folder = place.Open();
        await using var ledger = new LineLedger(folder, TimeProvider.System, new ItemCounts());
        await ledger.Write(t => SerialBook.Issue(t, "SH-0000001", "AL85", "st130", Sample.Start, "p1"));
        var before = Derived(folder);

        Assert.Equal(Records + 1, await ledger.Rebuild());

        Assert.Equal(before, Derived(folder));
        Assert.Equal(8, before.Count);
    }

    [Fact]
    public async Task A_start_rebuilds_derived_tables_that_were_filled_under_an_older_schema()
    {
        List<string> before;
        using (var folder = place.Open()) before = Derived(folder);
        place.Tamper("delete from item_count; update ledger_tip set derived_schema = 1");

        using var again = place.Open();
        await using var ledger = new LineLedger(again, TimeProvider.System, new ItemCounts());

        Assert.Equal(7, before.Count);
        Assert.Equal(before, Derived(again));
    }

    static List<string> Derived(DataFolder folder)
    {
        using var connection = folder.ReadConnection();
        return [.. connection.Query<string>("select item || ' ' || records || ' ' || last from item_count union all select serial || unit || state || issued_sequence from serial order by 1")];
    }

    CheckedLedger Verify()
    {
        using var folder = DataFolder.OpenToRead(place.Path);
        return LedgerCheck.Verify(folder);
    }

    SqliteConnection Rewrite()
    {
        place.Tamper(WithoutTriggers);
        var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = Path.Combine(place.Path, "records.db"), Pooling = false }.ToString());
        connection.Open();
        return connection;
    }

    // The independent slow way: the record as one JSON object, put into canonical form, hashed.
    static byte[] HashOf(LedgerRecord r) => System.Security.Cryptography.SHA256.HashData(System.Text.Encoding.UTF8.GetBytes(CanonicalJson.From(new
    {
        sequence = r.Sequence,
        key = r.Key,
        kind = r.Kind,
        item = r.Item,
        station = r.Station,
        occurredAt = r.OccurredAt.ToString("O"),
        receivedAt = r.ReceivedAt.ToString("O"),
        person = r.Person,
        body = System.Text.Json.JsonDocument.Parse(r.Body).RootElement,
        bodyVersion = r.BodyVersion,
        previousHash = r.PreviousHash,
    })));

    [Fact]
    public void A_record_hashes_to_the_canonical_form_of_what_it_says()
    {
        using var folder = place.Open();
        using var connection = folder.ReadConnection();
        Assert.All(LedgerRows.OfItem(connection, "SH-0000002"), r => Assert.Equal(r.Hash, Convert.ToHexStringLower(HashOf(r))));
    }
}
