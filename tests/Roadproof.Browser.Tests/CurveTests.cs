using System.Net.Http.Json;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>Checks that are judged from their curves, as people see them: a plant of its own, whose stations send curves.</summary>
public sealed class CurveTests(ServedLine line) : IAsyncLifetime
{
    readonly HttpClient http = new();
    ServedDemo plant = null!;
    int keys;

    public async ValueTask InitializeAsync()
    {
        plant = await ServedDemo.Start(new(), CurveFolder.Files);
        http.BaseAddress = new Uri(plant.Address);
        foreach (var part in new[] { "bearing", "cover-screw" })
            await Post("api/v1/lots", new { key = Key(), lot = $"L-{part}", part, quantity = 100, occurredAt = Now, person = "p1" });
    }

    [Theory]
    [InlineData(1280)]
    [InlineData(390)]
    public async Task A_failed_cover_stands_open_with_its_screw_and_its_window_and_a_passed_press_folded(int width)
    {
        await Build("SH-1", SampleCurves.Cover("SH-1", stripped: 3));
        var page = await line.Open($"{plant.Address}/units/SH-1", width: width);
        await Expect(page.Locator("#curve-cover-cover .screws g.fail")).ToHaveCountAsync(1);
        await Expect(page.Locator("#curve-cover-cover .screws g.fail text")).ToHaveTextAsync("3");
        await Expect(page.Locator("#curve-cover-cover .chart .window.is-fail")).ToHaveCountAsync(1);
        await Expect(page.Locator("#curve-bearing-in-bearing-force .chart")).ToBeHiddenAsync();
        Assert.Equal(0, await page.SidewaysScroll());
        await Accessibility.Check(page);

        await page.Locator("#curve-bearing-in-bearing-force > summary").PressAsync("Enter");
        await Expect(page.Locator("#curve-bearing-in-bearing-force .chart")).ToBeVisibleAsync();
        await page.Locator("#curve-cover-cover-features > summary").PressAsync("Enter");
        Assert.Equal(0, await page.SidewaysScroll());
        await Accessibility.Check(page);
    }

    [Fact]
    public async Task A_leak_that_temperature_hides_shows_what_it_explains()
    {
        await Build("SH-1", SampleCurves.Cover("SH-1"));
        await Send("st40", "SH-1", "leak-check", SampleCurves.Leak("SH-1", cm3PerMin: 4, wallKPerS: 0.02));
        var page = await line.Open($"{plant.Address}/units/SH-1", width: 390, height: 800);
        await Expect(page.Locator("#curve-leak-check-leak .balance p")).ToHaveCountAsync(3);
        await Expect(page.Locator("#unit-readings")).ToContainTextAsync("see its curve");
        Assert.Equal(0, await page.SidewaysScroll());
        await Accessibility.Check(page);
    }

    [Fact]
    public async Task A_station_that_is_looked_at_lights_the_next_screw_while_the_driver_works()
    {
        await Build("SH-1", null);
        await Post("api/v1/stations/st30/messages", Message("begin", "SH-1", "cover"));
        var page = await line.Open($"{plant.Address}/stations/st30", width: 1024, height: 600);
        await Expect(page.Locator(".screws .next text")).ToHaveTextAsync("1");
        await Accessibility.Check(page);
        await Driven(1);
        await Expect(page.Locator(".screws .next text")).ToHaveTextAsync("5");
        await Driven(1, 5);
        await Expect(page.Locator(".screws .next text")).ToHaveTextAsync("3");
        await Expect(page.Locator(".screws .pass")).ToHaveCountAsync(2);
        Assert.Equal(0, await page.SidewaysScroll());

        using var refused = await http.PostAsJsonAsync("api/v1/stations/st30/messages", Screws(1, 5, 7), TestContext.Current.CancellationToken);
        await Expect(page.GetByRole(AriaRole.Alert)).ToContainTextAsync("screw 7 was tightened, and screw 3 is next");
    }

    async Task Build(string unit, SampleCurve? cover)
    {
        await Post("api/v1/stations/st10/messages", Message("finish", unit, "shell-in"));
        await Send("st20", unit, "bearing-in", SampleCurves.Press(unit));
        if (cover is not null) await Send("st30", unit, "cover", cover);
    }

    async Task Send(string station, string unit, string step, SampleCurve curve)
    {
        using var bytes = new ByteArrayContent(curve.Octets);
        (await http.PutAsync($"api/v1/captures/{curve.Sha256}", bytes, TestContext.Current.CancellationToken)).EnsureSuccessStatusCode();
        var parts = step switch { "bearing-in" => new[] { "bearing" }, "cover" => ["cover-screw"], _ => [] };
        await Post($"api/v1/stations/{station}/messages", new
        {
            key = Key(), kind = "request", item = unit, step, occurredAt = Now, person = "p1",
            parts = parts.Select(p => new { part = p, lot = $"L-{p}" }), captures = new[] { new { sha256 = curve.Sha256, name = curve.Name } },
        });
    }

    Task Driven(params int[] screws) => Post("api/v1/stations/st30/messages", Screws(screws));

    object Screws(params int[] screws) => new
    {
        key = Key(), kind = "request", stage = "scan", item = "SH-1", step = "cover", occurredAt = Now, person = "p1",
        screws = screws.Select(n => new { group = "cover", number = n, torqueNm = 5.5, angleDeg = 47 }),
    };

    object Message(string stage, string unit, string step) => new { key = Key(), kind = "request", stage, item = unit, step, occurredAt = Now, person = "p1" };

    async Task Post(string path, object body) => (await http.PostAsJsonAsync(path, body, TestContext.Current.CancellationToken)).EnsureSuccessStatusCode();

    // The plant clock stands still while nothing is built; a driver's own goes on.
    DateTimeOffset Now => plant.Line.Clock.GetLocalNow().AddSeconds(keys);

    string Key() => FormattableString.Invariant($"curve-{++keys:d4}");

    public async ValueTask DisposeAsync()
    {
        http.Dispose();
        await plant.DisposeAsync();
    }
}
