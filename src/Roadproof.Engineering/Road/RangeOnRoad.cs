using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Road;

/// <summary>How well rider, bicycle and day are known: standard uncertainties.</summary>
/// <remarks>Common practice, no source: a rider who said the weight, an upright posture by guess, tyres by their kind, a day without a wind gauge.</remarks>
public sealed record RiderDoubt
{
    public double MassKg { get; init; } = 3;

    /// <summary>Of the drag area, as a share.</summary>
    public double DragShare { get; init; } = 0.12;

    /// <summary>Of the rolling resistance, as a share.</summary>
    public double RollingShare { get; init; } = 0.2;

    /// <summary>Of the wind along the whole way, m/s.</summary>
    public double WindMps { get; init; } = 1;

    /// <summary>Of the factor of assistance, as a share.</summary>
    public double AssistanceShare { get; init; } = 0.1;
}

/// <summary>Battery energy per distance and how far a full battery reaches, on roads like a recorded one.</summary>
/// <param name="WhPerKm">Out of the battery's open terminals.</param>
/// <param name="RangeKm">Energy of the battery over that; null where the motor takes nothing.</param>
/// <param name="MostFrom">What most of the interval comes from: mass, drag, rolling, wind or assistance.</param>
public sealed record RangeOnRoad(double WhPerKm, Interval WhPerKmInterval, double? RangeKm, Interval? RangeKmInterval, string MostFrom)
{
    const double Confidence = 0.95;

    /// <summary>Rides the way with each doubtful quantity a standard uncertainty up and down.</summary>
    /// <exception cref="InputException">The ride has no road, or a value of the rider cannot be.</exception>
    /// <remarks>
    /// Linear propagation (JCGM 100): u² = Σ ((E₊ − E₋)/2)²; the interval is normal and ends at 0. Not in it: the error of the model itself, which <c>docs/methods/road.md</c> states over recorded rides, the battery's age and cold, lights and stops.
    /// </remarks>
    public static RangeOnRoad Of(Ride ride, Rider rider, DriveUnit unit, UnitOnRoadOptions options, RiderDoubt? doubt = null)
    {
        ArgumentNullException.ThrowIfNull(rider);
        ArgumentNullException.ThrowIfNull(options);
        doubt ??= new RiderDoubt();
        // Power that a meter read would hide the doubt in the rider: the model rides. A battery that lasts keeps the voltage near the nominal one.
        var modelled = options.Road with { UseRecordedPower = false };
        var runner = new RoadRunner(unit, Deviation.None, options with { Battery = new() { EnergyWh = 5000, ChargeAtStart = 0.6 } });
        var middle = EnergyPerKm(rider, modelled);
        (string Name, double Wh)[] parts =
        [
            ("mass", Half(sign => EnergyPerKm(rider with { RiderMassKg = rider.RiderMassKg + sign * doubt.MassKg }, modelled))),
            ("drag", Half(sign => EnergyPerKm(rider with { CdaM2 = rider.CdaM2 * (1 + sign * doubt.DragShare) }, modelled))),
            ("rolling", Half(sign => EnergyPerKm(rider with { RollingCoefficient = rider.RollingCoefficient * (1 + sign * doubt.RollingShare) }, modelled))),
            ("wind", Half(sign => EnergyPerKm(rider, modelled with { Wind = modelled.Wind with { HeadwindMps = modelled.Wind.HeadwindMps + sign * doubt.WindMps } }))),
            ("assistance", Half(sign => EnergyPerKm(rider with { AssistanceFactor = rider.AssistanceFactor * (1 + sign * doubt.AssistanceShare) }, modelled))),
        ];
        var reach = Normal.Quantile((1 + Confidence) / 2) * Math.Sqrt(parts.Sum(p => p.Wh * p.Wh));
        Interval perKm = new(Math.Max(0, middle - reach), middle + reach, Confidence);
        var fullWh = options.Battery.EnergyWh * options.Battery.ChargeAtStart;
        return new(middle, perKm, middle > 0 ? fullWh / middle : null, perKm.Lower > 0 ? new(fullWh / perKm.Upper, fullWh / perKm.Lower, Confidence) : null, parts.MaxBy(p => p.Wh).Name);

        double EnergyPerKm(Rider who, RoadLoadOptions with)
        {
            var load = RoadLoad.Run(ride, who, unit, with);
            return load.HasRoad && load.Summary.DistanceM > 0 ? runner.Run(load, who).WhPerKm
                : throw new InputException(new InputError(ride.Name, 0, "", "no road", "a ride that tells its distance: a range is kilometres"));
        }

        static double Half(Func<int, double> at) => Math.Abs(at(1) - at(-1)) / 2;
    }
}
