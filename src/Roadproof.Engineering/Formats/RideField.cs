using System.Collections.Frozen;
using System.Globalization;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Formats;

/// <summary>A quantity that a ride file may hold: the names it goes by, its units, and the code that some recorders write for "not measured".</summary>
/// <param name="Word">The name in messages.</param>
/// <param name="Names">Column and element names, lower case, words joined by '_'.</param>
/// <param name="Units">Units that may stand in brackets behind a name, and what one of them is in ours. The first is meant when none stands there.</param>
/// <param name="Unit">Our unit in words.</param>
/// <param name="Lowest">Below this no ride can be, in our unit.</param>
/// <param name="Highest">Above this no ride can be, in our unit.</param>
/// <param name="MissingCode">The raw number that means "not measured": the largest one the recorder's field can hold.</param>
/// <param name="Set">Sets the value on a fix.</param>
/// <param name="Words">Words that may stand in place of a number, in any letter case, and what each is in our unit.</param>
sealed record RideField(
    string Word,
    string[] Names,
    (string Name, double Factor)[] Units,
    string Unit,
    double Lowest,
    double Highest,
    double? MissingCode,
    RideField.Setter Set,
    FrozenDictionary<string, double>? Words = null)
{
    public delegate void Setter(ref RideFix fix, double value);

    const double RadPerSPerRpm = ReferenceConditions.RadPerSPerRpm;

    public static readonly RideField Latitude = new(
        "latitude", ["position_lat", "latitude", "lat"], [("°", 1), ("deg", 1), ("semicircles", 180.0 / (1L << 31))], "degrees",
        -90, 90, null, (ref fix, value) => fix.LatitudeDeg = value);

    public static readonly RideField Longitude = new(
        "longitude", ["position_long", "position_lon", "longitude", "long", "lon", "lng"], [("°", 1), ("deg", 1), ("semicircles", 180.0 / (1L << 31))], "degrees",
        -180, 180, null, (ref fix, value) => fix.LongitudeDeg = value);

    public static readonly RideField Elevation = new(
        "elevation", ["altitude", "elevation", "ele", "height"], [("m", 1), ("ft", 0.3048)], "metres",
        -500, 9000, 65535, (ref fix, value) => fix.ElevationM = value);

    public static readonly RideField Distance = new(
        "distance", ["distance"], [("m", 1), ("km", 1000)], "metres",
        0, 10_000_000, 4294967295, (ref fix, value) => fix.RecordedDistanceM = value);

    /// <summary>In a table without a unit, speed is in km/h; the GPX schema (1.0) writes m/s.</summary>
    public static readonly RideField Speed = new(
        "speed", ["speed"], [("km/h", 1 / 3.6), ("kmh", 1 / 3.6), ("m/s", 1)], "metres per second",
        0, 100, 65535, (ref fix, value) => fix.RecordedSpeedMps = value);

    public static readonly RideField Cadence = new(
        "cadence", ["cadence", "cad"], [("rpm", RadPerSPerRpm), ("1/min", RadPerSPerRpm), ("rad/s", 1)], "turns per minute",
        0, 254 * RadPerSPerRpm, 255, (ref fix, value) => fix.CadenceRadPerS = value);

    public static readonly RideField Power = new(
        "power", ["power", "watts", "powerinwatts"], [("W", 1)], "watts",
        0, 5000, 65535, (ref fix, value) => fix.PowerW = value);

    public static readonly RideField HeartRate = new(
        "heart rate", ["heart_rate", "heartrate", "hr"], [("1/min", 1), ("bpm", 1)], "beats per minute",
        0, 254, 255, (ref fix, value) => fix.HeartRatePerMin = value);

    public static readonly RideField Temperature = new(
        "temperature", ["temperature", "temp", "atemp"], [("°C", 1), ("C", 1)], "°C",
        -60, 80, 127, (ref fix, value) => fix.TemperatureC = value);

    /// <summary>In a table without a unit in km/h, as speed is.</summary>
    public static readonly RideField WindSpeed = new(
        "wind speed", ["wind_speed", "windspeed"], [("km/h", 1 / 3.6), ("kmh", 1 / 3.6), ("m/s", 1)], "metres per second",
        0, 50, null, (ref fix, value) => fix.WindMps = value);

    public static readonly RideField WindFrom = new(
        "wind direction", ["wind_direction", "wind_from"], [("°", 1), ("deg", 1)], "degrees from north over east, or a point of the compass such as WSW",
        0, 360, null, (ref fix, value) => fix.WindFromDeg = value, CompassPoints());

    public static readonly RideField[] All = [Latitude, Longitude, Elevation, Distance, Speed, Cadence, Power, HeartRate, Temperature];

    public const string TimeWord = "time";

    public static readonly string[] TimeNames = ["timestamp", "time", "date_time", "datetime", "elapsed_time", "seconds"];

    /// <summary>What a table may hold besides: no schema of another format says which unit these have.</summary>
    static readonly RideField[] OfTables = [WindSpeed, WindFrom];

    /// <summary>The field that goes by this name in a table; null for a name that no computation uses.</summary>
    public static RideField? NamedInTable(string name) => Named(name) ?? Array.Find(OfTables, field => field.Names.Contains(Plain(name), StringComparer.Ordinal));

    /// <summary>The field that goes by this name, in any letter case and with blanks or '_' between words; null for a name that no computation uses.</summary>
    public static RideField? Named(string name) => ByName.GetValueOrDefault(Plain(name));

    static readonly FrozenDictionary<string, RideField> ByName =
        All.SelectMany(field => field.Names.Select(name => (name, field))).ToFrozenDictionary(pair => pair.name, pair => pair.field, StringComparer.Ordinal);

    public static string Plain(string name) => name.Trim().ToLowerInvariant().Replace(' ', '_').Replace('-', '_');

    /// <summary>Takes one cell into the fix. Nothing changes for an empty cell or a missing code; an impossible value is added to <paramref name="errors"/>.</summary>
    /// <returns>True when the cell held the code for "not measured".</returns>
    public bool Take(ref RideFix fix, ReadOnlySpan<char> cell, double factor, bool decimalComma, string source, List<InputError> errors)
    {
        var text = cell.Trim();
        if (text.IsEmpty || text.Equals("null", StringComparison.OrdinalIgnoreCase) || text.Equals("nan", StringComparison.OrdinalIgnoreCase)) return false;

        if (Words?.GetAlternateLookup<ReadOnlySpan<char>>() is { } words && words.TryGetValue(text, out var meant))
        {
            Set(ref fix, meant);
            return false;
        }

        if (!TryNumber(text, decimalComma, out var raw))
        {
            var hint = text.Contains(',') ? "For decimal commas, separate the columns by ';'." : null;
            errors.Add(new(source, fix.Line, Word, $"'{text}'", $"a number in {Unit}", hint));
            return false;
        }

        if (MissingCode is { } code && raw == code) return true;
        var value = raw * factor;
        if (Holds(value)) Set(ref fix, value);
        else errors.Add(Refusal(source, fix.Line, text, factor));
        return false;
    }

    /// <summary>Whether a value in our unit can be.</summary>
    public bool Holds(double value) => value >= Lowest && value <= Highest;

    /// <summary>The range in the unit of the file, where the person can see it.</summary>
    string Range(double factor)
    {
        var unit = Array.Find(Units, u => u.Factor == factor).Name ?? Unit;
        return string.Create(CultureInfo.InvariantCulture, $"a number between {Lowest / factor:0.####} and {Highest / factor:0.####} {unit}");
    }

    /// <param name="found">As a person reads it in the file.</param>
    /// <param name="factor">Of the unit that it is written in.</param>
    public InputError Refusal(string source, int line, ReadOnlySpan<char> found, double factor) => new(source, line, Word, $"'{found}'", Range(factor));

    /// <summary>The sixteen points, a sixteenth of the circle apart.</summary>
    static FrozenDictionary<string, double> CompassPoints()
    {
        string[] points = ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"];
        return points.Index().ToFrozenDictionary(p => p.Item, p => p.Index * 360.0 / points.Length, StringComparer.OrdinalIgnoreCase);
    }

    public static bool TryNumber(ReadOnlySpan<char> text, bool decimalComma, out double value)
    {
        const NumberStyles style = NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent;
        if (decimalComma && text.Contains(',') && !text.Contains('.'))
            return double.TryParse(text.ToString().Replace(',', '.'), style, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);
        return double.TryParse(text, style, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);
    }
}
