using System.Globalization;
using System.Xml;
using System.Xml.Linq;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Formats;

/// <summary>Reads a ride from GPX 1.0 or 1.1: the tracks, or the routes where there is no track. Names count, name spaces do not.</summary>
/// <remarks>
/// Waypoints are places, not a way, and are never part of the ride: mixed in, one waypoint at sea level makes hundreds of metres of false ascent.
/// Speed is in m/s as the 1.0 schema has it; power, cadence, heart rate and temperature come from extensions under the names that are in use.
/// Source: the GPX 1.0 and 1.1 schemas (from memory).
/// </remarks>
static class Gpx
{
    /// <exception cref="InputException">Everything that is wrong with the file, at once.</exception>
    public static Ride Read(string source, XElement root)
    {
        var segments = Below(root, "trk").SelectMany(track => Below(track, "trkseg")).Select(segment => Below(segment, "trkpt").ToList()).ToList();
        if (segments.Exists(segment => segment.Count > 0)) return Read(source, segments, "GPX track", []);

        var routes = Below(root, "rte").Select(route => Below(route, "rtept").ToList()).ToList();
        if (routes.Exists(route => route.Count > 0)) return Read(source, routes, "GPX route", ["A planned route, not a recorded track: its points are taken as the way."]);

        var waypoints = Below(root, "wpt").Count();
        var found = waypoints switch
        {
            0 => "no points",
            1 => "one waypoint and no track",
            _ => string.Create(CultureInfo.InvariantCulture, $"{waypoints} waypoints and no track"),
        };
        throw new InputException(new InputError(source, 0, "", found, "a track or a route", "Waypoints are places, not a way."));
    }

    static Ride Read(string source, List<List<XElement>> pieces, string format, List<string> notes)
    {
        var recorder = new RideRecorder(source);
        var piece = 0;
        var empty = 0;
        foreach (var points in pieces)
        {
            if (points.Count == 0) empty++;
            else piece++;
            foreach (var point in points) recorder.Add(FixOf(point, piece, recorder));
        }

        if (empty > 0) notes.Add(string.Create(CultureInfo.InvariantCulture, $"{empty} empty {(empty == 1 ? "segment was" : "segments were")} left out."));
        return recorder.Close(format, notes, []);
    }

    static RideFix FixOf(XElement point, int piece, RideRecorder recorder)
    {
        var fix = new RideFix { Line = LineOf(point), Piece = piece };
        recorder.TakePlace(RideField.Latitude, ref fix, Attribute(point, "lat"));
        recorder.TakePlace(RideField.Longitude, ref fix, Attribute(point, "lon"));

        foreach (var element in point.Descendants())
        {
            if (element.HasElements) continue;
            fix = fix with { Line = LineOf(element) };
            var name = element.Name.LocalName;
            if (name == "time") recorder.TakeTime(ref fix, element.Value, secondsAllowed: false);
            else if (RideField.Named(name) is { } field) recorder.Take(field, ref fix, element.Value, field == RideField.Speed ? 1 : field.Units[0].Factor);
        }

        return fix with { Line = LineOf(point) };
    }

    static string? Attribute(XElement point, string name) => point.Attributes().FirstOrDefault(attribute => attribute.Name.LocalName == name)?.Value;

    static IEnumerable<XElement> Below(XElement parent, string name) => parent.Elements().Where(element => element.Name.LocalName == name);

    static int LineOf(XElement element) => ((IXmlLineInfo)element).LineNumber;
}
