using System.Security.Cryptography;
using static System.FormattableString;

namespace Roadproof.Records.Ledger;

/// <summary>A hash tree that grows by one leaf at a time and remembers only the peaks of its full subtrees: 32 bytes for each one-bit of its size.</summary>
/// <remarks>Leaf, node and empty hashes as RFC 9162, 2.1.1 (the same as RFC 6962): SHA-256 of 0x00 + entry, of 0x01 + left + right, of nothing.</remarks>
public sealed class MerkleRange
{
    public const int HashBytes = 32;
    const int MostPeaks = 63;

    readonly byte[] peaks = new byte[MostPeaks * HashBytes];
    int count;

    public MerkleRange()
    {
    }

    /// <summary>Takes up a tree where it was left.</summary>
    /// <exception cref="ArgumentException">The number of peaks does not fit the size.</exception>
    public MerkleRange(long size, ReadOnlySpan<byte> peaks)
    {
        count = long.PopCount(size) is var needed && peaks.Length == needed * HashBytes
            ? (int)needed
            : throw new ArgumentException(Invariant($"A tree of {size} leaves has {needed} peaks of {HashBytes} bytes, not {peaks.Length} bytes."), nameof(peaks));
        Size = size;
        peaks.CopyTo(this.peaks);
    }

    /// <summary>How many leaves the tree has.</summary>
    public long Size { get; private set; }

    /// <summary>The roots of its full subtrees from left to right.</summary>
    public ReadOnlySpan<byte> Peaks => peaks.AsSpan(0, count * HashBytes);

    /// <summary>Adds an entry as the next leaf.</summary>
    public void Add(ReadOnlySpan<byte> entry)
    {
        Leaf(entry, Peak(count++));
        // Each trailing one-bit of the size is a full subtree that the new one closes.
        for (var closed = Size++; (closed & 1) == 1; closed >>= 1)
        {
            Node(Peak(count - 2), Peak(count - 1), Peak(count - 2));
            count--;
        }
    }

    /// <summary>The hash over all leaves.</summary>
    public byte[] Root()
    {
        if (count == 0) return SHA256.HashData([]);
        var root = Peak(count - 1).ToArray();
        for (var i = count - 2; i >= 0; i--) Node(Peak(i), root, root);
        return root;
    }

    public MerkleRange Copy() => new(Size, Peaks);

    Span<byte> Peak(int i) => peaks.AsSpan(i * HashBytes, HashBytes);

    internal static void Leaf(ReadOnlySpan<byte> entry, Span<byte> hash)
    {
        Span<byte> both = entry.Length <= 256 ? stackalloc byte[entry.Length + 1] : new byte[entry.Length + 1];
        both[0] = 0;
        entry.CopyTo(both[1..]);
        SHA256.HashData(both, hash);
    }

    internal static void Node(ReadOnlySpan<byte> left, ReadOnlySpan<byte> right, Span<byte> hash)
    {
        Span<byte> both = stackalloc byte[2 * HashBytes + 1];
        both[0] = 1;
        left.CopyTo(both[1..]);
        right.CopyTo(both[(HashBytes + 1)..]);
        SHA256.HashData(both, hash);
    }
}
