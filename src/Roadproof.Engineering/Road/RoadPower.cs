using System.Globalization;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Road;

/// <summary>What holds a bicycle with its rider back.</summary>
/// <remarks>The defaults are an upright rider on an assisted bicycle on asphalt (common practice, no source), and the wheel terms of Martin et al. 1998.</remarks>
public sealed record RoadResistance
{
    public static readonly RoadResistance Default = new();

    /// <summary>Rider, bicycle and load together.</summary>
    public double MassKg { get; init; } = 105;

    /// <summary>Drag area of rider and frame.</summary>
    public double CdaM2 { get; init; } = 0.50;

    /// <summary>Added drag area of the turning wheels.</summary>
    public double WheelDragM2 { get; init; } = 0.0044;

    public double RollingCoefficient { get; init; } = 0.007;

    public double DensityKgPerM3 { get; init; } = 1.225;

    /// <summary>Both wheels together.</summary>
    public double WheelInertiaKgM2 { get; init; } = 0.14;

    public double WheelRadiusM { get; init; } = 0.342;

    /// <summary>Chainring to road: chain, sprockets and derailleur.</summary>
    public double Efficiency { get; init; } = 0.976;

    public double GravityMps2 { get; init; } = 9.80665;
}

/// <summary>The power that a ride takes at one moment, term by term in W.</summary>
/// <param name="TotalW">At the chainring: the sum of the terms divided by the efficiency. Negative where the slope gives more than is lost.</param>
/// <param name="AirW">Air drag of rider, frame and turning wheels; negative with a tailwind faster than the ride.</param>
/// <param name="RollingW">Tyres on the road.</param>
/// <param name="BearingW">Wheel bearings.</param>
/// <param name="GravityW">Lifting (or lowering) the mass.</param>
/// <param name="KineticW">Speeding up the mass and the wheels.</param>
public readonly record struct RoadPower(double TotalW, double AirW, double RollingW, double BearingW, double GravityW, double KineticW)
{
    /// <summary>Power at the chainring for a speed on a gradient.</summary>
    /// <param name="speedMps">Road speed, 0 or more.</param>
    /// <param name="gradient">Rise over run: 0.08 is 8 %.</param>
    /// <param name="resistance">What holds the bicycle back.</param>
    /// <param name="accelerationMps2">Along the road.</param>
    /// <param name="headwindMps">Positive against the rider.</param>
    /// <exception cref="InputException">A value cannot be; every one at once.</exception>
    /// <remarks>
    /// The paper's kinetic term (m + I/r²)(v_f² − v_i²)/(2Δt) in the limit of a short time: (m + I/r²)·a·v.
    /// Source: Martin, Milliken, Cobb, McFadden, Coggan, J. Appl. Biomech. 14(3), 1998, 276–291 (abstract read, form quoted by open projects).
    /// Equations: <c>docs/methods/road.md</c>.
    /// </remarks>
    public static RoadPower At(double speedMps, double gradient, RoadResistance resistance, double accelerationMps2 = 0, double headwindMps = 0)
    {
        RequirePossible(speedMps, gradient, resistance, accelerationMps2, headwindMps);
        return Of(speedMps, gradient, resistance, resistance.DensityKgPerM3, accelerationMps2, headwindMps);
    }

    /// <summary>As <see cref="At"/> without its guard, and with the density of the moment: for the seconds of a ride.</summary>
    internal static RoadPower Of(double speedMps, double gradient, RoadResistance r, double densityKgPerM3, double accelerationMps2, double headwindMps)
    {
        var airSpeedMps = speedMps + headwindMps;
        var cos = 1 / Math.Sqrt(1 + (gradient * gradient));
        var sin = gradient * cos;

        var airW = airSpeedMps * Math.Abs(airSpeedMps) * speedMps * 0.5 * densityKgPerM3 * (r.CdaM2 + r.WheelDragM2);
        var rollingW = speedMps * cos * r.RollingCoefficient * r.MassKg * r.GravityMps2;
        var bearingW = speedMps * (91 + (8.7 * speedMps)) * 1e-3;
        var gravityW = speedMps * r.MassKg * r.GravityMps2 * sin;
        var kineticW = (r.MassKg + (r.WheelInertiaKgM2 / (r.WheelRadiusM * r.WheelRadiusM))) * accelerationMps2 * speedMps;
        return new((airW + rollingW + bearingW + gravityW + kineticW) / r.Efficiency, airW, rollingW, bearingW, gravityW, kineticW);
    }

    internal static void RequirePossible(double speedMps, double gradient, RoadResistance r, double accelerationMps2, double headwindMps)
    {
        List<InputError> errors = [];
        Require("speedMps", speedMps, speedMps >= 0, "a road speed of 0 m/s or more");
        Require("gradient", gradient, Math.Abs(gradient) <= 1, "rise over run between -1 and 1, such as 0.08 for 8 %");
        Require("accelerationMps2", accelerationMps2, true, "a finite number in m/s²");
        Require("windMps", headwindMps, true, "a finite number in m/s, positive against the rider");
        Require("massKg", r.MassKg, r.MassKg > 0, "a mass above 0 kg");
        Require("cdaM2", r.CdaM2, r.CdaM2 >= 0, "a drag area of 0 m² or more");
        Require("fwM2", r.WheelDragM2, r.WheelDragM2 >= 0, "a drag area of 0 m² or more");
        Require("crr", r.RollingCoefficient, r.RollingCoefficient >= 0, "a coefficient of 0 or more, such as 0.007");
        Require("densityKgPerM3", r.DensityKgPerM3, r.DensityKgPerM3 >= 0, "a density of 0 kg/m³ or more");
        Require("wheelInertiaKgM2", r.WheelInertiaKgM2, r.WheelInertiaKgM2 >= 0, "an inertia of 0 kg·m² or more");
        Require("wheelRadiusM", r.WheelRadiusM, r.WheelRadiusM > 0, "a radius above 0 m");
        Require("efficiency", r.Efficiency, r.Efficiency is > 0 and <= 1, "an efficiency above 0 and up to 1");
        Require("gMps2", r.GravityMps2, r.GravityMps2 >= 0, "a gravity of 0 m/s² or more");
        if (errors.Count > 0) throw new InputException(errors);

        void Require(string field, double value, bool possible, string expected)
        {
            if (!double.IsFinite(value) || !possible) errors.Add(new("road power", 0, field, value.ToString(CultureInfo.InvariantCulture), expected));
        }
    }
}
