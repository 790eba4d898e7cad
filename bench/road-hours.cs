#:property RestorePackagesWithLockFile=false
#:property PublishAot=false
// Writes invented rides of an hour each (half GPX, half CSV), takes them all through road, unit, rainflow and damage by the command that a person would use, and tells seconds and the most memory.
// Twice, the second time with four times as many: memory that grew with the rides would show.
//
//   bench/road-hours [hours]
using System.Diagnostics;
using System.Globalization;
using System.Text;

CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
var hours = args.Length > 0 ? int.Parse(args[0], CultureInfo.InvariantCulture) : 1000;
var folder = Directory.CreateTempSubdirectory("road-hours").FullName;
try
{
    Parallel.For(0, hours, n => File.WriteAllText(Path.Combine(folder, $"{n:0000}.{(n % 2 == 0 ? "gpx" : "csv")}"), n % 2 == 0 ? Gpx(n) : Csv(n)));
    Console.WriteLine($"{hours} rides of 3600 s, {Directory.EnumerateFiles(folder).Sum(f => new FileInfo(f).Length) / 1e6:0} MB; {Environment.ProcessorCount} cores, shared");
    foreach (var count in new[] { hours / 4, hours })
    {
        var files = Directory.EnumerateFiles(folder).Order().Take(count).ToList();
        var named = Directory.CreateTempSubdirectory("road-some").FullName;
        foreach (var file in files) File.CreateSymbolicLink(Path.Combine(named, Path.GetFileName(file)), file);
        var app = Path.Combine(Environment.GetEnvironmentVariable("ROADPROOF_ROOT")!, "src/Roadproof.App/bin/Release/net10.0/Roadproof.App.dll");
        var clock = Stopwatch.StartNew();
        using var run = Process.Start(new ProcessStartInfo("dotnet", [app, "road", "load", named, "--product", "af-85", "--json"]) { UseShellExecute = false, RedirectStandardOutput = true, RedirectStandardError = true })!;
        var (most, busyS) = (0L, 0.0);
        var output = run.StandardOutput.ReadToEndAsync();
        var error = run.StandardError.ReadToEndAsync();
        while (!run.WaitForExit(100))
        {
            run.Refresh();
            try
            {
                (most, busyS) = (Math.Max(most, run.PeakWorkingSet64), run.TotalProcessorTime.TotalSeconds);
            }
            catch (InvalidOperationException)
            {
                // It has ended between the two.
            }
        }

        var answer = output.Result;
        var at = answer.IndexOf("\"distanceM\"", answer.IndexOf("\"refused\"", StringComparison.Ordinal), StringComparison.Ordinal);
        Console.WriteLine($"{count} hours: {clock.Elapsed.TotalSeconds:0.0} s by the clock, {busyS:0} s of processor, {most / 1e6:0} MB at most, exit {run.ExitCode}, {answer.Substring(at, 40).Split(',')[0]}");
        Directory.Delete(named, true);
    }
}
finally
{
    Directory.Delete(folder, true);
}

// Somewhere in the middle of an ocean: eastwards along a parallel, up and down by a few waves, with what a recorder's readings scatter.
static IEnumerable<(int Second, double Latitude, double Longitude, double Elevation, double Speed)> Ride(int n)
{
    var random = new Random(n);
    var (east, up, waves) = (0.0, 200.0, 3 + n % 9);
    for (var s = 0; s < 3600; s++)
    {
        var speed = s % 600 < 20 ? 0 : 5 + 1.5 * Math.Sin(s / 90.0 + n) + 0.2 * random.NextDouble();
        var slope = 0.04 * Math.Sin(2 * Math.PI * waves * s / 3600.0) + 0.015 * Math.Sin(s / 37.0);
        east += speed;
        up += speed * slope;
        yield return (s, -40 + n * 1e-4 + 5e-6 * random.NextDouble(), -130 + east / 85_394.0, up + 0.4 * random.NextDouble(), speed);
    }
}

static string Gpx(int n)
{
    var text = new StringBuilder("<?xml version=\"1.0\"?><gpx version=\"1.1\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>\n");
    foreach (var p in Ride(n)) text.Append($"<trkpt lat=\"{p.Latitude:0.0000000}\" lon=\"{p.Longitude:0.0000000}\"><ele>{p.Elevation:0.0}</ele><time>{At(p.Second):yyyy-MM-ddTHH:mm:ssZ}</time></trkpt>\n");
    return text.Append("</trkseg></trk></gpx>\n").ToString();
}

static string Csv(int n)
{
    var text = new StringBuilder("timestamp,position_lat,position_long,altitude,speed\n");
    foreach (var p in Ride(n)) text.Append($"{At(p.Second):yyyy-MM-ddTHH:mm:ssZ},{p.Latitude:0.0000000},{p.Longitude:0.0000000},{p.Elevation:0.0},{p.Speed * 3.6:0.00}\n");
    return text.ToString();
}

static DateTime At(int second) => new DateTime(2026, 5, 4, 8, 0, 0, DateTimeKind.Utc).AddSeconds(second);
