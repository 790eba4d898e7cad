using Microsoft.Playwright;
using Roadproof.App.Definitions;
using Roadproof.App.Frame;
using Roadproof.App.Line;
using Roadproof.Plant.Line;

[assembly: AssemblyFixture(typeof(Roadproof.Browser.Tests.ServedLine))]

namespace Roadproof.Browser.Tests;

/// <summary>A line that the demo plant has built units on, served on a free port, and a browser to look at it. Made once for all tests.</summary>
public sealed class ServedLine : IAsyncLifetime
{
    const int Units = 30;

    readonly string folder = Directory.CreateTempSubdirectory("roadproof-browser-").FullName;
    Microsoft.AspNetCore.Builder.WebApplication app = null!;
    IPlaywright playwright = null!;
    IBrowser? browser;

    public OpenLine Line { get; private set; } = null!;
    public string Address { get; private set; } = "";

    /// <summary>A unit that its load test stopped, with a likely cause.</summary>
    public string Held { get; private set; } = "";

    /// <summary>A unit that went through to the carton and whose captures are still kept.</summary>
    public string Shipped { get; private set; } = "";

    public async ValueTask InitializeAsync()
    {
        // Seed 2 hides a unit with motor drag and one with a wrong torque sensor among its first; its lots and rigs are sound as long.
        var options = new DemoOptions { Seed = 2, Units = Units };
        var clock = options.Clock();
        Line = await OpenLine.Open(Path.Combine(folder, "data"), clock);
        await Line.Approve(FindProduct.Files(Path.Combine(AppContext.BaseDirectory, "demo")), "browser-tests");
        app = WebHost.Build(Line, "http://127.0.0.1:0", quiet: true);
        await app.StartAsync();
        Address = app.Urls.First();
        using var http = new HttpClient { BaseAddress = new Uri(Address) };
        await DemoLine.Run(http, clock, options);

        Held = AskLine.Units("held", null, 0, 100, Line).Units.Concat(AskLine.Units("scrapped", null, 0, 100, Line).Units)
            .Select(u => (u.Unit, Cause: AskLine.Unit(u.Unit, Line)!.LoadTests.LastOrDefault()?.Verdict?.Diagnosis.FirstOrDefault()))
            .Where(u => u.Cause is { Fault: not ("sound" or "unknown"), InseparableFrom.Count: > 0 }).MaxBy(u => u.Cause!.Probability).Unit ?? "";
        Shipped = AskLine.Units("shipped", null, 0, 1, Line).Units[0].Unit;

        playwright = await Playwright.CreateAsync();
        if (Path.Exists(BrowserPath))
            browser = await playwright.Chromium.LaunchAsync(new()
            {
                ExecutablePath = BrowserPath,
                Args = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage"],
            });
    }

    /// <summary>A fresh page, as a person of this line would open it.</summary>
    public async Task<IPage> Open(string path, ColorScheme scheme = ColorScheme.Light, int width = 1440, int height = 900)
    {
        if (browser is null)
        {
            const string why = "No browser: install Chromium, or name one in ROADPROOF_BROWSER.";
            Assert.SkipUnless(Environment.GetEnvironmentVariable("CI") is not null, why);
            Assert.Fail(why);
        }

        var context = await browser.NewContextAsync(new() { ColorScheme = scheme, ViewportSize = new() { Width = width, Height = height }, ReducedMotion = ReducedMotion.Reduce });
        var page = await context.NewPageAsync();
        await page.GotoAsync(Address + path);
        return page;
    }

    static string BrowserPath => Environment.GetEnvironmentVariable("ROADPROOF_BROWSER") is { Length: > 0 } named ? named : "/usr/bin/chromium";

    public async ValueTask DisposeAsync()
    {
        if (browser is not null) await browser.DisposeAsync();
        playwright?.Dispose();
        await app.DisposeAsync();
        await Line.DisposeAsync();
        Directory.Delete(folder, recursive: true);
    }
}
