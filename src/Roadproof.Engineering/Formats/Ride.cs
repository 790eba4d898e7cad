namespace Roadproof.Engineering.Formats;

/// <summary>A recorded trip as its file tells it, in SI units, before anything is computed from it.</summary>
public sealed record Ride
{
    /// <summary>The file's name as the person gave it.</summary>
    public required string Name { get; init; }

    /// <summary>What was read: "FIT", "GPX track", "GPX route", "TCX activity", "TCX course" or "CSV".</summary>
    public required string Format { get; init; }

    /// <summary>Time of the first fix that has one; null when the file has no times of day.</summary>
    public DateTimeOffset? StartedAt { get; init; }

    /// <summary>In the order of the file; times never go back.</summary>
    public required IReadOnlyList<RideFix> Fixes { get; init; }

    /// <summary>What was mended while reading: one sentence each, with its count.</summary>
    public required IReadOnlyList<string> Repaired { get; init; }

    /// <summary>Columns of the file that no computation here uses.</summary>
    public IReadOnlyList<string> UnusedColumns { get; init; } = [];
}

/// <summary>One line of a ride. What the file does not tell is NaN, never zero.</summary>
/// <remarks>A value that a reader fills in place, without a copy for each of its fields.</remarks>
public record struct RideFix()
{
    /// <summary>Line in the file, counted from 1; in a FIT file the message.</summary>
    public int Line { get; set; }

    /// <summary>Number of the unbroken piece of recording that this fix belongs to; what lies between two pieces was not recorded.</summary>
    public int Piece { get; set; }

    /// <summary>Seconds since the first fix that has a time.</summary>
    public double TimeS { get; set; } = double.NaN;

    /// <summary>WGS-84, north positive.</summary>
    public double LatitudeDeg { get; set; } = double.NaN;

    /// <summary>WGS-84, east positive.</summary>
    public double LongitudeDeg { get; set; } = double.NaN;

    public double ElevationM { get; set; } = double.NaN;

    /// <summary>Distance as the recorder counted it, by wheel sensor or its own positions.</summary>
    public double RecordedDistanceM { get; set; } = double.NaN;

    public double RecordedSpeedMps { get; set; } = double.NaN;

    public double CadenceRadPerS { get; set; } = double.NaN;

    /// <summary>Power at the crank as a power meter read it.</summary>
    public double PowerW { get; set; } = double.NaN;

    public double HeartRatePerMin { get; set; } = double.NaN;

    public double TemperatureC { get; set; } = double.NaN;

    /// <summary>Wind as a weather station told it, 10 m above open ground.</summary>
    public double WindMps { get; set; } = double.NaN;

    /// <summary>Where that wind came from, degrees from north over east.</summary>
    public double WindFromDeg { get; set; } = double.NaN;

    public readonly bool HasPosition => !double.IsNaN(LatitudeDeg) && !double.IsNaN(LongitudeDeg);

    public readonly bool HasTime => !double.IsNaN(TimeS);
}
