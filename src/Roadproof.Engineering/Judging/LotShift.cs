using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Judging;

/// <summary>How the units of one lot read in one characteristic on one rig.</summary>
/// <param name="Rig">The rig that read them: its own error is common to all of its readings.</param>
/// <param name="Units">How many units.</param>
/// <param name="SigmaSum">Sum of their standardised residuals, (value − expected) / standard deviation over sound units, each as <see cref="LotShift.Counted"/>.</param>
public sealed record LotReadings(string Rig, int Units, double SigmaSum);

/// <summary>Whether a lot reads differently from what sound units look like.</summary>
/// <param name="Evidence">The mean standardised residual in its own standard deviations.</param>
/// <param name="Effect">The mean residual in the unit of the characteristic.</param>
/// <param name="Interval">Of the effect, same unit.</param>
/// <param name="Different">The evidence lies beyond the threshold and rests on enough units.</param>
public sealed record LotShift(int Units, int Rigs, double Evidence, double Effect, Interval Interval, bool Different)
{
    /// <summary>Evidence needed, looked at after every unit.</summary>
    /// <remarks>
    /// High because every lot is looked at after every unit and in some twenty characteristics: a sound lot of 100 units is wrongly found in one characteristic
    /// about once in 8 600 lots (simulated, without a rig's share; held by the tests).
    /// </remarks>
    public const double Threshold = 4.5;

    /// <summary>No unit counts as farther out than this, in standard deviations: one bad unit is not a bad lot, however bad it is.</summary>
    public const double FarthestCounted = 3;

    /// <summary>A unit's standardised residual as it counts for its lot.</summary>
    public static double Counted(double sigma) => Math.Clamp(sigma, -FarthestCounted, FarthestCounted);

    /// <summary>Fewer units of a lot are no evidence against it: the lot of one bad unit is not a bad lot.</summary>
    public const int FewestUnits = 3;

    /// <param name="perRig">One line for each rig that read units of the lot.</param>
    /// <param name="rigShare">Share of the variance over sound units that stays for a rig: its gain and zero; 0 to 1. The rest is drawn anew for every
    /// unit.</param>
    /// <param name="standardDeviation">Over sound units, in the unit of the characteristic.</param>
    /// <remarks>
    /// Var(mean) = unitShare/n + rigShare·Σ(n_rig/n)²: units average out, a rig's error does so only over rigs. Assumes the rigs' errors are independent of
    /// each other
    /// and the residuals normal. A wide enough rig share can hide a real shift: then more units on one rig do not help, units on another rig do.
    /// </remarks>
    /// <exception cref="ArgumentException">A share outside 0 to 1, or no units.</exception>
    public static LotShift Test(IReadOnlyList<LotReadings> perRig, double rigShare, double standardDeviation)
    {
        if (rigShare is not (>= 0 and <= 1)) throw new ArgumentOutOfRangeException(nameof(rigShare), rigShare, "A share of the variance lies between 0 and 1.");
        var units = perRig.Sum(r => r.Units);
        if (units < 1) throw new ArgumentException("A lot without readings cannot be tested.", nameof(perRig));

        var mean = perRig.Sum(r => r.SigmaSum) / units;
        var rigs = perRig.Where(r => r.Units > 0).GroupBy(r => r.Rig, StringComparer.Ordinal).Select(g => (double)g.Sum(r => r.Units) / units).ToArray();
        var sdOfMean = Math.Sqrt((1 - rigShare) / units + rigShare * rigs.Sum(share => share * share));
        var evidence = mean / sdOfMean;
        var half = Normal.Quantile(0.975) * sdOfMean * standardDeviation;
        var effect = mean * standardDeviation;
        return new(units, rigs.Length, evidence, effect, new(effect - half, effect + half, 0.95), Math.Abs(evidence) > Threshold && units >= FewestUnits);
    }
}
