using CsCheck;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Tests.Properties;

/// <summary>What must hold for every tree, against the recursive definition of RFC 9162, 2.1.1 (<see cref="MerkleProof.Root"/>) as the independent slow way.</summary>
public sealed class MerkleProperties
{
    static readonly Gen<byte[][]> Entries = Gen.Byte.Array[0, 40].Array[1, 70];

    [Fact]
    public void Grows_to_the_root_of_the_definition() => Entries.Sample(entries =>
    {
        var range = new MerkleRange();
        foreach (var entry in entries) range.Add(entry);
        Assert.Equal(MerkleProof.Root(Leaves(entries)), range.Root());
    });

    [Fact]
    public void Every_leaf_is_proved_at_its_place_and_nowhere_else() => Entries.Sample(entries =>
    {
        var leaves = Leaves(entries);
        var root = MerkleProof.Root(leaves);
        for (var i = 0; i < leaves.Length; i++)
        {
            var proof = MerkleProof.Inclusion(leaves, i);
            Assert.True(MerkleProof.IsIncluded(leaves[i], i, leaves.Length, proof, root));
            var other = (i + 1) % leaves.Length;
            if (!leaves[other].AsSpan().SequenceEqual(leaves[i])) Assert.False(MerkleProof.IsIncluded(leaves[other], i, leaves.Length, proof, root));
        }
    }, iter: 30);

    [Fact]
    public void Every_earlier_tree_is_proved_and_a_changed_one_is_not() => Entries.Sample(entries =>
    {
        var leaves = Leaves(entries);
        var root = MerkleProof.Root(leaves);
        for (var old = 1; old <= leaves.Length; old++)
        {
            var proof = MerkleProof.Consistency(leaves, old);
            var oldRoot = MerkleProof.Root(leaves.AsSpan(0, old));
            Assert.True(MerkleProof.IsConsistent(old, oldRoot, leaves.Length, root, proof));
            Assert.False(MerkleProof.IsConsistent(old, MerkleProof.Leaf(oldRoot), leaves.Length, root, proof));
        }
    }, iter: 30);

    static byte[][] Leaves(byte[][] entries) => [.. entries.Select(e => MerkleProof.Leaf(e))];
}
