using System.Globalization;
using System.Text;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Riders;

/// <summary>A ride file as a recorder would hand it over.</summary>
public sealed record SentRide(string Name, byte[] Octets);

/// <summary>A dozen invented riders who send their rides in through the public door. Every place in them lies in the middle of an ocean.</summary>
public static class DemoRides
{
    static readonly RidePlan[] Plans =
    [
        new("city-early", Terrain.City, 16, 98, 0.52, 85, 1.2, AsGpx: true),
        new("city-home", Terrain.City, 21, 101, 0.55, 95, 1.6, AsGpx: false),
        new("city-rain", Terrain.City, 12, 104, 0.58, 100, 2.0, AsGpx: true),
        new("cargo-market", Terrain.City, 28, 190, 0.75, 110, 2.6, AsGpx: false),
        new("cargo-hill", Terrain.Hills, 33, 175, 0.72, 115, 3.0, AsGpx: true),
        new("hills-lunch", Terrain.Hills, 38, 100, 0.48, 110, 1.4, AsGpx: true),
        new("hills-long", Terrain.Hills, 60, 96, 0.46, 120, 1.0, AsGpx: false),
        new("hills-relaxed", Terrain.Hills, 44, 112, 0.55, 75, 2.4, AsGpx: true),
        new("pass-strong", Terrain.Mountain, 52, 99, 0.45, 150, 1.5, AsGpx: true),
        new("pass-heavy", Terrain.Mountain, 57, 138, 0.55, 120, 2.8, AsGpx: false),
        new("pass-evening", Terrain.Mountain, 48, 105, 0.48, 105, 2.2, AsGpx: true),
        new("city-errand", Terrain.City, 10, 93, 0.5, 80, 1.4, AsGpx: false),
    ];

    /// <summary>The rides of one seed: the same every time, octet for octet.</summary>
    /// <param name="before">The rides lie in the days before this.</param>
    public static IReadOnlyList<SentRide> Of(ulong seed, DateTimeOffset before) => [.. Plans.Select((plan, i) =>
    {
        var road = new InventedRoad(plan.Terrain, new(seed, $"road of {plan.Name}"));
        var seconds = InventedRide.Record(plan, road, new SeededNoise(seed, $"ride of {plan.Name}"));
        var start = before.ToUniversalTime().AddHours(-17 - 11.3 * i);
        return plan.AsGpx ? new SentRide(plan.Name + ".gpx", Gpx(seconds, road, start)) : new SentRide(plan.Name + ".csv", Csv(seconds, road, start));
    })];

    /// <summary>Sends every ride, one after another, as a rider's own program would.</summary>
    /// <exception cref="HttpRequestException">The door did not take one.</exception>
    public static async Task Send(HttpClient http, ulong seed, DateTimeOffset before, CancellationToken stop)
    {
        ArgumentNullException.ThrowIfNull(http);
        foreach (var ride in Of(seed, before))
        {
            using var body = new ByteArrayContent(ride.Octets);
            using var answer = await http.PostAsync(new Uri($"api/v1/rides?name={ride.Name}&person=rider-{ride.Name.Split('-')[0]}", UriKind.Relative), body, stop);
            answer.EnsureSuccessStatusCode();
        }
    }

    static byte[] Gpx(List<RecordedSecond> seconds, InventedRoad road, DateTimeOffset start)
    {
        var text = new StringBuilder("""
            <?xml version="1.0" encoding="UTF-8"?>
            <gpx version="1.1" creator="invented ride" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>

            """);
        foreach (var s in seconds)
        {
            var (latitudeDeg, longitudeDeg) = road.Place(s.EastM, s.NorthM);
            text.Append(CultureInfo.InvariantCulture, $"<trkpt lat=\"{latitudeDeg:F7}\" lon=\"{longitudeDeg:F7}\"><ele>{s.HeightM:F1}</ele><time>{Time(start, s)}</time><extensions><cad>{s.CadenceRpm}</cad><atemp>{s.AirC:F0}</atemp></extensions></trkpt>\n");
        }

        return Encoding.UTF8.GetBytes(text.Append("</trkseg></trk></gpx>\n").ToString());
    }

    static byte[] Csv(List<RecordedSecond> seconds, InventedRoad road, DateTimeOffset start)
    {
        var text = new StringBuilder("timestamp,position_lat,position_long,altitude,distance,speed,cadence,temperature\n");
        foreach (var s in seconds)
        {
            var (latitudeDeg, longitudeDeg) = road.Place(s.EastM, s.NorthM);
            text.Append(CultureInfo.InvariantCulture, $"{Time(start, s)},{latitudeDeg:F7},{longitudeDeg:F7},{s.HeightM:F1},{s.AlongM:F2},{3.6 * s.SpeedMps:F2},{s.CadenceRpm},{s.AirC:F0}\n");
        }

        return Encoding.UTF8.GetBytes(text.ToString());
    }

    static string Time(DateTimeOffset start, RecordedSecond s) => start.AddSeconds(s.TimeS).ToString("yyyy-MM-dd'T'HH:mm:ss'Z'", CultureInfo.InvariantCulture);
}
