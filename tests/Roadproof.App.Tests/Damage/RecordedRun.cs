using Roadproof.App.Definitions;
using Roadproof.App.Tests.Commands;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Plant.Rigs;

namespace Roadproof.App.Tests.Damage;

/// <summary>A simulated run of the demo's load test as the three files that a rig sends.</summary>
sealed class RecordedRun(CaptureTable slow, CaptureTable fast, CaptureTable vibration)
{
    public static readonly LoadTestPlan Plan = FindProduct.LoadTest(Typed.Definitions, "af-85");

    static readonly Lazy<RecordedRun> Once = new(() => Of(Deviation.None));

    public static RecordedRun Sound => Once.Value;

    public CaptureTable Slow { get; } = slow;
    public CaptureTable Fast { get; } = fast;
    public CaptureTable Vibration { get; } = vibration;

    public static RecordedRun Of(Deviation unit, ulong seed = 11) => Of(Plan, unit, seed);

    public static RecordedRun Of(LoadTestPlan plan, Deviation unit, ulong seed = 11)
    {
        var run = RunGenerator.Run(plan, unit, RigErrors.Draw(plan.Gauges, 5), new() { UnitSeed = seed, AmbientC = 22, UnitStartC = 23 });
        return new(run.Slow, run.Fast, run.Vibration);
    }

    public RecordedRun With(Func<CaptureTable, CaptureTable>? slow = null, Func<CaptureTable, CaptureTable>? fast = null, Func<CaptureTable, CaptureTable>? vibration = null) =>
        new((slow ?? (t => t))(Slow), (fast ?? (t => t))(Fast), (vibration ?? (t => t))(Vibration));

    /// <returns>The files' paths: slow, fast, vibration.</returns>
    public string[] WriteTo(Folder place, string item = "SH-0000001") => [Write(place, "slow", Slow, item), Write(place, "fast", Fast, item), Write(place, "vibration", Vibration, item)];

    public static byte[] Octets(CaptureTable table, string item)
    {
        using var stream = new MemoryStream();
        CaptureFile.WriteParquet(table, new CaptureHeader(item, "rig1", "af-85/1", 1, new DateTimeOffset(2031, 3, 4, 7, 0, 0, TimeSpan.FromHours(1))) { IdleS = 0 }, stream);
        return stream.ToArray();
    }

    public static Task<Typed> Judge(params string[] files) => Typed.Words(["loadtest", "judge", .. files, "--product", "af-85", "--json"]);

    static string Write(Folder place, string name, CaptureTable table, string item)
    {
        var path = place[$"{name}.parquet"];
        File.WriteAllBytes(path, Octets(table, item));
        return path;
    }
}

/// <summary>Ways in which a table of samples goes wrong.</summary>
static class Spoil
{
    public static CaptureTable Channel(this CaptureTable table, string channel, Func<float[], float[]> change) => table with
    {
        Channels = table.Channels.ToDictionary(c => c.Key, c => c.Key == channel ? change([.. c.Value]) : c.Value, StringComparer.Ordinal),
    };

    public static CaptureTable Renamed(this CaptureTable table, string from, string to) => table with
    {
        Channels = table.Channels.ToDictionary(c => c.Key == from ? to : c.Key, c => c.Value, StringComparer.Ordinal),
    };

    public static CaptureTable Time(this CaptureTable table, Action<double[]> change)
    {
        double[] timeS = [.. table.TimeS];
        change(timeS);
        return table with { TimeS = timeS };
    }

    /// <summary>Only the rows whose time lies before this one.</summary>
    public static CaptureTable Until(this CaptureTable table, double timeS)
    {
        var rows = table.TimeS.Count(t => t < timeS);
        return new(table.Source, table.TimeS[..rows], table.Channels.ToDictionary(c => c.Key, c => c.Value[..rows], StringComparer.Ordinal));
    }
}
