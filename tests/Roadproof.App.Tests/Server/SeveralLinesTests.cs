using System.Net;
using System.Text;
using System.Text.Json;
using Roadproof.App.Frame;
using Roadproof.App.Tests.Commands;

namespace Roadproof.App.Tests.Server;

/// <summary>A plant with a line and a cell through its doors: both are seen, worked and told apart.</summary>
public sealed class SeveralLinesTests
{
    [Fact]
    public async Task A_cell_builds_a_rotor_and_every_page_tells_whose_it_is()
    {
        using var place = new Folder();
        await using var line = await OpenLine.Open(place["data"], TimeProvider.System);
        await line.Approve(PlantFolder.Files, new("test"));
        await using var app = WebHost.Build(line, "http://127.0.0.1:0", quiet: true);
        await app.StartAsync(TestContext.Current.CancellationToken);
        using var http = new HttpClient { BaseAddress = new Uri(app.Urls.Single()) };

        var at = DateTimeOffset.Now;
        await Done(http, "api/v1/lots", new { key = "lot-1", lot = "M-1", part = "magnet", quantity = 500, occurredAt = at });
        await Done(http, "api/v1/stations/rc10/messages", new { key = "m-1", kind = "request", item = "RT-1", step = "magnets-in", occurredAt = at, parts = new[] { new { part = "magnet", lot = "M-1" } } });
        await Done(http, "api/v1/stations/rc20/messages", new { key = "m-2", kind = "request", item = "RT-1", step = "balance", occurredAt = at, readings = new[] { new { id = "unbalance", value = 1.2, unit = "g·mm" } } });

        var lines = await Json(http, "api/v1/lines");
        Assert.Equal([("Line 1", 0), ("Rotor cell", 1)], lines.EnumerateArray().Select(l => (l.GetProperty("line").GetString()!, l.GetProperty("figures").GetProperty("shipped").GetInt32())));
        Assert.Equal(["rc10", "rc20"], (await Json(http, "api/v1/lines/rotors")).GetProperty("stations").EnumerateArray().Select(s => s.GetProperty("station").GetString()!));
        Assert.Equal(1, (await Json(http, "api/v1/units?product=rotor-85")).GetProperty("total").GetInt32());
        Assert.Equal(0, (await Json(http, "api/v1/units?product=af-85")).GetProperty("total").GetInt32());
        Assert.Equal(HttpStatusCode.NotFound, (await http.GetAsync(new Uri("api/v1/lines/nobody", UriKind.Relative), TestContext.Current.CancellationToken)).StatusCode);

        Assert.Contains("href=\"/lines/rotors\"", await Page(http, "/"), StringComparison.Ordinal);
        Assert.Contains("Balancer", await Page(http, "/lines/rotors"), StringComparison.Ordinal);
        Assert.DoesNotContain("Rig 1", await Page(http, "/lines/rotors"), StringComparison.Ordinal);
        Assert.Contains("Rotor cell", await Page(http, "/stations"), StringComparison.Ordinal);
        Assert.Contains("Set the magnets", await Page(http, "/stations/rc10"), StringComparison.Ordinal);
        Assert.Contains("Unbalance", await Page(http, "/units/RT-1"), StringComparison.Ordinal);
        Assert.Contains("RT-1 is no drive unit.", await Page(http, "/follow/RT-1"), StringComparison.Ordinal);
        Assert.Contains("No line nobody in this plant.", await Page(http, "/lines/nobody"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_hub_line_beside_another_has_its_own_stations_rigs_checks_and_drawing()
    {
        using var place = new Folder();
        await using var line = await OpenLine.Open(place["data"], TimeProvider.System);
        await line.Approve(DemoFolder.Whole, new("test"));
        await using var app = WebHost.Build(line, "http://127.0.0.1:0", quiet: true);
        await app.StartAsync(TestContext.Current.CancellationToken);
        using var http = new HttpClient { BaseAddress = new Uri(app.Urls.Single()) };

        // It stands idle and says so without a figure that it does not have.
        Assert.Contains("href=\"/lines/hub-line\"", await Page(http, "/"), StringComparison.Ordinal);
        var idle = await Page(http, "/lines/hub-line");
        Assert.Contains("Planet bench", idle, StringComparison.Ordinal);
        Assert.DoesNotContain("Gear bench", idle, StringComparison.Ordinal);
        Assert.DoesNotContain("NaN", idle, StringComparison.Ordinal);
        Assert.Contains("Shell rig 2", await Page(http, "/stations"), StringComparison.Ordinal);
        Assert.Contains("The shell turns under full load", await Page(http, "/stations/hub90"), StringComparison.Ordinal);

        var at = DateTimeOffset.Now;
        await Done(http, "api/v1/stations/hub10/messages", new
        {
            key = "h-1", kind = "request", item = "HS-1", step = "shell-in", occurredAt = at, readings = new[] { new { id = "wipe-done", text = "yes" } },
        });
        Assert.Contains("Load shell", await Page(http, "/units/HS-1"), StringComparison.Ordinal);
        Assert.Equal(1, (await Json(http, "api/v1/units?product=af-40")).GetProperty("total").GetInt32());
        Assert.Equal(0, (await Json(http, "api/v1/units?product=af-85")).GetProperty("total").GetInt32());

        // Sun, three planets and the ring.
        Assert.Equal(["sun", "planet", "planet", "planet", "ring"], UnitGeometry.Of(HubFolder.Plan.Unit).Gears.Select(g => g.Role));
    }

    static async Task Done(HttpClient http, string path, object body)
    {
        using var content = new StringContent(JsonSerializer.Serialize(body), Encoding.UTF8, "application/json");
        using var response = await http.PostAsync(new Uri(path, UriKind.Relative), content);
        Assert.True(response.IsSuccessStatusCode, await response.Content.ReadAsStringAsync());
    }

    static async Task<JsonElement> Json(HttpClient http, string path) => JsonDocument.Parse(await http.GetStringAsync(new Uri(path, UriKind.Relative))).RootElement;

    static async Task<string> Page(HttpClient http, string path)
    {
        using var response = await http.GetAsync(new Uri(path, UriKind.Relative));
        return await response.Content.ReadAsStringAsync();
    }
}
