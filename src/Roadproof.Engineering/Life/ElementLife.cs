using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Life;

/// <summary>How an element of a unit wears out.</summary>
public enum Ending
{
    ToothRoot,
    ToothFlank,
    ToothWear,
    Bearing,
    Ageing,
    Bending,
    Clutch,
}

/// <summary>What a load spectrum uses up of one element.</summary>
/// <param name="Id">Such as <c>stage-1-wheel-root</c>.</param>
/// <param name="Slope">Of life over torque; over ten kelvins for what ages: both as exponents. NaN where neither is one.</param>
/// <param name="Damage">1 when a tenth of such elements have failed, by the linear sum.</param>
/// <param name="DamageInterval">From the slope's range and the strength's uncertainty; not from the rides.</param>
/// <param name="DistanceM">Of the spectrum.</param>
/// <param name="Origin">Where strength or rating come from.</param>
/// <param name="Bearing">What a bearing carried; null of every other element, and of one that did not turn.</param>
public sealed record ElementLife(string Id, string Name, Ending Ending, double Slope, double Damage, Interval DamageInterval, double DistanceM, string Origin, BearingLoad? Bearing = null)
{
    /// <summary>Distance until a tenth has failed, m; infinite without damage.</summary>
    public double LifeM => DistanceM / Damage;

    public Interval LifeIntervalM => new(DistanceM / DamageInterval.Upper, DistanceM / DamageInterval.Lower, DamageInterval.Confidence);
}

/// <summary>What a bearing carried over a load spectrum.</summary>
/// <param name="EquivalentN">P of ISO 281 over all its turns: the steady load that uses it up as much.</param>
/// <param name="Turns">Of the bearing.</param>
public sealed record BearingLoad(double EquivalentN, double Turns)
{
    /// <summary>One bearing under several spectra one after the other.</summary>
    /// <returns>Null where it never turned.</returns>
    public static BearingLoad? Together(IEnumerable<BearingLoad?> loads)
    {
        List<BearingLoad> turned = [.. loads.OfType<BearingLoad>().Where(l => l.Turns > 0)];
        return turned switch
        {
            [] => null,
            [var one] => one,
            _ => new(BearingLife.MeanLoadN(turned.Select(l => (l.EquivalentN, l.Turns))), turned.Sum(l => l.Turns)),
        };
    }
}
