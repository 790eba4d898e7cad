namespace Roadproof.Engineering.Life;

/// <summary>What cycles use up by a straight line of life over range: Σ count · (range / reference)^slope.</summary>
/// <param name="reference">Range that one cycle of damage 1 has, in the signal's unit.</param>
/// <param name="slope">Of the line, as an exponent.</param>
/// <remarks>Linear damage sum (Palmgren and Miner; textbook), no endurance limit, means left aside. Whole slopes are multiplied out, others cost a power each.</remarks>
public struct DamageSum(double reference, double slope) : ICountCycles
{
    readonly double inverse = 1 / reference;
    readonly int whole = slope is >= 1 and <= 32 && slope == Math.Floor(slope) ? (int)slope : 0;

    /// <summary>So far.</summary>
    public double Damage { get; private set; }

    /// <summary>Largest range so far.</summary>
    public double Largest { get; private set; }

    public void Count(double from, double to, double count)
    {
        var range = Math.Abs(to - from);
        if (range > Largest) Largest = range;
        Damage += count * Power(range * inverse);
    }

    readonly double Power(double x)
    {
        if (whole == 0) return Math.Pow(x, slope);
        var (power, square) = (1.0, x);
        for (var n = whole; n > 0; n >>= 1)
        {
            if ((n & 1) != 0) power *= square;
            square *= square;
        }

        return power;
    }
}
