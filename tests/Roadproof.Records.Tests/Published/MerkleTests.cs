using System.Text.Json;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Tests.Published;

/// <summary>Source: reference vectors of Certificate Transparency for the tree of RFC 6962 and RFC 9162; status read (see data/README.md).</summary>
public sealed class MerkleTests
{
    static readonly JsonElement Data = JsonDocument.Parse(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Published", "data", "merkle.json"))).RootElement;
    static readonly byte[][] Entries = Hex(Data.GetProperty("leaves_hex"));
    static readonly byte[][] Leaves = [.. Entries.Select(e => MerkleProof.Leaf(e))];
    static readonly byte[][] Roots = Hex(Data.GetProperty("root_by_size"));

    [Theory]
    [InlineData(0), InlineData(1), InlineData(2), InlineData(3), InlineData(4), InlineData(5), InlineData(6), InlineData(7), InlineData(8)]
    public void Has_the_published_root_at_each_size(int size)
    {
        var range = new MerkleRange();
        foreach (var entry in Entries.Take(size)) range.Add(entry);

        Assert.Equal(Roots[size], range.Root());
        Assert.Equal(Roots[size], MerkleProof.Root(Leaves.AsSpan(0, size)));
        Assert.Equal(Roots[size], new MerkleRange(size, range.Peaks).Root());
    }

    [Theory]
    [InlineData(0, "index0_size8"), InlineData(5, "index5_size8")]
    public void Proves_that_a_leaf_is_in_the_tree(int index, string name)
    {
        var published = Hex(Data.GetProperty("inclusion").GetProperty(name));

        Assert.Equal(published, MerkleProof.Inclusion(Leaves, index));
        Assert.True(MerkleProof.IsIncluded(Leaves[index], index, 8, published, Roots[8]));
        Assert.False(MerkleProof.IsIncluded(Leaves[index + 1], index, 8, published, Roots[8]));
    }

    [Theory]
    [InlineData(6, 8, "6_8"), InlineData(2, 5, "2_5")]
    public void Proves_that_a_tree_grew_out_of_another(int oldSize, int newSize, string name)
    {
        var published = Hex(Data.GetProperty("consistency").GetProperty(name));

        Assert.Equal(published, MerkleProof.Consistency(Leaves.AsSpan(0, newSize), oldSize));
        Assert.True(MerkleProof.IsConsistent(oldSize, Roots[oldSize], newSize, Roots[newSize], published));
        Assert.False(MerkleProof.IsConsistent(oldSize, Roots[oldSize - 1], newSize, Roots[newSize], published));
    }

    static byte[][] Hex(JsonElement list) => [.. list.EnumerateArray().Select(e => Convert.FromHexString(e.GetString()!))];
}
