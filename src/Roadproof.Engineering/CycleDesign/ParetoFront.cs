namespace Roadproof.Engineering.CycleDesign;

/// <summary>Designs that no other beats in everything.</summary>
public static class ParetoFront
{
    /// <summary>Which of several designs stand on the front.</summary>
    /// <param name="values">Of each design what is wanted large, in the same order; what is wanted small with its sign turned.</param>
    /// <remarks>Every pair is compared: O(n²). Equal designs do not beat each other.</remarks>
    public static IReadOnlyList<bool> Of(IReadOnlyList<double[]> values)
    {
        ArgumentNullException.ThrowIfNull(values);
        return [.. values.Select(one => !values.Any(other => Beats(other, one)))];
    }

    /// <summary>At least as good in everything, and better in something.</summary>
    public static bool Beats(ReadOnlySpan<double> one, ReadOnlySpan<double> other)
    {
        var better = false;
        for (var i = 0; i < one.Length; i++)
        {
            if (!(one[i] >= other[i])) return false;
            better |= one[i] > other[i];
        }

        return better;
    }
}
