using MathNet.Numerics.Interpolation;

namespace Roadproof.Engineering.Life;

/// <summary>Rating life of rolling bearings.</summary>
/// <remarks>Source: ISO 281:2007 (equations and table values from memory). Radial ball bearings where not said otherwise.</remarks>
public static class BearingLife
{
    public const double BallExponent = 3;
    public const double RollerExponent = 10.0 / 3;

    /// <summary>Turns that nine of ten bearings reach: (C/P)^p million.</summary>
    public static double TurnsL10(double dynamicN, double loadN, double exponent = BallExponent) => 1e6 * Math.Pow(dynamicN / loadN, exponent);

    /// <summary>The steady load that does the damage of several: (Σ qᵢ·Pᵢ^p)^(1/p).</summary>
    /// <param name="loads">Load, N, with its turns or its share of them.</param>
    public static double MeanLoadN(IEnumerable<(double LoadN, double Share)> loads, double exponent = BallExponent)
    {
        ArgumentNullException.ThrowIfNull(loads);
        var (sum, shares) = (0.0, 0.0);
        foreach (var (loadN, share) in loads)
        {
            sum += share * Math.Pow(loadN, exponent);
            shares += share;
        }

        return Math.Pow(sum / shares, 1 / exponent);
    }

    /// <summary>Equivalent load of a deep-groove ball bearing under a radial and an axial force, N.</summary>
    public static double EquivalentN(double radialN, double axialN, double staticN, double geometryFactor)
    {
        if (axialN <= 0) return radialN;
        var relative = Math.Clamp(geometryFactor * axialN / staticN, AxialOverStatic[0], AxialOverStatic[^1]);
        var limit = LimitOf.Interpolate(relative);
        return axialN <= limit * radialN ? radialN : Math.Max(radialN, 0.56 * radialN + FactorOf.Interpolate(relative) * axialN);
    }

    // f0·Fa/C0r, e and Y of radial deep-groove ball bearings, normal clearance (ISO 281, table 3; from memory).
    static readonly double[] AxialOverStatic = [0.172, 0.345, 0.689, 1.03, 1.38, 2.07, 3.45, 5.17, 6.89];
    static readonly LinearSpline LimitOf = LinearSpline.InterpolateSorted(AxialOverStatic, [0.19, 0.22, 0.26, 0.28, 0.30, 0.34, 0.38, 0.42, 0.44]);
    static readonly LinearSpline FactorOf = LinearSpline.InterpolateSorted(AxialOverStatic, [2.30, 1.99, 1.71, 1.55, 1.45, 1.31, 1.15, 1.04, 1.00]);
}
