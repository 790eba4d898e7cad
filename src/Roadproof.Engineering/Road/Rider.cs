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

    /// <summary>Gears between chainring and wheel.</summary>
    public Gearing Gearing { get; init; } = Gearing.Usual;

    /// <summary>Length of a crank, m (common practice, no source).</summary>
    const double CrankM = 0.17;

    /// <summary>
    /// The largest mean torque over a turn of the crank that the rider can give, N·m: the body's whole weight on a level crank. Whoever stands on a pedal pushes that much in the best place of a turn and
    /// less in all others, so that as a mean it is generous (common practice, no source).
    /// </summary>
    public double MostTorqueNm => RiderMassKg * RoadResistance.Default.GravityMps2 * CrankM;

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
        errors.AddRange(Gearing.Errors());
        if (errors.Count > 0) throw new InputException(errors);

        void Require(string field, double value, bool possible, string expected)
        {
            if (!possible) errors.Add(new("rider", 0, field, value.ToString(CultureInfo.InvariantCulture), expected));
        }
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
