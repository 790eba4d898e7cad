using System.Numerics;

namespace Roadproof.Records.Ledger;

/// <summary>Short proofs over the hash tree: that a record is in a ledger of which only the head is known, and that a later ledger holds an earlier one.</summary>
/// <remarks>Source: RFC 9162, 2.1.3 (inclusion) and 2.1.4 (consistency), the same trees as RFC 6962. Hashes are 32 bytes each.
/// Making a proof costs O(n) hashes over n leaf hashes; checking one O(log n).</remarks>
public static class MerkleProof
{
    /// <summary>The hash of an entry as a leaf.</summary>
    public static byte[] Leaf(ReadOnlySpan<byte> entry)
    {
        var hash = new byte[MerkleRange.HashBytes];
        MerkleRange.Leaf(entry, hash);
        return hash;
    }

    /// <summary>The root over leaf hashes.</summary>
    public static byte[] Root(ReadOnlySpan<byte[]> leaves)
    {
        if (leaves.IsEmpty) return new MerkleRange().Root();
        if (leaves.Length == 1) return leaves[0];
        var left = LeftOf(leaves.Length);
        return Node(Root(leaves[..left]), Root(leaves[left..]));
    }

    /// <summary>The hashes beside the way from a leaf up to the root.</summary>
    /// <param name="index">The leaf, from 0.</param>
    public static IReadOnlyList<byte[]> Inclusion(ReadOnlySpan<byte[]> leaves, int index)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(index);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(index, leaves.Length);
        if (leaves.Length == 1) return [];
        var left = LeftOf(leaves.Length);
        return index < left
            ? [.. Inclusion(leaves[..left], index), Root(leaves[left..])]
            : [.. Inclusion(leaves[left..], index - left), Root(leaves[..left])];
    }

    /// <summary>Whether a leaf stands at this place in the tree with this root.</summary>
    public static bool IsIncluded(byte[] leaf, long index, long size, IReadOnlyList<byte[]> proof, ReadOnlySpan<byte> root)
    {
        if (index < 0 || index >= size) return false;
        var (node, last, hash) = (index, size - 1, leaf);
        foreach (var beside in proof)
        {
            if (last == 0) return false;
            if ((node & 1) == 1 || node == last)
            {
                hash = Node(beside, hash);
                while ((node & 1) == 0 && node != 0) (node, last) = (node >> 1, last >> 1);
            }
            else
            {
                hash = Node(hash, beside);
            }

            (node, last) = (node >> 1, last >> 1);
        }

        return last == 0 && root.SequenceEqual(hash);
    }

    /// <summary>The hashes that lead from the tree's first <paramref name="oldSize"/> leaves to the whole.</summary>
    public static IReadOnlyList<byte[]> Consistency(ReadOnlySpan<byte[]> leaves, int oldSize)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(oldSize, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(oldSize, leaves.Length);
        return Consistency(leaves, oldSize, whole: true);
    }

    static List<byte[]> Consistency(ReadOnlySpan<byte[]> leaves, int oldSize, bool whole)
    {
        if (oldSize == leaves.Length) return whole ? [] : [Root(leaves)];
        var left = LeftOf(leaves.Length);
        return oldSize <= left
            ? [.. Consistency(leaves[..left], oldSize, whole), Root(leaves[left..])]
            : [.. Consistency(leaves[left..], oldSize - left, whole: false), Root(leaves[..left])];
    }

    /// <summary>Whether the tree of the new root begins with the leaves of the old root.</summary>
    public static bool IsConsistent(long oldSize, ReadOnlySpan<byte> oldRoot, long newSize, ReadOnlySpan<byte> newRoot, IReadOnlyList<byte[]> proof)
    {
        if (oldSize < 1 || oldSize > newSize) return false;
        if (oldSize == newSize) return proof.Count == 0 && oldRoot.SequenceEqual(newRoot);

        // A full subtree as the old tree is its own first hash, so the proof leaves it out.
        List<byte[]> path = BitOperations.IsPow2(oldSize) ? [oldRoot.ToArray(), .. proof] : [.. proof];
        if (path.Count == 0) return false;
        var (node, last) = (oldSize - 1, newSize - 1);
        while ((node & 1) == 1) (node, last) = (node >> 1, last >> 1);

        var (old, now) = (path[0], path[0]);
        foreach (var beside in path.Skip(1))
        {
            if (last == 0) return false;
            if ((node & 1) == 1 || node == last)
            {
                (old, now) = (Node(beside, old), Node(beside, now));
                while ((node & 1) == 0 && node != 0) (node, last) = (node >> 1, last >> 1);
            }
            else
            {
                now = Node(now, beside);
            }

            (node, last) = (node >> 1, last >> 1);
        }

        return last == 0 && oldRoot.SequenceEqual(old) && newRoot.SequenceEqual(now);
    }

    // The largest power of two below the size: the tree's left half.
    static int LeftOf(int size) => 1 << BitOperations.Log2((uint)(size - 1));

    static byte[] Node(ReadOnlySpan<byte> left, ReadOnlySpan<byte> right)
    {
        var hash = new byte[MerkleRange.HashBytes];
        MerkleRange.Node(left, right, hash);
        return hash;
    }
}
