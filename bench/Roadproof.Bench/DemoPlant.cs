using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Plant.Line;
using Roadproof.Plant.Rigs;

namespace Roadproof.Bench;

/// <summary>The demo's definitions, a run of its rig and a line that has built some units.</summary>
static class DemoPlant
{
    public static readonly string Definitions = Path.Combine(AppContext.BaseDirectory, "demo");

    public static LoadTestPlan Plan => FindProduct.LoadTest(Definitions, "af-85");

    /// <summary>One run as three Parquet files.</summary>
    public static IReadOnlyList<(string Name, byte[] Bytes)> Run(Deviation unit)
    {
        var plan = Plan;
        var run = RunGenerator.Run(plan, unit, RigErrors.Draw(plan.Gauges, 7), new RunConditions { UnitSeed = 7, AmbientC = 22, UnitStartC = 22 });
        return [.. new[] { run.Slow, run.Fast, run.Vibration }.Select(t =>
        {
            using var file = new MemoryStream();
            CaptureFile.WriteParquet(t, CaptureHeader.Unknown, file);
            return (t.Source, file.ToArray());
        })];
    }

    /// <summary>A line on a folder of its own, served on a free port, with so many units built.</summary>
    public static async Task<ServedLine> Serve(int units)
    {
        var folder = Directory.CreateTempSubdirectory("roadproof-bench-").FullName;
        var options = new DemoOptions { Seed = 3, Units = units };
        var clock = options.Clock();
        var line = await OpenLine.Open(Path.Combine(folder, "data"), clock);
        await line.Approve(DefinitionsFiles, new("bench"));
        var app = WebHost.Build(line, "http://127.0.0.1:0", quiet: true);
        await app.StartAsync();
        var http = new HttpClient(new SocketsHttpHandler { MaxConnectionsPerServer = 512 }) { BaseAddress = new Uri(app.Urls.First()), Timeout = TimeSpan.FromMinutes(5) };
        if (units > 0) await DemoLine.Run(http, clock, options);
        return new(folder, line, app, http);
    }

    static IReadOnlyList<(string Name, string Text)> DefinitionsFiles => FindProduct.Files(Definitions);
}

/// <summary>A line being served; deleted when done.</summary>
sealed record ServedLine(string Folder, OpenLine Line, Microsoft.AspNetCore.Builder.WebApplication App, HttpClient Http) : IAsyncDisposable
{
    public async ValueTask DisposeAsync()
    {
        Http.Dispose();
        await App.DisposeAsync();
        await Line.DisposeAsync();
        Directory.Delete(Folder, recursive: true);
    }
}
