using Roadproof.Engineering.Formats;

namespace Roadproof.Engineering.Road;

/// <summary>The wind that a ride's own file tells, second by second: weather stands until the next that is told, and the first one told stands from the start.</summary>
/// <param name="StationMps">As a weather station tells it, shape [seconds].</param>
/// <param name="FromDeg">Where it comes from, degrees from north over east, shape [seconds]; null where the file never tells.</param>
sealed record RecordedWind(double[] StationMps, double[]? FromDeg)
{
    /// <summary>Null where the file tells no wind.</summary>
    public static RecordedWind? Of(RidePath path, RideSeconds seconds) =>
        Held(path, seconds, (in fix) => fix.WindMps) is { } stationMps ? new(stationMps, Held(path, seconds, (in fix) => fix.WindFromDeg)) : null;

    delegate double Told(in RideFix fix);

    static double[]? Held(RidePath path, RideSeconds seconds, Told told)
    {
        var fixes = path.FixSpan;
        var fix = 0;
        while (fix < fixes.Length && double.IsNaN(told(fixes[fix]))) fix++;
        if (fix == fixes.Length) return null;
        var held = told(fixes[fix]);
        var values = new double[seconds.Count];
        for (var i = 0; i < values.Length; i++)
        {
            // Seconds and fixes run on in time together; a fix without a time is passed over.
            for (; fix < fixes.Length && !(fixes[fix].TimeS > seconds.TimeS[i]); fix++)
                if (told(fixes[fix]) is var next && !double.IsNaN(next)) held = next;
            values[i] = held;
        }

        return values;
    }
}
