using System.Security.Cryptography;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Captures;
using Roadproof.Records.Ledger;
using Roadproof.Records.Stores;

namespace Roadproof.Records.Tests;

public sealed class CaptureStoreTests : IAsyncLifetime
{
    readonly TestFolder place = new();
    readonly byte[] bytes = [.. Enumerable.Range(0, 300_000).Select(i => (byte)(i * 31 >> 3))];
    readonly string name;
    DataFolder folder = null!;
    LineLedger ledger = null!;
    CaptureStore store = null!;

    public CaptureStoreTests() => name = Convert.ToHexStringLower(SHA256.HashData(bytes));

    public ValueTask InitializeAsync()
    {
        folder = place.Open();
        ledger = new LineLedger(folder, TimeProvider.System, new ItemCounts());
        store = new CaptureStore(folder, ledger);
        return ValueTask.CompletedTask;
    }

    public async ValueTask DisposeAsync()
    {
        await ledger.DisposeAsync();
        folder.Dispose();
        place.Dispose();
    }

    string FilePath => Path.Combine(place.Path, "captures", name[..2], name + ".parquet");

    [Fact]
    public async Task Keeps_a_capture_once_and_gives_it_back()
    {
        Assert.Equal(CaptureState.Awaited, store.State(name));
        Assert.Null(store.Open(name));

        Assert.Equal(new KeptCapture(name, bytes.Length, New: true), await store.Keep(name, new MemoryStream(bytes)));
        Assert.Equal(new KeptCapture(name, bytes.Length, New: false), await store.Keep(name.ToUpperInvariant(), new MemoryStream(bytes)));

        Assert.Equal(CaptureState.Kept, store.State(name));
        Assert.Equal(1, ledger.Head.Size);
        await using var opened = store.Open(name)!;
        Assert.Equal(name, Convert.ToHexStringLower(SHA256.HashData(opened)));
        Assert.True(LedgerCheck.Verify(folder).Whole);
    }

    [Fact]
    public async Task Refuses_bytes_that_do_not_hash_to_the_name_and_leaves_nothing()
    {
        var refused = await Assert.ThrowsAsync<InputException>(() => store.Keep(name, new MemoryStream(bytes, 0, 200_000)));

        Assert.StartsWith("capture: sha256: found 200000 bytes that hash to ", refused.Message);
        Assert.EndsWith("send the whole file again. Nothing was kept.", refused.Message);
        Assert.Empty(Directory.EnumerateFiles(folder.CapturesPath, "*", SearchOption.AllDirectories));
        Assert.Equal(0, ledger.Head.Size);
    }

    [Fact]
    public async Task Leaves_nothing_when_the_sender_breaks_off()
    {
        await Assert.ThrowsAsync<EndOfStreamException>(() => store.Keep(name, new BrokenOff(bytes)));

        Assert.Empty(Directory.EnumerateFiles(folder.CapturesPath, "*", SearchOption.AllDirectories));
    }

    [Theory]
    [InlineData("../../../etc/passwd"), InlineData(""), InlineData("abc"), InlineData("zz5fee19a8f4c1f3d6bb0f34d1c4d6d9f8f3ad8c6bfa8d8ed56d9a33f7fa1bc0")]
    public async Task Refuses_a_name_that_is_no_hash(string wrong)
    {
        await Assert.ThrowsAsync<InputException>(() => store.Keep(wrong, new MemoryStream(bytes)));
        Assert.Throws<InputException>(() => store.Open(wrong));
    }

    [Fact]
    public async Task Takes_the_same_capture_from_many_senders_at_once()
    {
        var kept = await Task.WhenAll(Enumerable.Range(0, 16).Select(_ => Task.Run(() => store.Keep(name, new MemoryStream(bytes)))));

        Assert.Single(kept, k => k.New);
        Assert.Equal(1, ledger.Head.Size);
        Assert.Single(Directory.EnumerateFiles(folder.CapturesPath, "*", SearchOption.AllDirectories));
    }

    [Fact]
    public async Task Retired_is_not_missing()
    {
        await store.Keep(name, new MemoryStream(bytes));

        var record = (await store.Retire(name, "passed, and 500 newer runs are kept", "rule")).Done;

        Assert.Equal(RecordKinds.CaptureRetired, record!.Kind);
        Assert.False(File.Exists(FilePath));
        Assert.Equal(CaptureState.Retired, store.State(name));
        var found = LedgerCheck.Verify(folder);
        Assert.Equal((true, 1L), (found.Whole, found.Retired));
        Assert.StartsWith("Capture", (await store.Retire(name, "again", "rule")).Refused!.Reason);
    }

    [Fact]
    public async Task A_file_that_is_gone_or_changed_is_placed()
    {
        await store.Keep(name, new MemoryStream(bytes));

        await using (var file = new FileStream(FilePath, FileMode.Open)) file.WriteByte(0xFF);
        Assert.Equal(new BrokenPlace($"capture {name}", "Changed: the file's bytes do not hash to its name."), Assert.Single(LedgerCheck.Verify(folder).Broken));

        File.Delete(FilePath);
        Assert.Equal(CaptureState.Missing, store.State(name));
        Assert.Equal(new BrokenPlace($"capture {name}", "Missing: the file is gone and no record retired it."), Assert.Single(LedgerCheck.Verify(folder).Broken));

        await store.Keep(name, new MemoryStream(bytes));
        Assert.True(LedgerCheck.Verify(folder).Whole);
    }

    [Fact]
    public async Task A_start_clears_what_was_half_received_and_ends_a_retirement()
    {
        await store.Keep(name, new MemoryStream(bytes));
        await store.Retire(name, "rule", "rule");
        File.WriteAllBytes(FilePath, bytes); // as if the power had gone between the record and the deletion
        File.WriteAllBytes(Path.Combine(folder.CapturesPath, "incoming", "half"), [1, 2, 3]);

        _ = new CaptureStore(folder, ledger);

        Assert.Empty(Directory.EnumerateFiles(folder.CapturesPath, "*", SearchOption.AllDirectories));
    }

    sealed class BrokenOff(byte[] bytes) : MemoryStream(bytes)
    {
        public override ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken stop = default) =>
            Position > 100_000 ? throw new EndOfStreamException("the sender broke off") : base.ReadAsync(buffer, stop);
    }
}
