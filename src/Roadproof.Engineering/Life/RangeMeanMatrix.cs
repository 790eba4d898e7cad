using static System.FormattableString;

namespace Roadproof.Engineering.Life;

/// <summary>Load cycles in classes of range and mean; grows to whatever comes, and merges with others.</summary>
/// <remarks>
/// Widths are powers of two in the signal's unit: where a cycle lies outside, a width doubles and pairs of classes become one, exactly. Two matrices of any histories therefore merge without loss beyond the wider classes.
/// A range at the edge of two classes belongs to the upper one. O(1) a cycle; memory: ranges × means.
/// </remarks>
public sealed class RangeMeanMatrix
{
    readonly int classes;
    readonly double[] counts;
    int rangeExponent, meanExponent;
    double rangeWidth, meanWidth;

    /// <param name="classes">Of range and of mean each; an even number of at least 2.</param>
    /// <param name="leastWidth">No class is narrower; rounded up to a power of two.</param>
    public RangeMeanMatrix(int classes, double leastWidth)
    {
        if (classes < 2 || classes % 2 != 0) throw new ArgumentOutOfRangeException(nameof(classes), classes, "An even number of classes, 2 or more.");
        if (!(leastWidth > 0) || !double.IsFinite(leastWidth)) throw new ArgumentOutOfRangeException(nameof(leastWidth), leastWidth, "A width above 0.");
        (this.classes, counts) = (classes, new double[classes * classes]);
        rangeExponent = meanExponent = (int)Math.Ceiling(Math.Log2(leastWidth));
        rangeWidth = meanWidth = Math.ScaleB(1, rangeExponent);
    }

    public int Classes => classes;

    /// <summary>Width of a class of ranges; the first begins at 0.</summary>
    public double RangeWidth => rangeWidth;

    /// <summary>Width of a class of means; half of them lie below 0.</summary>
    public double MeanWidth => meanWidth;

    /// <summary>Cycles of a class, half cycles as halves.</summary>
    public double this[int range, int mean] => counts[range * classes + mean];

    /// <summary>Lower edge of a class of means.</summary>
    public double MeanFrom(int mean) => (mean - classes / 2) * meanWidth;

    /// <summary>All cycles.</summary>
    public double Total => counts.Sum();

    public void Add(double range, double mean, double count)
    {
        while (range >= classes * rangeWidth) WidenRanges();
        while (Math.Abs(mean) >= classes / 2 * meanWidth) WidenMeans();
        counts[(int)(range / rangeWidth) * classes + classes / 2 + (int)Math.Floor(mean / meanWidth)] += count;
    }

    /// <summary>Takes in another matrix of as many classes, which may become as wide as this one on the way.</summary>
    /// <param name="times">How often its history happens: 1000 rides like this one.</param>
    public void Add(RangeMeanMatrix other, double times = 1)
    {
        if (other.classes != classes) throw new ArgumentException(Invariant($"A matrix of {other.classes} classes does not go into one of {classes}."), nameof(other));
        while (rangeExponent < other.rangeExponent) WidenRanges();
        while (meanExponent < other.meanExponent) WidenMeans();
        while (other.rangeExponent < rangeExponent) other.WidenRanges();
        while (other.meanExponent < meanExponent) other.WidenMeans();
        for (var i = 0; i < counts.Length; i++) counts[i] += times * other.counts[i];
    }

    /// <summary>Every class that holds cycles, by the middles of range and mean, largest ranges first.</summary>
    public IEnumerable<CountedCycle> Cycles()
    {
        for (var r = classes - 1; r >= 0; r--)
            for (var m = 0; m < classes; m++)
                if (this[r, m] > 0) yield return new((r + 0.5) * rangeWidth, MeanFrom(m) + meanWidth / 2, this[r, m]);
    }

    void WidenRanges()
    {
        for (var r = 0; r < classes; r++)
            for (var m = 0; m < classes; m++) Move(r * classes + m, r / 2 * classes + m);
        rangeWidth = Math.ScaleB(1, ++rangeExponent);
    }

    // Pairs meet at 0, which stays an edge: from the middle outwards no class is overwritten before it has moved.
    void WidenMeans()
    {
        var middle = classes / 2;
        for (var r = 0; r < classes; r++)
            for (var k = 0; k < middle; k++)
            {
                Move(r * classes + middle + k, r * classes + middle + k / 2);
                Move(r * classes + middle - 1 - k, r * classes + middle - 1 - k / 2);
            }

        meanWidth = Math.ScaleB(1, ++meanExponent);
    }

    void Move(int from, int to)
    {
        if (from == to) return;
        counts[to] += counts[from];
        counts[from] = 0;
    }
}
