using Microsoft.Playwright;
using Roadproof.App.Frame;
using Roadproof.App.Line;
using Roadproof.Records.ReadModel;
using Xunit.Sdk;
using Xunit.v3;

[assembly: AssemblyFixture(typeof(Roadproof.Browser.Tests.ServedLine))]

// One line for all: what one test does at a station another would see.
[assembly: Parallelization(Mode = ParallelMode.None)]

namespace Roadproof.Browser.Tests;

/// <summary>A line that the demo plant has built units on and that stands still since, and a browser to look at it. Made once for all tests.</summary>
public sealed class ServedLine : IAsyncLifetime
{
    /// <summary>How long a test waits for what must come. It only ever waits when the machine is busy or something is broken.</summary>
    static readonly TimeSpan Patience = TimeSpan.FromSeconds(30);

    const string NoBrowser = "No browser: install Chromium, or name one in ROADPROOF_BROWSER.";

    ServedDemo demo = null!;
    IPlaywright? playwright;
    IBrowser? browser;
    ITest? visitor;

    public OpenLine Line => demo.Line;
    public string Address => demo.Address;

    /// <summary>Of the units that a load test stopped, the one whose cause is clearest.</summary>
    public string Held { get; private set; } = "";

    /// <summary>Another unit on hold, which a test may decide on.</summary>
    public string AlsoHeld { get; private set; } = "";

    /// <summary>A unit that went through to the carton and whose captures are still kept.</summary>
    public string Shipped { get; private set; } = "";

    public async ValueTask InitializeAsync()
    {
        // Seed 2 hides a unit with motor drag and one with a wrong torque sensor among its first; its lots and rigs are sound as long.
        demo = await ServedDemo.Start(new() { Seed = 2, Units = 30 }, DemoFolder.Files);
        await demo.Build();

        var held = AskLine.Units("held", null, 0, 100, Line).Units.Select(u => u.Unit).OrderByDescending(Clearness).ToList();
        (Held, AlsoHeld) = (held[0], held[^1]);
        Shipped = AskLine.Units("shipped", null, 0, 1, Line).Units[0].Unit;

        if (BrowserPath is not { } path) return;
        playwright = await Playwright.CreateAsync();
        Assertions.SetDefaultExpectTimeout((float)Patience.TotalMilliseconds);
        browser = await playwright.Chromium.LaunchAsync(new()
        {
            ExecutablePath = path,
            Args = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage"],
        });
    }

    public UnitView Unit(string code) => AskLine.Unit(code, Line) ?? throw new InvalidOperationException($"No unit {code}.");

    /// <summary>The lot of a part that the shipped unit was built with; the line holds more of it.</summary>
    public string LotOf(string part) => Unit(Shipped).Parts.First(p => p.Part == part).Lot!;

    /// <summary>A fresh page, as a person of this line would open it: with nothing remembered.</summary>
    /// <param name="path">A path of this line, or a whole address.</param>
    public async Task<IPage> Open(string path, ColorScheme scheme = ColorScheme.Light, int width = 1440, int height = 900)
    {
        if (browser is null)
        {
            Assert.SkipUnless(Environment.GetEnvironmentVariable("CI") is { Length: > 0 }, NoBrowser);
            Assert.Fail(NoBrowser);
        }

        // A window of the test before would go on asking the line for news.
        if (visitor != TestContext.Current.Test)
            foreach (var old in browser.Contexts.ToList()) await old.CloseAsync();
        visitor = TestContext.Current.Test;

        var context = await browser.NewContextAsync(new() { ColorScheme = scheme, ViewportSize = new() { Width = width, Height = height }, ReducedMotion = ReducedMotion.Reduce });
        var page = await context.NewPageAsync();
        await page.GotoAsync(path.StartsWith('/') ? Address + path : path);
        return page;
    }

    double Clearness(string code) => Unit(code).LoadTests.LastOrDefault()?.Verdict?.Diagnosis.Where(d => d.Fault != "sound").Select(d => d.Probability).DefaultIfEmpty().Max() ?? -1;

    static string? BrowserPath => Environment.GetEnvironmentVariable("ROADPROOF_BROWSER") is { Length: > 0 } named ? named
        : (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator).Select(folder => Path.Combine(folder, "chromium")).FirstOrDefault(File.Exists);

    public async ValueTask DisposeAsync()
    {
        if (browser is not null) await browser.DisposeAsync();
        playwright?.Dispose();
        await demo.DisposeAsync();
    }
}
