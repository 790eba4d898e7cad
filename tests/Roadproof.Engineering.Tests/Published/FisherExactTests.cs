using CsCheck;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>Fisher's exact test against figures that others computed.</summary>
public sealed class FisherExactTests
{
    // Fisher's tea: R. A. Fisher, The Design of Experiments (1935), chapter II: all eight cups right by chance once in 70 (from memory); three or four of four right: 17 in 70 (textbook).
    [Theory]
    [InlineData(4, 4, 0, 4, 1.0 / 70)]
    [InlineData(3, 4, 1, 4, 17.0 / 70)]
    [InlineData(0, 10, 5, 10, 1)]
    public void The_lady_tasting_tea(int hits, int of, int otherHits, int otherOf, double p) => Assert.Equal(p, FisherExact.Above(hits, of, otherHits, otherOf), 1e-12);

    // Lot B 9 fails of 210, other lots 11 of 1390: 4.4e-4, as computed independently with exact integer binomials.
    [Fact]
    public void A_lot_with_four_per_cent_of_fails_among_others_with_one() => Assert.Equal(4.4e-4, FisherExact.Above(9, 210, 11, 1390), 0.05e-4);

    // The slow way: count every way of choosing who fails.
    [Fact]
    public void Equals_counting_every_choice() => Gen.Select(Gen.Int[1, 7], Gen.Int[1, 7], Gen.Int[0, 6]).Sample((of, otherOf, failed) =>
    {
        var all = of + otherOf;
        if (failed > all) return;
        var choices = Enumerable.Range(0, 1 << all).Where(set => int.PopCount(set) == failed).Select(set => int.PopCount(set & ((1 << of) - 1))).ToList();
        foreach (var hits in Enumerable.Range(0, Math.Min(of, failed) + 1).Where(h => failed - h <= otherOf))
            Assert.Equal(choices.Count(h => h >= hits) / (double)choices.Count, FisherExact.Above(hits, of, failed - hits, otherOf), 1e-9);
    });
}
