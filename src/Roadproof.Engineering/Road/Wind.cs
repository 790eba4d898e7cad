using System.Globalization;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.Road;

/// <summary>The wind over a ride: as much against the rider all the way, or out of a direction, or both.</summary>
/// <remarks>Only its part along the way counts; what a side wind adds to the drag area is left out.</remarks>
public sealed record Wind
{
    /// <summary>What the ride's own file tells, or none.</summary>
    public static readonly Wind AsRecorded = new();

    /// <summary>Against the rider all the way; negative from behind.</summary>
    public double HeadwindMps { get; init; }

    /// <summary>As weather stations tell it, 10 m above open ground; null takes what the ride's own file tells, or none.</summary>
    public double? StationMps { get; init; }

    /// <summary>Where it comes from, degrees from north over east; needed with <see cref="StationMps"/>.</summary>
    public double? FromDeg { get; init; }

    /// <summary>
    /// How much of the station's wind a rider meets. A logarithmic profile over suburbs or woods (roughness 0.3 m: ln(1.2/0.3)/ln(10/0.3)) has 0.4 of it at a rider's chest,
    /// over open country (0.05 m) 0.6 (terrain categories III and II of EN 1991-1-4, roughness lengths from memory).
    /// </summary>
    public double ShareAtRider { get; init; } = 0.4;

    /// <summary>Against a rider who heads somewhere, m/s.</summary>
    /// <param name="headingRad">Where the way leads, from north over east.</param>
    /// <param name="stationMps">As a weather station tells it.</param>
    /// <param name="fromDeg">Where it comes from, from north over east.</param>
    double AgainstMps(double headingRad, double stationMps, double fromDeg) => HeadwindMps + (ShareAtRider * stationMps * Math.Cos(headingRad - (fromDeg * Math.PI / 180)));

    /// <summary>Against the rider in each second, shape [seconds].</summary>
    /// <param name="warnings">Takes a sentence on the wind that the ride's own file tells.</param>
    /// <exception cref="InputException">A wind with a direction over a way that has no positions.</exception>
    internal double[] OverSeconds(string ride, RidePath path, RideSeconds seconds, List<string> warnings)
    {
        var againstMps = new double[seconds.Count];
        Array.Fill(againstMps, HeadwindMps);
        if (StationMps is null)
        {
            RecordedOverSeconds(path, seconds, againstMps, warnings);
        }
        else if (StationMps > 0)
        {
            var headingRad = Heading.Of(path, seconds)
                ?? throw new InputException(new InputError(ride, 0, "windFromDeg", "a ride without positions", "positions, which tell where the way leads, or a headwind"));
            for (var i = 0; i < againstMps.Length; i++) againstMps[i] = AgainstMps(headingRad[i], StationMps.Value, FromDeg!.Value);
        }

        return againstMps;
    }

    void RecordedOverSeconds(RidePath path, RideSeconds seconds, double[] againstMps, List<string> warnings)
    {
        if (RecordedWind.Of(path, seconds) is not { } wind) return;
        if (wind.FromDeg is null)
        {
            warnings.Add("The file tells how fast the wind blew and not where from: it is not used.");
            return;
        }

        if (Heading.Of(path, seconds) is not { } headingRad)
        {
            warnings.Add("The file tells a wind and no positions, so nobody knows what of it was against the rider: it is not used.");
            return;
        }

        for (var i = 0; i < againstMps.Length; i++) againstMps[i] = AgainstMps(headingRad[i], wind.StationMps[i], wind.FromDeg[i]);
        warnings.Add(Invariant($"The wind is the file's own, {wind.StationMps.Average():0.0} m/s in the mean as a weather station tells it; a share of {ShareAtRider} of it counts at the rider."));
    }

    /// <summary>What cannot be, each with its place.</summary>
    internal IEnumerable<InputError> Errors()
    {
        if (!(Math.Abs(HeadwindMps) <= 50)) yield return Error("headwindMps", HeadwindMps, "a wind between -50 and 50 m/s, positive against the rider");
        if (StationMps is not (null or (>= 0 and <= 50))) yield return Error("windMps", StationMps.Value, "a wind from 0 to 50 m/s, as a weather station tells it");
        if (FromDeg is not null and not (>= 0 and <= 360)) yield return Error("windFromDeg", FromDeg.Value, "where the wind comes from, 0 to 360 degrees from north over east: 270 is a west wind");
        if (ShareAtRider is not (>= 0 and <= 1)) yield return Error("windAtRider", ShareAtRider, "a share between 0 and 1");
        if (StationMps > 0 && FromDeg is null) yield return new("wind", 0, "windFromDeg", "a wind without the direction that it comes from", "degrees from north over east, such as 270 for a west wind");
        if (StationMps is null or 0 && FromDeg is not null) yield return new("wind", 0, "windMps", "a direction without a wind", "how fast it blows, as a weather station tells it, m/s");
    }

    static InputError Error(string field, double found, string expected) => new("wind", 0, field, found.ToString(CultureInfo.InvariantCulture), expected);
}
