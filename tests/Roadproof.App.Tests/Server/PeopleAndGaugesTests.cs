using System.Net;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;
using Roadproof.App.Frame;
using Roadproof.App.Tests.Commands;

namespace Roadproof.App.Tests.Server;

/// <summary>Qualifications and calibrations through their doors, and what a station hears without them.</summary>
public sealed partial class PeopleAndGaugesTests
{
    static readonly (string, string, string)[] Definitions =
    [
        (PlantFolder.Plant, "name: Balancer,", "name: Balancer, zone: clean, instruments: [balancer],"),
        (PlantFolder.Parts, "name: Magnets }", "name: Magnets, openH: 72 }"),
        (PlantFolder.Route, "{ part: magnet, say: Scan the magnet lot }", "{ part: magnet, say: Scan the magnet lot, oneLot: true }"),
        (PlantFolder.Route, "    workS: 38\n", "    workS: 38\n    qualification: magnets\n"),
    ];

    [Fact]
    public async Task A_station_is_refused_until_person_and_gauge_are_on_record()
    {
        using var place = new Folder();
        await using var line = await OpenLine.Open(place["data"], TimeProvider.System);
        await line.Approve(PlantFolder.With(Definitions), new("test"));
        await using var app = WebHost.Build(line, "http://127.0.0.1:0", quiet: true);
        await app.StartAsync(TestContext.Current.CancellationToken);
        using var http = new HttpClient { BaseAddress = new Uri(app.Urls.Single()) };

        var at = DateTimeOffset.Now;
        await Done(http, "api/v1/lots", new { key = "lot-1", lot = "M-1", part = "magnet", quantity = 500, occurredAt = at });
        object Magnets(string key) => new { key, kind = "request", item = "RT-1", step = "magnets-in", occurredAt = at, person = "k7f2", parts = new[] { new { part = "magnet", lot = "M-1" } } };
        Assert.Equal("Magnets in needs the qualification magnets, and k7f2 has never had it.", await Refused(http, "api/v1/stations/rc10/messages", Magnets("m-1")));
        var granted = await Done(http, "api/v1/people/k7f2/qualifications", new { key = "q-1", qualification = "magnets", validUntil = at.AddDays(300), reason = "course", occurredAt = at, person = "q1" });
        Assert.Equal(("k7f2", "granted"), (granted.GetProperty("person").GetString(), granted.GetProperty("state").GetString()));
        await Done(http, "api/v1/people/k7f2/qualifications", new { key = "q-2", qualification = "clean", validUntil = at.AddDays(300), reason = "gowning", occurredAt = at });
        await Done(http, "api/v1/stations/rc10/messages", Magnets("m-2"));

        object Balance(string key) => new { key, kind = "request", item = "RT-1", step = "balance", occurredAt = at, person = "k7f2", readings = new[] { new { id = "unbalance", value = 1.2, unit = "g·mm" } } };
        Assert.Equal("No calibration of balancer at rc20 is on record.", await Refused(http, "api/v1/stations/rc20/messages", Balance("m-3")));
        Assert.Contains("balancer at rc20 has no calibration on record", await http.GetStringAsync(new Uri("api/v1/notes", UriKind.Relative), TestContext.Current.CancellationToken), StringComparison.Ordinal);
        using (var scale = await Post(http, "api/v1/stations/rc20/calibrations", new { key = "c-0", instrument = "scale", dueAt = at.AddDays(365), reason = "certificate 0815", occurredAt = at }))
            Assert.Equal(HttpStatusCode.BadRequest, scale.StatusCode);
        var kept = await Done(http, "api/v1/stations/rc20/calibrations", new { key = "c-1", instrument = "balancer", dueAt = at.AddDays(365), reason = "certificate 0815", occurredAt = at });
        Assert.Equal("rc20", kept.GetProperty("station").GetString());
        await Done(http, "api/v1/stations/rc20/messages", Balance("m-4"));

        await Done(http, "api/v1/people/k7f2/qualifications/magnets/withdraw", new { key = "q-3", reason = "moved to packing", occurredAt = at.AddSeconds(1) });
        var shown = JsonDocument.Parse(await http.GetStringAsync(new Uri("api/v1/people/k7f2/qualifications", UriKind.Relative), TestContext.Current.CancellationToken)).RootElement;
        Assert.Equal([("clean", false), ("magnets", true)], shown.EnumerateArray().Select(q => (q.GetProperty("qualification").GetString()!, q.GetProperty("withdrawnAt").ValueKind != JsonValueKind.Null)));
        Assert.Equal("k7f2 does not have the qualification magnets.", await Refused(http, "api/v1/people/k7f2/qualifications/magnets/withdraw", new { key = "q-4", reason = "again", occurredAt = at.AddSeconds(2) }));
    }

    [Fact]
    public async Task A_station_s_page_asks_for_a_badge_and_takes_the_next_where_the_first_will_not_do()
    {
        using var place = new Folder();
        await using var line = await OpenLine.Open(place["data"], TimeProvider.System);
        await line.Approve(PlantFolder.With(Definitions), new("test"));
        await using var app = WebHost.Build(line, "http://127.0.0.1:0", quiet: true);
        await app.StartAsync(TestContext.Current.CancellationToken);
        using var http = new HttpClient { BaseAddress = new Uri(app.Urls.Single()) };
        await Done(http, "api/v1/lots", new { key = "lot-1", lot = "M-1", part = "magnet", quantity = 500, occurredAt = DateTimeOffset.Now });
        await Done(http, "api/v1/people/k7f2/qualifications", new { key = "q-1", qualification = "magnets", validUntil = DateTimeOffset.Now.AddDays(300), reason = "course", occurredAt = DateTimeOffset.Now });

        Assert.Contains("Scan your badge", await http.GetStringAsync(new Uri("stations/rc10", UriKind.Relative), TestContext.Current.CancellationToken), StringComparison.Ordinal);
        Assert.Contains("Scan a unit", await Scan(http, "x9"), StringComparison.Ordinal);
        Assert.Contains("x9 has never had it", await Scan(http, "RT-1"), StringComparison.Ordinal);
        Assert.Contains("Scan a unit", await Scan(http, "k7f2"), StringComparison.Ordinal);
        Assert.Contains("Scan the core", await Scan(http, "RT-1"), StringComparison.Ordinal);
        Assert.Contains("Scan the magnet lot", await Scan(http, "RT-1"), StringComparison.Ordinal);
        Assert.Contains("Finish the step", await Scan(http, "M-1"), StringComparison.Ordinal);
        Assert.Contains("Scan your badge", await Scan(http, "RT-1"), StringComparison.Ordinal);
        var unit = JsonDocument.Parse(await http.GetStringAsync(new Uri("api/v1/units/RT-1", UriKind.Relative), TestContext.Current.CancellationToken)).RootElement;
        Assert.Equal("k7f2", unit.GetProperty("steps").EnumerateArray().First().GetProperty("person").GetString());
    }

    /// <summary>Types a code into the field of the station's page and sends it; the page that follows.</summary>
    static async Task<string> Scan(HttpClient http, string code)
    {
        var page = await http.GetStringAsync(new Uri("stations/rc10", UriKind.Relative));
        using var form = new FormUrlEncodedContent(new Dictionary<string, string> { ["__RequestVerificationToken"] = Token().Match(page).Groups[1].Value, ["code"] = code, ["needId"] = Need().Match(page).Groups[1].Value });
        using var response = await http.PostAsync(new Uri("stations/rc10/scan", UriKind.Relative), form);
        return await response.Content.ReadAsStringAsync();
    }

    [GeneratedRegex("name=\"__RequestVerificationToken\" value=\"([^\"]+)\"")]
    private static partial Regex Token();

    [GeneratedRegex("name=\"needId\" value=\"([^\"]+)\"")]
    private static partial Regex Need();

    static async Task<HttpResponseMessage> Post(HttpClient http, string path, object body)
    {
        using var content = new StringContent(JsonSerializer.Serialize(body), Encoding.UTF8, "application/json");
        return await http.PostAsync(new Uri(path, UriKind.Relative), content);
    }

    static async Task<JsonElement> Done(HttpClient http, string path, object body)
    {
        using var response = await Post(http, path, body);
        var text = await response.Content.ReadAsStringAsync();
        Assert.True(response.IsSuccessStatusCode, text);
        return JsonDocument.Parse(text).RootElement;
    }

    static async Task<string?> Refused(HttpClient http, string path, object body)
    {
        using var response = await Post(http, path, body);
        Assert.Equal(HttpStatusCode.Conflict, response.StatusCode);
        return JsonDocument.Parse(await response.Content.ReadAsStringAsync()).RootElement.GetProperty("title").GetString();
    }
}
