#:property RestorePackagesWithLockFile=false
// Runs the demo line for many seeds and compares, fault by fault, how often a faulty unit was stopped with the rate predicted beforehand.
//
//   bench/fault-table [first seed] [number of seeds] [units for each seed]
//
// Every run is made on its own fresh data folder by ./roadproof demo --no-serve --json; its JSON is kept in .build/fault-table.
using System.Diagnostics;
using System.Globalization;
using System.Text.Json;

CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
var root = Environment.GetEnvironmentVariable("ROADPROOF_ROOT") ?? Directory.GetCurrentDirectory();
var firstSeed = args.Length > 0 ? int.Parse(args[0], CultureInfo.InvariantCulture) : 1;
var seeds = args.Length > 1 ? int.Parse(args[1], CultureInfo.InvariantCulture) : 20;
var units = args.Length > 2 ? int.Parse(args[2], CultureInfo.InvariantCulture) : 200;
var folder = Directory.CreateDirectory(Path.Combine(root, ".build", "fault-table")).FullName;

var pooled = new SortedDictionary<string, Tally>(StringComparer.Ordinal);
int sound = 0, soundStopped = 0, byHold = 0, otherSound = 0, otherSoundStopped = 0;
var lotReports = new List<int>();
double slowest = 0;
long largest = 0;

for (var seed = firstSeed; seed < firstSeed + seeds; seed++)
{
    var result = RunDemo(seed);
    var others = result.GetProperty("otherLines").EnumerateArray().ToList();
    var own = result.GetProperty("faults").EnumerateArray().Select(f => (Product: "", Fault: f));
    foreach (var (product, fault) in own.Concat(others.SelectMany(o => o.GetProperty("faults").EnumerateArray().Select(f => (o.GetProperty("product").GetString()!, f)))))
    {
        var name = $"{product} {fault.GetProperty("fault").GetString()}".Trim();
        var n = fault.GetProperty("units").GetInt32();
        var tally = pooled.GetValueOrDefault(name) ?? new Tally();
        pooled[name] = tally;
        tally.Units += n;
        tally.Stopped += fault.GetProperty("stopped").GetInt32();
        if (fault.GetProperty("predictedRate") is { ValueKind: JsonValueKind.Number } rate) tally.Predicted = rate.GetDouble();
    }

    otherSound += others.Sum(c => c.GetProperty("soundUnits").GetInt32());
    otherSoundStopped += others.Sum(c => c.GetProperty("soundStopped").GetInt32());
    sound += result.GetProperty("soundUnits").GetInt32();
    soundStopped += result.GetProperty("soundStopped").GetInt32();
    byHold += result.GetProperty("soundStoppedByLotOrRigHold").GetInt32();
    if (result.TryGetProperty("lotReportedAfterUnits", out var after) && after.ValueKind == JsonValueKind.Number) lotReports.Add(after.GetInt32());
    slowest = Math.Max(slowest, result.GetProperty("elapsedS").GetDouble());
    Console.Error.WriteLine($"seed {seed}: {result.GetProperty("elapsedS").GetDouble():F0} s, head {result.GetProperty("ledgerHead").GetString()![..16]}");
}

Console.WriteLine($"{"fault",-28} {"units",6} {"stopped",8} {"rate",7} {"predicted",10} {"99 % interval",16}  word");
string[] mustStop = ["motor-drag", "stiff-grease", "crimp", "magnet-missing", "rotor-offset-20", "leak", "cover-screw", "wrong-gear"];
var broken = 0;
foreach (var (name, t) in pooled)
{
    var rate = t.Units == 0 ? double.NaN : (double)t.Stopped / t.Units;
    var (low, high) = t.Predicted is { } p ? Central99(t.Units, p) : (0, t.Units);
    var must = mustStop.Contains(name);
    var good = t.Units == 0 || (must ? rate >= 0.95 : t.Predicted is null || (t.Stopped >= low && t.Stopped <= high));
    if (!good) broken++;
    Console.WriteLine($"{name,-28} {t.Units,6} {t.Stopped,8} {rate,7:P1} {(t.Predicted is { } q ? q.ToString("P1", CultureInfo.InvariantCulture) : "-"),10} {$"{low}..{high}",16}  {(good ? must ? "stopped, ≥ 95 % asked" : "as predicted" : must ? "TOO FEW STOPPED" : "NOT AS PREDICTED")}");
}

var outside = soundStopped - byHold;
Console.WriteLine($"sound units {sound}, stopped outside of held lots and rigs {outside} ({(double)outside / sound:P2}; at most 2 % asked), for a held lot or drifting rig {byHold}");
Console.WriteLine($"sound units of the second line and of the cells {otherSound}, stopped {otherSoundStopped} ({(double)otherSoundStopped / otherSound:P2}; at most 2 % asked)");
Console.WriteLine(lotReports.Count == 0 ? "no weak magnet lot in these seeds" : $"weak magnet lots reported after {string.Join(", ", lotReports)} units (at most 10 asked)");
Console.WriteLine($"slowest run {slowest:F0} s, largest data folder {largest / 1e6:F0} MB");
if ((double)outside / sound > 0.02 || (double)otherSoundStopped / otherSound > 0.02 || lotReports.Any(n => n > 10)) broken++;
Console.WriteLine(broken == 0 ? "all as asked" : $"{broken} not as asked");
return broken == 0 ? 0 : 1;

JsonElement RunDemo(int seed)
{
    var data = Path.Combine(folder, $"data-{seed}");
    if (Directory.Exists(data)) Directory.Delete(data, recursive: true);
    var start = new ProcessStartInfo(Path.Combine(root, "roadproof"), ["demo", "--no-serve", "--json", "--seed", $"{seed}", "--units", $"{units}", "--data", data]) { RedirectStandardOutput = true, UseShellExecute = false };
    using var process = Process.Start(start)!;
    var text = process.StandardOutput.ReadToEnd();
    process.WaitForExit();
    if (process.ExitCode != 0) throw new InvalidOperationException($"The demo ended with {process.ExitCode} for seed {seed}.");
    File.WriteAllText(Path.Combine(folder, $"seed-{seed}.json"), text);
    largest = Math.Max(largest, new DirectoryInfo(data).EnumerateFiles("*", SearchOption.AllDirectories).Sum(f => f.Length));
    Directory.Delete(data, recursive: true);
    using var document = JsonDocument.Parse(text);
    return document.RootElement.Clone();
}

// The central interval that a binomial count leaves with at most 0.5 % on either side.
static (int Low, int High) Central99(int n, double p)
{
    double below = 0, mass = Math.Pow(1 - p, n);
    if (p >= 1) return (n, n);
    int low = -1, high = n;
    for (var k = 0; k <= n; k++)
    {
        below += mass;
        if (low < 0 && below > 0.005) low = k;
        if (below >= 0.995) { high = k; break; }
        mass *= (double)(n - k) / (k + 1) * p / (1 - p);
    }

    return (Math.Max(low, 0), high);
}

sealed class Tally
{
    public int Units { get; set; }
    public int Stopped { get; set; }
    public double? Predicted { get; set; }
}
