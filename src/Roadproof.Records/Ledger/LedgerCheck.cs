using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Captures;
using Roadproof.Records.ReadModel;
using Roadproof.Records.Stores;
using static System.FormattableString;

namespace Roadproof.Records.Ledger;

/// <summary>What a check of the whole ledger found.</summary>
/// <param name="Records">How many records stand in it.</param>
/// <param name="Head">Size and root hash as computed now; compare with one that was noted elsewhere.</param>
/// <param name="Retired">Captures that were deleted under a rule, by a record.</param>
/// <param name="Broken">Every place where the ledger is not what was kept; empty for a whole one.</param>
public sealed record CheckedLedger(long Records, LedgerHead Head, long Retired, IReadOnlyList<BrokenPlace> Broken)
{
    public bool Whole => Broken.Count == 0;
}

/// <param name="Place">Such as "record 17", "records 42 to 99", "head 3000", "tip" or "capture 5f3a…".</param>
public sealed record BrokenPlace(string Place, string Reason);

/// <summary>Reads the whole ledger and names each place that was changed, removed, added or moved, and each capture that is missing or changed.</summary>
/// <remarks>
/// Each record is held against its own hash, the record before it on its item and the heads kept on the way. Someone who rewrites a record <em>and</em>
/// all that follows from it, heads and tip included, can be found only with a head noted outside the data folder: give it as <c>noted</c>.
/// Reads one snapshot; the line may go on meanwhile.
/// </remarks>
public static class LedgerCheck
{
    /// <param name="folder">The data folder.</param>
    /// <param name="noted">A head that was noted elsewhere at an earlier time, if there is one.</param>
    /// <param name="stop">Ends the check early by an <see cref="OperationCanceledException"/>.</param>
    public static CheckedLedger Verify(DataFolder folder, LedgerHead? noted = null, CancellationToken stop = default)
    {
        using var connection = folder.ReadConnection();
        var places = new BrokenPlaces();
        try
        {
            using var snapshot = connection.BeginTransaction(deferred: true);
            return Verify(folder, connection, snapshot, noted, places, stop);
        }
        catch (SqliteException e) when (e.SqliteErrorCode is SQLitePCL.raw.SQLITE_CORRUPT or SQLitePCL.raw.SQLITE_NOTADB)
        {
            places.Add("records.db", $"The database file is damaged ({e.Message}); restore it from a backup.");
            return new(0, new(0, ""), 0, places.All());
        }
    }

    /// <summary>Whether the records of one item are whole: each fits its hash and follows the one before.</summary>
    public static RecordCheck OfItem(SqliteConnection connection, string item)
    {
        var rows = new LedgerRowReader(connection, "where item = $item order by sequence", null, ("$item", item));
        using var closing = rows;
        var chain = new ChainCheck();
        var records = 0;
        while (rows.Next())
        {
            records++;
            if (chain.Fault(rows) is { } fault) return new(records, false, Invariant($"Record {rows.Sequence}: {fault}"));
        }

        return new(records, true, Invariant($"{Figures.Of(records, "record")}, each fits its hash and follows the one before."));
    }

    static CheckedLedger Verify(DataFolder folder, SqliteConnection connection, SqliteTransaction snapshot, LedgerHead? noted, BrokenPlaces places, CancellationToken stop)
    {
        using var rows = new LedgerRowReader(connection, "order by sequence", snapshot);
        var heads = new HeadCheck(connection, snapshot, noted);
        var chain = new ChainCheck();
        var captures = new CaptureCheck();
        long expected = 1, records = 0;
        while (rows.Next())
        {
            stop.ThrowIfCancellationRequested();
            records++;
            if (rows.Sequence != expected)
            {
                places.AddRecords(expected, rows.Sequence - 1, "Missing: a record was removed.");
                heads.Lose();
            }

            expected = rows.Sequence + 1;
            if (chain.Fault(rows) is { } fault) places.AddRecords(rows.Sequence, rows.Sequence, fault);
            if (rows.Sequence > heads.TipSize) places.AddRecords(rows.Sequence, rows.Sequence, Invariant($"Stands behind the end of the ledger, which has {heads.TipSize} records: it was added from outside."));
            heads.Add(rows.Hash, places);
            captures.Note(rows);
        }

        if (heads.TipSize is { } end && expected <= end)
        {
            places.AddRecords(expected, end, "Missing: the ledger was cut off at its end.");
            heads.Lose();
        }

        heads.End(places);
        captures.End(folder, places, stop);
        return new(records, heads.Computed, captures.Retired, places.All());
    }
}

/// <summary>Collects broken places; neighbours with the same fault become one range, so that one removed record does not fill a page.</summary>
sealed class BrokenPlaces
{
    const int MostListed = 1000;

    readonly List<BrokenPlace> all = [];
    (long From, long To, string Reason, int At)? run;
    long left;

    public void Add(string place, string reason)
    {
        if (all.Count < MostListed) all.Add(new(place, reason));
        else left++;
    }

    public void AddRecords(long from, long to, string reason)
    {
        if (run is { } open && open.To + 1 == from && open.Reason == reason)
        {
            run = open with { To = to };
            if (open.At < all.Count) all[open.At] = new(Name(open.From, to), reason);
            return;
        }

        run = (from, to, reason, all.Count);
        Add(Name(from, to), reason);
    }

    public IReadOnlyList<BrokenPlace> All() => left == 0 ? all : [.. all, new("more", Invariant($"{left} more places are broken."))];

    static string Name(long from, long to) => from == to ? Invariant($"record {from}") : Invariant($"records {from} to {to}");
}

/// <summary>Holds each record against its own hash and against the record before it on the same item.</summary>
sealed class ChainCheck
{
    readonly RecordHash recordHash = new();
    readonly Dictionary<string, byte[]> lastHashes = new(StringComparer.Ordinal);
    readonly byte[] computed = new byte[MerkleRange.HashBytes];
    char[] itemBuffer = new char[128];
    long moved;

    /// <summary>What is wrong with a record, or null.</summary>
    public string? Fault(LedgerRowReader row)
    {
        var link = Link(row);
        if (!Fits(row, row.Sequence)) return MovedFrom(row) ?? "Changed: its content does not fit its hash.";
        moved = 0;
        if (LedgerTime.SkewMs(row.OccurredAt, row.ReceivedAt) != row.SkewMs) return "Changed: its clock skew does not fit its times.";
        return link;
    }

    // A change shows at its own place: the chain goes on from the hash that stands there.
    string? Link(LedgerRowReader row)
    {
        var characters = System.Text.Encoding.UTF8.GetMaxCharCount(row.Item.Length);
        if (itemBuffer.Length < characters) itemBuffer = new char[characters];
        var item = itemBuffer.AsSpan(0, System.Text.Encoding.UTF8.GetChars(row.Item, itemBuffer));
        var byItem = lastHashes.GetAlternateLookup<ReadOnlySpan<char>>();
        if (row.Hash.Length != MerkleRange.HashBytes) return null;
        if (byItem.TryGetValue(item, out var last))
        {
            var follows = row.PreviousHash.SequenceEqual(last);
            row.Hash.CopyTo(last);
            return follows ? null : $"Does not follow the record before it on {item}: that one was changed, removed or added.";
        }

        byItem[item] = row.Hash.ToArray();
        return row.PreviousHash.IndexOfAnyExcept((byte)0) < 0 ? null : $"Names a record before it on {item} that is not there.";
    }

    // An inserted or removed record moves all behind it: say that, and not of each that it was changed.
    string? MovedFrom(LedgerRowReader row)
    {
        foreach (var shift in (ReadOnlySpan<long>)[moved, -1, 1])
        {
            if (shift == 0 || !Fits(row, row.Sequence + shift)) continue;
            moved = shift;
            return shift < 0
                ? Invariant($"Moved: was kept {-shift} place before this one.")
                : Invariant($"Moved: was kept {shift} place behind this one.");
        }

        return null;
    }

    bool Fits(LedgerRowReader row, long sequence)
    {
        recordHash.Of(row.Record(sequence), computed);
        return row.Hash.SequenceEqual(computed);
    }
}

/// <summary>Grows the hash tree again and holds it against the tip and every head that was kept.</summary>
sealed class HeadCheck
{
    readonly MerkleRange tree = new();
    readonly Dictionary<long, byte[]> kept;
    readonly Tip? tip;
    readonly LedgerHead? noted;
    byte[]? atTip;
    byte[]? atNoted;
    bool gap;
    bool changed;
    long lastGood;

    public HeadCheck(SqliteConnection connection, SqliteTransaction snapshot, LedgerHead? noted)
    {
        this.noted = noted;
        tip = connection.QuerySingleOrDefault<Tip>("select size, root, peaks from ledger_tip", transaction: snapshot);
        kept = connection.Query<Kept>("select size, root from ledger_head", transaction: snapshot).ToDictionary(h => h.Size, h => h.Root);
    }

    public long? TipSize => tip?.Size;
    public LedgerHead Computed => new(tree.Size, Convert.ToHexStringLower(tree.Root()));

    /// <summary>A record is missing: nothing can be said of the heads behind it.</summary>
    public void Lose() => gap = true;

    public void Add(ReadOnlySpan<byte> hash, BrokenPlaces places)
    {
        tree.Add(hash);
        if (tree.Size == TipSize) atTip = tree.Root();
        if (tree.Size == noted?.Size) atNoted = tree.Root();
        if (kept.Remove(tree.Size, out var root)) Compare(root, places);
        else if (!gap && tree.Size % LedgerWriter.RecordsBetweenHeads == 0 && !(tree.Size > TipSize)) places.Add(Invariant($"head {tree.Size}"), "Missing: a head was removed.");
    }

    public void End(BrokenPlaces places)
    {
        if (tip is null && tree.Size > 0) places.Add("tip", "Missing: it says where the ledger ends.");
        if (gap) return;
        foreach (var size in kept.Keys.Order()) places.Add(Invariant($"head {size}"), "The ledger ends before this head: records were cut off, or the head was added.");
        if (tip is not null && atTip is not null && !(atTip.AsSpan().SequenceEqual(tip.Root) && PeaksFit()))
            places.Add("tip", Invariant($"The hash over the first {tip.Size} records is not the one the tip names."));
        if (noted is not null && (atNoted is null || Convert.ToHexStringLower(atNoted) != noted.RootHash))
            places.Add("noted head", Invariant($"The first {noted.Size} records are not those of the head that was noted: the ledger was rewritten."));
    }

    void Compare(byte[] root, BrokenPlaces places)
    {
        // Behind the first head that fails all others must fail too.
        if (gap || changed) return;
        if (tree.Root().AsSpan().SequenceEqual(root)) lastGood = tree.Size;
        else
        {
            places.Add(Invariant($"head {tree.Size}"), Invariant($"The records {lastGood + 1} to {tree.Size} are not those that this head was taken of, or the head was changed."));
            changed = true;
        }
    }

    bool PeaksFit() => tree.Size != TipSize || tree.Peaks.SequenceEqual(tip!.Peaks);

    sealed record Tip(long Size, byte[] Root, byte[] Peaks);

    sealed record Kept(long Size, byte[] Root);
}
