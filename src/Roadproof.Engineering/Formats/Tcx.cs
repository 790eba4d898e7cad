using System.Xml;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Formats;

/// <summary>Reads a ride from TCX: the track points of every lap of a cycling activity, or of a course. Names count, name spaces do not.</summary>
/// <remarks>
/// Laps follow each other without a pause; a second track within a lap begins after one. Speed is in m/s, cadence of the crank. The file goes by once; only its fixes are kept.
/// Source: the TCX schema, version 2 (from memory).
/// </remarks>
sealed class Tcx
{
    static readonly Dictionary<string, RideField> Fields = new(StringComparer.Ordinal)
    {
        ["AltitudeMeters"] = RideField.Elevation, ["DistanceMeters"] = RideField.Distance, ["Cadence"] = RideField.Cadence, ["Watts"] = RideField.Power, ["Speed"] = RideField.Speed,
    };

    readonly List<string> otherSports = [];
    readonly RideRecorder rides, courses;
    readonly RidePoints points;
    RideRecorder recorder;
    int activities, courseCount, piece, firstActivityLine;

    Tcx(string source, XmlReader reader)
    {
        (rides, courses) = (new(source), new(source));
        recorder = rides;
        points = new(reader, Take);
    }

    /// <param name="reader">On the root element.</param>
    /// <exception cref="InputException">Everything that is wrong with the file, at once.</exception>
    public static Ride Read(string source, XmlReader reader)
    {
        var tcx = new Tcx(source, reader);
        while (reader.Read())
        {
            if (reader.NodeType != XmlNodeType.Element) continue;
            if (reader.LocalName == "Activity") tcx.ReadActivity(reader);
            else if (reader.LocalName == "Course") tcx.ReadCourse(reader);
        }

        return tcx.Close(source);
    }

    Ride Close(string source)
    {
        var isRide = activities > otherSports.Count;
        if (activities > 0 && !isRide) throw new InputException(new InputError(source, firstActivityLine, "Sport", $"'{otherSports[0]}'", "a ride ('Biking')"));
        List<string> notes = [];
        if (otherSports.Count > 0) notes.Add($"Left out as no part of a ride: {string.Join(", ", otherSports)}.");
        if (!isRide && courseCount > 0) notes.Add("A planned course, not a recorded activity: its points are taken as the way.");
        return isRide ? rides.Close("TCX activity", notes, []) : courses.Close("TCX course", notes, []);
    }

    void ReadActivity(XmlReader reader)
    {
        if (activities++ == 0) firstActivityLine = RidePoints.LineOf(reader);
        if (RidePoints.Attribute(reader, "Sport") is { } sport and not ("Biking" or "Other"))
        {
            otherSports.Add(sport);
            using var skipped = reader.ReadSubtree();
            while (skipped.Read()) { }
            return;
        }

        piece++;
        recorder = rides;
        Inside(reader, "Lap", ReadTracks);
    }

    void ReadCourse(XmlReader reader)
    {
        courseCount++;
        piece++;
        recorder = courses;
        ReadTracks(reader);
    }

    void ReadTracks(XmlReader parent)
    {
        var tracks = 0;
        Inside(parent, "Track", track =>
        {
            if (tracks++ > 0) piece++;
            Inside(track, "Trackpoint", Add);
        });
    }

    /// <summary>Goes through the children of the element on which the reader stands, to its end.</summary>
    static void Inside(XmlReader reader, string name, Action<XmlReader> take)
    {
        if (reader.IsEmptyElement) return;
        var depth = reader.Depth;
        while (reader.Read() && reader.Depth > depth)
            if (reader.NodeType == XmlNodeType.Element && reader.Depth == depth + 1 && reader.LocalName == name) take(reader);
    }

    void Add(XmlReader reader)
    {
        var fix = new RideFix { Line = RidePoints.LineOf(reader), Piece = piece };
        points.Read(ref fix);
        recorder.Add(fix);
    }

    void Take(ref RideFix fix, string name, string parent, string value)
    {
        if (name == "Time") recorder.TakeTime(ref fix, value, secondsPerNumber: null);
        else if (name == "LatitudeDegrees") recorder.TakePlace(RideField.Latitude, ref fix, value);
        else if (name == "LongitudeDegrees") recorder.TakePlace(RideField.Longitude, ref fix, value);
        else if (name == "Value" && parent == "HeartRateBpm") recorder.Take(RideField.HeartRate, ref fix, value, RideField.HeartRate.Units[0].Factor);
        else if (Fields.TryGetValue(name, out var field)) recorder.Take(field, ref fix, value, field == RideField.Speed ? 1 : field.Units[0].Factor);
    }
}
