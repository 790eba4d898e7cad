using System.Globalization;
using System.Text;
using Roadproof.Engineering.Formats;

namespace Roadproof.Engineering.Tests.Formats;

/// <summary>Writes invented rides along a meridian, so that tests know the way before anything reads it.</summary>
static class RideText
{
    /// <summary>Metres per degree of latitude near 50° north on WGS-84 (series of the meridian arc, textbook).</summary>
    const double MetresPerDegree = 111229.03;

    public sealed record Point(double TimeS, double AlongM, double? ElevationM = null, double? PowerW = null, double? CadenceRpm = null)
    {
        public double Latitude => 50 + (AlongM / MetresPerDegree);
    }

    public static Ride Read(string text, string name = "ride") => RideFile.Read(name, new MemoryStream(Encoding.UTF8.GetBytes(text)));

    public static string Gpx(IEnumerable<Point> points) => "<gpx version='1.1' xmlns='http://www.topografix.com/GPX/1/1'><trk><trkseg>\n"
        + string.Concat(points.Select(Trackpoint)) + "</trkseg></trk></gpx>";

    public static string Csv(IEnumerable<Point> points, char separator = ',')
    {
        var header = string.Join(separator, "timestamp", "position_lat", "position_long", "altitude [m]", "power", "cadence [rpm]");
        return header + "\n" + string.Concat(points.Select(p => string.Join(separator, Time(p.TimeS), Number(p.Latitude), "5", Number(p.ElevationM), Number(p.PowerW), Number(p.CadenceRpm)) + "\n"));
    }

    /// <summary>A steady ride: one point per second.</summary>
    public static IEnumerable<Point> Steady(int seconds, double speedMps, double gradient, double startM = 100) =>
        Enumerable.Range(0, seconds + 1).Select(s => new Point(s, s * speedMps, startM + (s * speedMps * gradient / Math.Sqrt(1 + (gradient * gradient)))));

    static string Trackpoint(Point p)
    {
        var elevation = p.ElevationM is null ? "" : $"<ele>{Number(p.ElevationM)}</ele>";
        var power = p.PowerW is null ? "" : $"<power>{Number(p.PowerW)}</power>";
        var cadence = p.CadenceRpm is null ? "" : $"<x:TrackPointExtension xmlns:x='urn:x'><x:cad>{Number(p.CadenceRpm)}</x:cad></x:TrackPointExtension>";
        return $"<trkpt lat='{Number(p.Latitude)}' lon='5'>{elevation}<time>{Time(p.TimeS)}</time><extensions>{power}{cadence}</extensions></trkpt>\n";
    }

    static string Time(double timeS) => new DateTimeOffset(2026, 5, 4, 8, 0, 0, TimeSpan.Zero).AddTicks((long)Math.Round(timeS * 1e7)).ToString("yyyy-MM-dd'T'HH:mm:ss.FFFFFFF'Z'", CultureInfo.InvariantCulture);

    static string Number(double? value) => value?.ToString("R", CultureInfo.InvariantCulture) ?? "";
}
