using System.Net;
using System.Text;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.Time.Testing;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.App.Tests.Commands;
using Roadproof.App.Tests.Damage;
using Roadproof.Plant.Line;
using Roadproof.Records.Definitions;
using Roadproof.Records.Messages;

namespace Roadproof.App.Tests.Server;

/// <summary>The demo plant's line behind a real web server on a free port, with one lot of every part received; lots are named L- and the part.</summary>
sealed class ServedLine : IAsyncDisposable
{
    static readonly DateTimeOffset Morning = new(2031, 3, 4, 6, 0, 0, TimeSpan.FromHours(1));

    readonly Folder place;
    readonly WebApplication app;
    readonly FakeTimeProvider clock;
    int keys;

    ServedLine(OpenLine line, WebApplication app, FakeTimeProvider clock, Folder place)
    {
        (Line, this.app, this.clock, this.place) = (line, app, clock, place);
        Http = new HttpClient(new HttpClientHandler { AllowAutoRedirect = false, CookieContainer = new CookieContainer() }) { BaseAddress = new Uri(app.Urls.Single()) };
    }

    public OpenLine Line { get; }
    public HttpClient Http { get; }
    public RouteRevision Route => Line.Standing[0];

    /// <param name="data">The data folder; null takes one of its own.</param>
    /// <param name="files">Definitions; null takes the demo's.</param>
    public static async Task<ServedLine> Start(string? data = null, IEnumerable<(string Name, string Text)>? files = null)
    {
        var folder = new Folder();
        var time = new FakeTimeProvider(Morning);
        time.SetLocalTimeZone(TimeZoneInfo.CreateCustomTimeZone("plant", TimeSpan.FromHours(1), "plant", "plant"));
        var line = await OpenLine.Open(data ?? folder["data"], time);
        await line.Approve(files ?? FindProduct.Files(DemoFolder.Path), new("test"));
        var host = WebHost.Build(line, "http://127.0.0.1:0", quiet: true);
        await host.StartAsync();
        var served = new ServedLine(line, host, time, folder);
        foreach (var part in served.Route.Parts.Where(p => !p.Shell))
            (await served.Post("api/v1/lots", new { key = $"lot-{part.Id}", lot = $"L-{part.Id}", part = part.Id, quantity = 500, occurredAt = Morning, person = "p1" })).EnsureSuccessStatusCode();
        return served;
    }

    public void Wait(TimeSpan time) => clock.Advance(time);

    public string NextKey() => FormattableString.Invariant($"key-{++keys:d5}");

    public async Task<HttpResponseMessage> Post(string path, object body) => await PostText(path, JsonSerializer.Serialize(body, Json.Options));

    public async Task<HttpResponseMessage> PostText(string path, string json)
    {
        using var content = new StringContent(json, Encoding.UTF8, "application/json");
        return await Http.PostAsync(new Uri(path, UriKind.Relative), content);
    }

    public Task<HttpResponseMessage> Send(string station, StationMessage message) =>
        PostText($"api/v1/stations/{station}/messages", JsonSerializer.Serialize(message, StationMessageJson.Options));

    public async Task<HttpResponseMessage> Put(RecordedFile file, string? named = null)
    {
        using var content = new ByteArrayContent(file.Octets);
        return await Http.PutAsync(new Uri($"api/v1/captures/{named ?? file.Sha256}", UriKind.Relative), content);
    }

    public async Task<JsonElement> Get(string path) => await Read(await Http.GetAsync(new Uri(path, UriKind.Relative)));

    public static async Task<JsonElement> Read(HttpResponseMessage response) => JsonDocument.Parse(await response.Content.ReadAsStringAsync()).RootElement;

    public async Task<string> Page(string path, HttpStatusCode expected = HttpStatusCode.OK)
    {
        using var response = await Http.GetAsync(new Uri(path, UriKind.Relative));
        Assert.Equal(expected, response.StatusCode);
        Assert.Equal("text/html", response.Content.Headers.ContentType?.MediaType);
        return await response.Content.ReadAsStringAsync();
    }

    public StationMessage Begin(string unit, string step) => new() { Key = NextKey(), Kind = "request", Stage = "begin", Item = unit, Step = step, OccurredAt = clock.GetLocalNow(), Person = "p1" };

    /// <summary>A message that ends a step as it should end.</summary>
    public StationMessage Finish(string unit, string step)
    {
        var route = Route.StepOf(step)!;
        return new()
        {
            Key = NextKey(), Kind = "request", Item = unit, Step = step, OccurredAt = clock.GetLocalNow(), Person = "p1",
            Parts = [.. route.Parts.Where(p => p.Part != "shell").Select(p => new MessagePart(p.Part, $"L-{p.Part}", Route.Parts.First(d => d.Id == p.Part).Serialised ? $"{p.Part}-of-{unit}" : null))],
            Readings = [.. route.Readings.Select(r => r.Text ? new MessageReading(r.Id, Text: r.Equal ?? "ok") : new MessageReading(r.Id, r.UsualValue, r.Unit))],
            Screws = [.. route.Screws.SelectMany(g => Enumerable.Range(1, g.Count).Select(n => new MessageScrew(g.Id, n, (g.TorqueLowerNm + g.TorqueUpperNm) / 2, 50)))],
        };
    }

    /// <summary>Takes a unit along its route until the named step comes next.</summary>
    public async Task Build(string unit, string until)
    {
        foreach (var step in Route.Steps.TakeWhile(s => s.Id != until))
        {
            using var response = await Send(StationOf(step.Id), Finish(unit, step.Id));
            var answer = await Read(response);
            Assert.True(response.IsSuccessStatusCode && answer.GetProperty("verdict").GetString() == "pass", $"{step.Id}: {answer}");
            clock.Advance(TimeSpan.FromSeconds(60));
        }
    }

    public string StationOf(string step) => Route.Line.Stations.First(s => s.Step == step).Id;

    /// <summary>The three files of a sound unit's run.</summary>
    public static IReadOnlyList<RecordedFile> Run(string item) =>
    [
        RecordedFile.Of("slow", RecordedRun.Octets(RecordedRun.Sound.Slow, item)), RecordedFile.Of("fast", RecordedRun.Octets(RecordedRun.Sound.Fast, item)),
        RecordedFile.Of("vibration", RecordedRun.Octets(RecordedRun.Sound.Vibration, item)),
    ];

    public async ValueTask DisposeAsync()
    {
        Http.Dispose();
        await app.StopAsync();
        await app.DisposeAsync();
        await Line.DisposeAsync();
        place.Dispose();
    }
}
