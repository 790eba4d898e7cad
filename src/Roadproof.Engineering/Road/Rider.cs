using System.Globalization;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Road;

/// <summary>Who rides what, and how: the person's part of a road load.</summary>
/// <remarks>Defaults are an adult on an upright assisted bicycle on asphalt (common practice, no source).</remarks>
public sealed record Rider
{
    public static readonly Rider Default = new();

    public double RiderMassKg { get; init; } = 80;

    /// <summary>Bicycle, drive unit, battery and luggage.</summary>
    public double BikeMassKg { get; init; } = 25;

    public double CdaM2 { get; init; } = RoadResistance.Default.CdaM2;

    public double RollingCoefficient { get; init; } = RoadResistance.Default.RollingCoefficient;

    public double WheelRadiusM { get; init; } = RoadResistance.Default.WheelRadiusM;

    /// <summary>The cadence that the rider shifts towards; 7.854 rad/s is 75 turns per minute.</summary>
    public double PreferredCadenceRadPerS { get; init; } = 75 * ReferenceConditions.RadPerSPerRpm;

    /// <summary>Motor power over rider power at the chainring, below the assistance limit; 0 for no assistance.</summary>
    public double AssistanceFactor { get; init; } = 1.5;

    /// <summary>Wheel turns per chainring turn, from the easiest gear to the hardest.</summary>
    public IReadOnlyList<double> GearRatios { get; init; } = [38 / 46.0, 38 / 40.0, 38 / 34.0, 38 / 30.0, 38 / 26.0, 38 / 23.0, 38 / 20.0, 38 / 17.0, 38 / 15.0, 38 / 13.0, 38 / 11.0];

    internal RoadResistance Resistance => new()
    {
        MassKg = RiderMassKg + BikeMassKg,
        CdaM2 = CdaM2,
        RollingCoefficient = RollingCoefficient,
        WheelRadiusM = WheelRadiusM,
    };

    /// <exception cref="InputException">A value cannot be; every one at once.</exception>
    public void RequirePossible()
    {
        List<InputError> errors = [];
        Require("riderMassKg", RiderMassKg, RiderMassKg is > 0 and <= 300, "a mass above 0 and up to 300 kg");
        Require("bikeMassKg", BikeMassKg, BikeMassKg is > 0 and <= 300, "a mass above 0 and up to 300 kg");
        Require("cdaM2", CdaM2, CdaM2 is >= 0 and <= 3, "a drag area between 0 and 3 m²");
        Require("crr", RollingCoefficient, RollingCoefficient is >= 0 and <= 0.5, "a coefficient between 0 and 0.5, such as 0.007");
        Require("wheelRadiusM", WheelRadiusM, WheelRadiusM is >= 0.1 and <= 0.6, "a radius between 0.1 and 0.6 m");
        Require("cadenceRadPerS", PreferredCadenceRadPerS, PreferredCadenceRadPerS is >= 3 and <= 15, "a cadence between 3 and 15 rad/s (29 to 143 turns per minute)");
        Require("assist", AssistanceFactor, AssistanceFactor is >= 0 and <= 10, "an assistance factor between 0 and 10");
        if (GearRatios.Count == 0 || GearRatios.Any(ratio => !(ratio > 0)))
            errors.Add(new("rider", 0, "gearRatios", $"{GearRatios.Count.ToString(CultureInfo.InvariantCulture)} ratios", "at least one, each above 0"));
        if (errors.Count > 0) throw new InputException(errors);

        void Require(string field, double value, bool possible, string expected)
        {
            if (!possible) errors.Add(new("rider", 0, field, value.ToString(CultureInfo.InvariantCulture), expected));
        }
    }
}

/// <summary>Chooses gears as a rider does: keeps one while the cadence feels right, and takes the one nearest to the preferred cadence when it does not.</summary>
sealed class GearChoice(Rider rider)
{
    /// <summary>The rider shifts when the cadence is this share away from the preferred one (common practice, no source).</summary>
    const double FeelsRight = 0.15;

    readonly double[] ratios = [.. rider.GearRatios];
    double ratio = rider.GearRatios[0];

    /// <summary>Cadence in rad/s at a road speed, after the shift that it may call for.</summary>
    public double CadenceRadPerS(double speedMps)
    {
        var wheelRadPerS = speedMps / rider.WheelRadiusM;
        if (Math.Abs((wheelRadPerS / ratio / rider.PreferredCadenceRadPerS) - 1) > FeelsRight)
            ratio = Nearest(wheelRadPerS / rider.PreferredCadenceRadPerS);
        return wheelRadPerS / ratio;
    }

    /// <summary>By the ratio of the two, not by their difference: the first of the gears nearest to the wanted one.</summary>
    double Nearest(double wanted)
    {
        var (nearest, least) = (ratios[0], double.PositiveInfinity);
        foreach (var gear in ratios)
        {
            var away = Math.Max(wanted / gear, gear / wanted);
            if (away >= least) continue;
            (nearest, least) = (gear, away);
        }

        return nearest;
    }
}

/// <summary>How a pull at the chainring is shared between rider and motor.</summary>
static class Assistance
{
    /// <summary>The assistance fades out over the last 1.5 km/h below its limit: 23.5 to 25 km/h (common practice, no source).</summary>
    public const double RampMps = 1.5 / 3.6;

    /// <summary>Motor torque at the chainring, N·m: the share A/(1 + A), faded out at the limit speed, within the unit's torque and power.</summary>
    public static double MotorTorqueNm(double totalNm, double cadenceRadPerS, double speedMps, double assistanceFactor, Rating rating, out bool limited)
    {
        var wantedNm = totalNm * ShareOfMotor(speedMps, assistanceFactor, rating);
        var mostNm = MostNm(cadenceRadPerS, rating);
        limited = wantedNm > mostNm;
        return limited ? mostNm : wantedNm;
    }

    /// <summary>The motor's share of the pull, A/(1 + A), faded out at the limit speed.</summary>
    public static double ShareOfMotor(double speedMps, double assistanceFactor, Rating rating)
    {
        var factor = assistanceFactor * Math.Clamp((rating.AssistanceLimitMps - speedMps) / RampMps, 0, 1);
        return factor / (1 + factor);
    }

    public static double MostNm(double cadenceRadPerS, Rating rating) =>
        cadenceRadPerS > 0 ? Math.Min(rating.MaximumTorqueNm, rating.MaximumOutputW / cadenceRadPerS) : rating.MaximumTorqueNm;
}
