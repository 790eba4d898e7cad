using System.Globalization;
using System.Xml;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Formats;

/// <summary>Reads a ride from GPX 1.0 or 1.1: the tracks, or the routes where there is no track. Names count, name spaces do not.</summary>
/// <remarks>
/// Waypoints are places, not a way, and are never part of the ride: mixed in, one waypoint at sea level makes hundreds of metres of false ascent.
/// Speed is in m/s as the 1.0 schema has it; power, cadence, heart rate and temperature come from extensions under the names that are in use.
/// The file goes by once; only its fixes are kept. Source: the GPX 1.0 and 1.1 schemas (from memory).
/// </remarks>
sealed class Gpx(string source, XmlReader reader)
{
    readonly Points tracks = new(source, reader), routes = new(source, reader);
    int waypoints;

    /// <param name="reader">On the root element.</param>
    /// <exception cref="InputException">Everything that is wrong with the file, at once.</exception>
    public static Ride Read(string source, XmlReader reader)
    {
        var gpx = new Gpx(source, reader);
        gpx.Read();
        if (gpx.tracks.Count > 0) return gpx.tracks.Close("GPX track", []);
        if (gpx.routes.Count > 0) return gpx.routes.Close("GPX route", ["A planned route, not a recorded track: its points are taken as the way."]);

        var found = gpx.waypoints switch
        {
            0 => "no points",
            1 => "one waypoint and no track",
            var many => string.Create(CultureInfo.InvariantCulture, $"{many} waypoints and no track"),
        };
        throw new InputException(new InputError(source, 0, "", found, "a track or a route", "Waypoints are places, not a way."));
    }

    // A point counts only where the schema has it.
    void Read()
    {
        var top = "";
        var inSegment = false;
        while (reader.Read())
        {
            if (reader.NodeType != XmlNodeType.Element) continue;
            switch (reader.Depth, reader.LocalName)
            {
                case (1, var name):
                    top = name;
                    if (name == "wpt") waypoints++;
                    if (name == "rte") routes.Begin();
                    break;
                case (2, "rtept") when top == "rte":
                    routes.Add();
                    break;
                case (2, var name):
                    inSegment = top == "trk" && name == "trkseg";
                    if (inSegment) tracks.Begin();
                    break;
                case (3, "trkpt") when inSegment:
                    tracks.Add();
                    break;
            }
        }
    }

    /// <summary>The points of all tracks, or of all routes.</summary>
    sealed class Points
    {
        readonly XmlReader reader;
        readonly RideRecorder recorder;
        readonly RidePoints points;
        int pieces, inPiece, empty;

        public Points(string source, XmlReader reader)
        {
            this.reader = reader;
            recorder = new(source);
            points = new(reader, Take);
        }

        public int Count => recorder.Count;

        /// <summary>A segment or a route begins.</summary>
        public void Begin()
        {
            if (pieces > 0 && inPiece == 0) empty++;
            else pieces++;
            inPiece = 0;
        }

        public void Add()
        {
            var fix = new RideFix { Line = RidePoints.LineOf(reader), Piece = pieces };
            recorder.TakePlace(RideField.Latitude, ref fix, RidePoints.Attribute(reader, "lat"));
            recorder.TakePlace(RideField.Longitude, ref fix, RidePoints.Attribute(reader, "lon"));
            points.Read(ref fix);
            recorder.Add(fix);
            inPiece++;
        }

        public Ride Close(string format, List<string> notes)
        {
            if (inPiece == 0) empty++;
            if (empty > 0) notes.Add(string.Create(CultureInfo.InvariantCulture, $"{empty} empty {(empty == 1 ? "segment was" : "segments were")} left out."));
            return recorder.Close(format, notes, []);
        }

        void Take(ref RideFix fix, string name, string parent, string value)
        {
            if (name == "time") recorder.TakeTime(ref fix, value, secondsPerNumber: null);
            else if (RideField.Named(name) is { } field) recorder.Take(field, ref fix, value, field == RideField.Speed ? 1 : field.Units[0].Factor);
        }
    }
}
