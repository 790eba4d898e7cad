using Microsoft.AspNetCore.Builder;
using Roadproof.App.Frame;
using Roadproof.Plant;
using Roadproof.Plant.Line;

namespace Roadproof.Browser.Tests;

/// <summary>The demo's plant and its pages on a free port, in a folder of its own that goes with it.</summary>
public sealed class ServedDemo : IAsyncDisposable
{
    readonly DirectoryInfo folder = Directory.CreateTempSubdirectory("roadproof-browser-");
    readonly DemoOptions options;
    readonly PlantClock clock;
    readonly HttpClient http = new() { Timeout = TimeSpan.FromMinutes(2) };
    WebApplication app = null!;

    ServedDemo(DemoOptions options) => (this.options, clock) = (options, options.Clock());

    public OpenLine Line { get; private set; } = null!;
    public string Address { get; private set; } = "";

    /// <summary>Nothing is built yet: the lines wait for <see cref="Build"/>.</summary>
    public static async Task<ServedDemo> Start(DemoOptions options, IReadOnlyList<(string Name, string Text)> definitions)
    {
        var demo = new ServedDemo(options);
        demo.Line = await OpenLine.Open(Path.Combine(demo.folder.FullName, "data"), demo.clock);
        await demo.Line.Approve(definitions, new("browser-tests"));
        demo.app = WebHost.Build(demo.Line, "http://127.0.0.1:0", quiet: true);
        await demo.app.StartAsync();
        demo.Address = demo.app.Urls.First();
        demo.http.BaseAddress = new Uri(demo.Address);
        return demo;
    }

    /// <summary>Builds units through the public interface until they have ended, or until it is stopped.</summary>
    public Task<DemoResult> Build(CancellationToken stop = default) => DemoLine.Run(http, clock, options, stop: stop);

    public async ValueTask DisposeAsync()
    {
        http.Dispose();
        await app.DisposeAsync();
        await Line.DisposeAsync();
        folder.Delete(recursive: true);
    }
}
