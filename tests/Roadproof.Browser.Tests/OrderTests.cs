using Microsoft.AspNetCore.Builder;
using Microsoft.Playwright;
using Roadproof.App.Frame;
using Roadproof.App.Line;
using Roadproof.App.Lots;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>Two orders of two variants and the changeover between them, with nothing but a keyboard and the scanner that is one; on a plant of its own.</summary>
public sealed class OrderTests(ServedLine served) : IAsyncLifetime
{
    const string Old = "SH-9300001", New = "SH-9300002";

    readonly string folder = Directory.CreateTempSubdirectory("roadproof-orders-").FullName;
    OpenLine plant = null!;
    WebApplication app = null!;

    string Address => app.Urls.Single();

    public async ValueTask InitializeAsync()
    {
        plant = await OpenLine.Open(folder, TimeProvider.System);
        await plant.Approve(OrderFolder.Files, new("test"));
        app = WebHost.Build(plant, "http://127.0.0.1:0", quiet: true);
        await app.StartAsync();
        foreach (var part in plant.Plant.Parts.Where(p => !p.Shell)) await ActOnLot.Receive(new($"lot-{part.Id}", $"L-{part.Id}", part.Id, 500, null, plant.Clock.GetLocalNow()), plant);
    }

    public async ValueTask DisposeAsync()
    {
        await app.StopAsync();
        await app.DisposeAsync();
        await plant.DisposeAsync();
        Directory.Delete(folder, recursive: true);
    }

    [Fact]
    public async Task An_order_is_opened_and_started_a_station_refuses_until_it_is_cleared_by_scan_and_builds_on_by_keyboard_alone()
    {
        var page = await served.Open(Address + "/orders");
        await Accessibility.Check(page);
        await OpenOrder(page, "O-1", "af-85/eu-25");
        await OpenOrder(page, "O-2", "af-85/us-20");
        await Press(page, "form[action='/orders/O-1/start'] button");
        await Expect(page.Locator("h1")).ToContainTextAsync("O-1 (EU, 25 km/h) runs: 0 of 12 good.");

        // The label of the last order lies at its station when the next is started.
        var bench = await served.Open(Address + "/stations/st120", width: 1024, height: 600);
        await bench.Scan("L-label");
        await Expect(bench.Locator(".stock")).ToContainTextAsync("L-label");
        await bench.GotoAsync(Address + "/stations/st10");
        await bench.LoadShell(Old);
        await Press(page, "form[action='/orders/O-2/start'] button");
        await Expect(page.Locator("h1")).ToContainTextAsync("O-2 (US, 20 mph) runs: 0 of 12 good. 3 stations to be cleared.");
        await Accessibility.Check(page);
        await bench.LoadShell(New);
        Assert.Equal(("O-1", "O-2"), (AskLine.Unit(Old, plant)!.Order!.Order, AskLine.Unit(New, plant)!.Order!.Order));

        await Press(page, ".changeover a[href='/stations/st120']");
        await Expect(page.Locator("h1")).ToHaveTextAsync("Scan your badge");
        await bench.GotoAsync(Address + "/stations/st120");
        await Accessibility.Check(bench);
        Assert.Equal((0, 0), (await bench.SidewaysScroll(), await bench.DownwardScroll()));

        // The badge alone does not clear what still lies there.
        await bench.Scan("k7f2");
        await Expect(bench.Locator("h1")).ToHaveTextAsync("Take away L-label");
        await bench.Scan("k7f2");
        await Expect(bench.GetByRole(AriaRole.Alert)).ToContainTextAsync("L-label (Quality label, EU) still lies at st120");
        await bench.Scan("L-label 480");
        await Expect(bench.Locator("h1")).ToHaveTextAsync("Scan your badge again");
        await bench.Scan("k7f2");
        await Expect(bench.Locator("h1")).ToHaveTextAsync("Scan a unit");
        Assert.Null(AskLine.Station("st120", plant)!.Clearing);
        await bench.Scan("L-label");
        await Expect(bench.GetByRole(AriaRole.Alert)).ToContainTextAsync("st120 is set up for O-2 (US, 20 mph), which takes no Quality label, EU.");
        await bench.Scan("L-label-us");
        await Expect(bench.Locator(".stock")).ToContainTextAsync("L-label-us");
    }

    [Fact]
    public async Task A_unit_of_the_next_order_is_refused_until_its_station_is_cleared_and_the_line_says_who_did()
    {
        var at = plant.Clock.GetLocalNow();
        foreach (var (order, variant) in new[] { ("O-1", "eu-25"), ("O-2", "us-20") }) await App.Orders.ActOnOrder.Open(new($"open-{order}", order, "af-85", 12, at, variant), plant);
        await App.Orders.ActOnOrder.Start("O-1", new("s1", at), plant);
        await App.Orders.ActOnOrder.Start("O-2", new("s2", at, "O-1"), plant);

        var bench = await served.Open(Address + "/stations/st10", width: 1024, height: 600);
        await bench.LoadShell(New);
        await bench.GotoAsync(Address + "/stations/st20");
        foreach (var code in new[] { New, "ST-1 L-stator", "155", New }) await bench.Scan(code);
        await bench.GotoAsync(Address + "/stations/st30");
        foreach (var code in new[] { New, "RO-1 L-rotor", "230", New }) await bench.Scan(code);
        await Report(New, "st40", "carrier-screws");
        await Report(New, "st50", "controller-in");

        await bench.GotoAsync(Address + "/stations/st60");
        await Expect(bench.Locator("h1")).ToHaveTextAsync("Scan your badge");
        await bench.Scan(New);
        await Expect(bench.GetByRole(AriaRole.Alert)).ToContainTextAsync("st60 is not cleared for order O-2 (US, 20 mph).");
        await Expect(bench.Locator("dl.versus")).ToContainTextAsync("set up for O-1 (EU, 25 km/h)");
        Assert.Equal((0, 0), (await bench.SidewaysScroll(), await bench.DownwardScroll()));
        foreach (var badge in new[] { "k7f2", "k7f2" }) await bench.Scan(badge);
        await bench.Scan(New);
        await Expect(bench.Locator("main")).ToContainTextAsync("91b04cde77a1f208");
        foreach (var code in new[] { "91b04cde77a1f208", "US-20", "0", "0", New }) await bench.Scan(code);
        Assert.Contains(AskLine.Unit(New, plant)!.Steps, s => s is { Step: "firmware", State: "pass" });

        var line = await served.Open(Address + "/");
        await Expect(line.Locator("#line-order")).ToContainTextAsync("O-2");
        await Expect(line.Locator(".changeover")).ToContainTextAsync("cleared by k7f2");
        await Accessibility.Check(line);
    }

    /// <summary>What the station's own program reports.</summary>
    async Task Report(string unit, string station, string step)
    {
        var route = plant.Standing[0].StepOf(step)!;
        var outcome = await App.Station.TakeStationMessage.Run(station, new Records.Messages.StationMessage
        {
            Key = $"{unit}-{step}", Kind = "request", Item = unit, Step = step, OccurredAt = plant.Clock.GetLocalNow(),
            Parts = [.. route.Parts.Select(p => new Records.Messages.MessagePart(p.Part, $"L-{p.Part}", p.Part == "controller" ? "CO-1" : null))],
            Readings = [.. route.Readings.Select(r => new Records.Messages.MessageReading(r.Id, r.UsualValue, r.Unit))],
            Screws = [.. route.Screws.SelectMany(g => Enumerable.Range(1, g.Count).Select(n => new Records.Messages.MessageScrew(g.Id, n, (g.TorqueLowerNm + g.TorqueUpperNm) / 2, 50)))],
        }, plant);
        Assert.Null(outcome.Refused);
    }

    static async Task OpenOrder(IPage page, string order, string product)
    {
        await page.TabTo("#order");
        await page.Keyboard.TypeAsync(order);
        await page.TabTo("#product");
        await page.Locator("#product:focus").SelectOptionAsync(product);
        await page.TabTo("#quantity");
        await page.Keyboard.TypeAsync("12");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("h1")).ToHaveTextAsync("1 order opened.");
        await Expect(page.Locator("#orders-table")).ToContainTextAsync(order);
    }

    static async Task Press(IPage page, string selector)
    {
        await page.WaitForLoadStateAsync();
        await page.TabTo(selector);
        await page.Keyboard.PressAsync("Enter");
    }
}
