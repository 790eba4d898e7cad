using Microsoft.AspNetCore.Builder;
using Microsoft.Data.Sqlite;
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
    readonly HttpClient http;
    Action? afterEachAnswer;
    WebApplication app = null!;

    ServedDemo(DemoOptions options, PlantClock clock)
    {
        (this.options, this.clock) = (options, clock);
        http = new(new Listening(this)) { Timeout = TimeSpan.FromMinutes(2) };
    }

    public OpenLine Line { get; private set; } = null!;
    public string Address { get; private set; } = "";

    string Data => Path.Combine(folder.FullName, "data");

    /// <summary>Nothing is built yet: the lines wait for <see cref="Build"/>.</summary>
    public static async Task<ServedDemo> Start(DemoOptions options, IReadOnlyList<(string Name, string Text)> definitions)
    {
        var demo = new ServedDemo(options, options.Clock());
        demo.Line = await OpenLine.Open(demo.Data, demo.clock);
        await demo.Line.Approve(definitions, new("browser-tests"));
        await demo.Serve();
        return demo;
    }

    /// <summary>A plant that stood still when its folder was kept, with records of its own; its captures are links to the kept ones, one by one: what it retires is gone here only.</summary>
    public static async Task<ServedDemo> Open(KeptFolder kept)
    {
        var demo = new ServedDemo(new(), PlantClock.Stepped(kept.At));
        Directory.CreateDirectory(demo.Data);
        File.Copy(kept.Records, Path.Combine(demo.Data, "records.db"));
        foreach (var file in Directory.EnumerateFiles(kept.Captures, "*", SearchOption.AllDirectories))
        {
            var link = Path.Combine(demo.Data, "captures", Path.GetRelativePath(kept.Captures, file));
            Directory.CreateDirectory(Path.GetDirectoryName(link)!);
            File.CreateSymbolicLink(link, file);
        }

        demo.Line = await OpenLine.Open(demo.Data, demo.clock);
        await demo.Serve();
        return demo;
    }

    /// <summary>Builds units through the public interface until they have ended, or until it is stopped.</summary>
    public Task<DemoResult> Build(CancellationToken stop = default) => DemoLine.Run(http, clock, options, stop: stop);

    /// <summary>The same, and keeps the folder as it is when something first holds after an answer of the server.</summary>
    /// <returns>Null where it never held.</returns>
    public async Task<KeptFolder?> BuildAndKeep(Func<OpenLine, bool> when)
    {
        KeptFolder? kept = null;
        afterEachAnswer = () =>
        {
            if (kept is null && when(Line)) kept = Keep();
        };
        await Build();
        return kept;
    }

    // Stations speak one after another: while one waits for its answer nothing else happens on the line.
    KeptFolder Keep()
    {
        var kept = new KeptFolder(Directory.CreateTempSubdirectory("roadproof-kept-").FullName, Line.Clock.GetLocalNow());
        using var from = Line.Ask();
        using var to = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = kept.Records, Pooling = false }.ToString());
        to.Open();
        from.BackupDatabase(to);
        var captures = Path.Combine(Data, "captures");
        foreach (var file in Directory.EnumerateFiles(captures, "*", SearchOption.AllDirectories))
        {
            var copy = Path.Combine(kept.Captures, Path.GetRelativePath(captures, file));
            Directory.CreateDirectory(Path.GetDirectoryName(copy)!);
            File.Copy(file, copy);
        }

        return kept;
    }

    async Task Serve()
    {
        app = WebHost.Build(Line, "http://127.0.0.1:0", quiet: true);
        await app.StartAsync();
        Address = app.Urls.First();
        http.BaseAddress = new Uri(Address);
    }

    public async ValueTask DisposeAsync()
    {
        http.Dispose();
        await app.DisposeAsync();
        await Line.DisposeAsync();
        folder.Delete(recursive: true);
    }

    /// <summary>The wire between the stations and the server.</summary>
    sealed class Listening(ServedDemo demo) : DelegatingHandler(new SocketsHttpHandler())
    {
        protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
        {
            var answer = await base.SendAsync(request, cancellationToken);
            demo.afterEachAnswer?.Invoke();
            return answer;
        }
    }
}

/// <summary>Records and captures of a plant as they were at one moment of its own time.</summary>
public sealed record KeptFolder(string Path, DateTimeOffset At) : IDisposable
{
    public string Records => System.IO.Path.Combine(Path, "records.db");

    public string Captures => System.IO.Path.Combine(Path, "captures");

    public void Dispose() => Directory.Delete(Path, recursive: true);
}
