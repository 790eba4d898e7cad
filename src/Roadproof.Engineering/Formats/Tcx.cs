using System.Xml;
using System.Xml.Linq;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Formats;

/// <summary>Reads a ride from TCX: the track points of every lap of a cycling activity, or of a course. Names count, name spaces do not.</summary>
/// <remarks>Laps follow each other without a pause; a second track within a lap begins after one. Speed is in m/s, cadence of the crank. Source: the TCX schema, version 2 (from memory).</remarks>
static class Tcx
{
    static readonly Dictionary<string, RideField> Fields = new(StringComparer.Ordinal)
    {
        ["AltitudeMeters"] = RideField.Elevation, ["DistanceMeters"] = RideField.Distance, ["Cadence"] = RideField.Cadence, ["Watts"] = RideField.Power, ["Speed"] = RideField.Speed,
    };

    /// <exception cref="InputException">Everything that is wrong with the file, at once.</exception>
    public static Ride Read(string source, XElement root)
    {
        var activities = Named(root.Descendants(), "Activity").ToList();
        var rides = activities.Where(a => a.Attribute("Sport")?.Value is null or "Biking" or "Other").ToList();
        List<string> notes = [];
        if (activities.Count > 0 && rides.Count == 0)
            throw new InputException(new InputError(source, LineOf(activities[0]), "Sport", $"'{activities[0].Attribute("Sport")!.Value}'", "a ride ('Biking')"));
        if (rides.Count < activities.Count) notes.Add($"Left out as no part of a ride: {string.Join(", ", activities.Except(rides).Select(a => a.Attribute("Sport")!.Value))}.");

        var courses = Named(root.Descendants(), "Course").ToList();
        if (rides.Count == 0 && courses.Count > 0) notes.Add("A planned course, not a recorded activity: its points are taken as the way.");
        var recorder = new RideRecorder(source);
        var piece = 0;
        foreach (var activity in rides.Count > 0 ? rides : courses)
        {
            piece++;
            foreach (var lap in rides.Count > 0 ? Named(activity.Elements(), "Lap") : [activity])
            {
                var tracks = Named(lap.Elements(), "Track").ToList();
                for (var t = 0; t < tracks.Count; t++)
                {
                    if (t > 0) piece++;
                    foreach (var point in Named(tracks[t].Elements(), "Trackpoint")) recorder.Add(FixOf(point, piece, recorder));
                }
            }
        }

        return recorder.Close(rides.Count > 0 ? "TCX activity" : "TCX course", notes, []);
    }

    static RideFix FixOf(XElement point, int piece, RideRecorder recorder)
    {
        var fix = new RideFix { Line = LineOf(point), Piece = piece };
        foreach (var element in point.Descendants())
        {
            if (element.HasElements) continue;
            fix = fix with { Line = LineOf(element) };
            var name = element.Name.LocalName;
            if (name == "Time") recorder.TakeTime(ref fix, element.Value, secondsAllowed: false);
            else if (name == "LatitudeDegrees") recorder.TakePlace(RideField.Latitude, ref fix, element.Value);
            else if (name == "LongitudeDegrees") recorder.TakePlace(RideField.Longitude, ref fix, element.Value);
            else if (name == "Value" && element.Parent!.Name.LocalName == "HeartRateBpm") recorder.Take(RideField.HeartRate, ref fix, element.Value, RideField.HeartRate.Units[0].Factor);
            else if (Fields.TryGetValue(name, out var field)) recorder.Take(field, ref fix, element.Value, field == RideField.Speed ? 1 : field.Units[0].Factor);
        }

        return fix with { Line = LineOf(point) };
    }

    static IEnumerable<XElement> Named(IEnumerable<XElement> elements, string name) => elements.Where(e => e.Name.LocalName == name);

    static int LineOf(XElement element) => ((IXmlLineInfo)element).LineNumber;
}
