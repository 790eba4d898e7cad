using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.App.Road;

/// <summary>One ride's line in the list: what it was and what it asked of the unit.</summary>
/// <param name="WhPerKm">Null for a ride without a road.</param>
/// <param name="PeakMotorNm">Largest push, at the unit's output.</param>
/// <param name="Failed">Why it tells no load; null where it does.</param>
public sealed record RideFigures(
    string Ride, bool HasRoad, double DistanceM, double MovingS, double? MeanSpeedMps, double RiderEnergyJ, double MotorEnergyJ, double BatteryEnergyJ, double? WhPerKm, double PeakMotorNm, double PeakWindingC,
    IReadOnlyList<string> Notes, string? Failed = null)
{
    public static RideFigures Without(string ride, string why) => new(ride, false, 0, 0, null, 0, 0, 0, null, 0, 0, [], why);
}

/// <summary>Takes a kept ride over a product's unit, for the list, the sums and the ride's own page alike.</summary>
public sealed class RideOnUnit(DriveUnit unit, RoadSettings settings)
{
    readonly RoadRunner runner = new(unit, Deviation.None, settings.Day);
    readonly RoadLoadOptions options = settings.Day.Road with { UseRecordedPower = !settings.MeterReadsRider };

    /// <exception cref="InputException">The ride tells no load with these settings.</exception>
    public UnitOnRoad Run(Ride ride, CancellationToken stop) => runner.Run(RoadLoad.Run(ride, settings.Rider, unit, options), settings.Rider, stop);

    /// <summary>As <see cref="Run"/>; null where the ride tells no load.</summary>
    public UnitOnRoad? Ridden(Ride ride, CancellationToken stop)
    {
        try
        {
            return Run(ride, stop);
        }
        catch (InputException)
        {
            return null;
        }
    }

    /// <summary>The ride's line, what the unit did over it, and its spectrum where it counts for the life: a ride without a road wears the unit on no kilometre.</summary>
    public (RideFigures Figures, LoadSpectrum? Spectrum, UnitOnRoad? On) Count(string id, Ride ride, CancellationToken stop)
    {
        try
        {
            var on = Run(ride, stop);
            var (load, summary) = (on.Load, on.Load.Summary);
            var figures = new RideFigures(id, load.HasRoad, summary.DistanceM, summary.MovingTimeS ?? load.TimeS.Length, summary.MeanSpeedMps, on.RiderEnergyJ, on.MotorEnergyJ, on.BatteryEnergyJ,
                load.HasRoad && summary.DistanceM > 0 ? on.WhPerKm : null, on.PeakMotorTorqueNm, on.PeakWindingC, [.. load.Warnings, .. on.Warnings]);
            if (!load.HasRoad) return (figures, null, on);
            var spectrum = new LoadSpectrum(unit);
            spectrum.Add(on);
            return (figures, spectrum, on);
        }
        catch (InputException e)
        {
            return (RideFigures.Without(id, string.Join(" ", e.Errors.Select(error => $"Found {error.Found}, expected {error.Expected}."))), null, null);
        }
    }
}
