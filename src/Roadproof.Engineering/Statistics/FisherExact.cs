using MathNet.Numerics;

namespace Roadproof.Engineering.Statistics;

/// <summary>Fisher's exact test of two shares, one-sided: how often chance alone gives the first group so many of the hits, or more.</summary>
/// <remarks>Source: the hypergeometric distribution with both margins held (textbook).</remarks>
public static class FisherExact
{
    /// <param name="hits">In the group in question.</param>
    /// <param name="of">Size of that group.</param>
    /// <param name="otherHits">In all others.</param>
    /// <param name="otherOf">Size of all others.</param>
    public static double Above(int hits, int of, int otherHits, int otherOf)
    {
        var (all, allHits) = (of + otherOf, hits + otherHits);
        var ways = SpecialFunctions.BinomialLn(all, allHits);
        return Math.Min(1, Enumerable.Range(hits, Math.Min(of, allHits) - hits + 1)
            .Where(k => allHits - k <= otherOf)
            .Sum(k => Math.Exp(SpecialFunctions.BinomialLn(of, k) + SpecialFunctions.BinomialLn(otherOf, allHits - k) - ways)));
    }
}
