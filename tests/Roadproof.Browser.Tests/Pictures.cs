using Microsoft.Playwright;
using Roadproof.Plant.Riders;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>Makes the pictures of the README; <c>docs/pictures/make</c> asks for them.</summary>
public sealed class Pictures(ServedLine line)
{
    /// <summary>A unit page is longer than anyone scrolls in a README.</summary>
    const int LongestPx = 2200;

    [Fact(Explicit = true)]
    public async Task Of_units_and_a_station()
    {
        var held = await line.Open($"/units/{line.Held}");
        await Shoot(held, "unit-held-light", await Top(held, ".run"));
        var shipped = await line.Open($"/units/{line.Shipped}");
        await Shoot(shipped, "unit-light", await Top(shipped, "#unit-parts"), keep: true);
        var parts = shipped.Locator("#unit-parts");
        await parts.ScrollIntoViewIfNeededAsync();
        var box = (await parts.BoundingBoxAsync())!;
        await shipped.ScreenshotAsync(new() { Path = Named("unit-parts-light"), Clip = new() { X = 0, Y = box.Y, Width = 1440, Height = box.Height + 24 } });
        await Shoot(await line.Open($"/follow/{line.Shipped}?stage=gears-in", height: 860), "follow-light");
        await Shoot(await line.Open($"/rework/{line.Held}", height: 900), "rework-light", 900);
        await Shoot(await line.Open("/lots", height: 900), "lots-light", 900);

        var page = await line.Open("/stations/st10", width: 1024, height: 600);
        await page.LoadShell("SH-9100001");
        await page.GotoAsync(line.Address + "/stations/st20");
        await page.Scan("SH-9100001");
        await Shoot(page, "station-light", keep: true);
        await page.Scan($"ST-9100001 {line.LotOf("rotor")}");
        await Shoot(page, "station-refused-light");
    }

    [Fact(Explicit = true)]
    public async Task Of_a_run_and_its_load_test()
    {
        var run = await line.Open($"/units/{line.Held}");
        await run.Locator("canvas[data-trace]").First.ScrollIntoViewIfNeededAsync();
        await Expect(run.Locator(".trace .hint output").First).ToContainTextAsync("samples a channel");
        var of = run.Locator("[data-trace-band] select").First;
        await of.FocusAsync();
        await Expect(of.Locator("option[value=rotor]")).ToBeAttachedAsync();
        await run.Locator("[data-trace-channels] button[data-channel=reported_phase_current_a]").First.ClickAsync();
        await run.Locator("[data-trace-channels] button[data-channel=vibration_m_s2]").First.ClickAsync();
        await of.SelectOptionAsync("rotor");
        await Expect(run.Locator("[data-trace-band] [role=status]").First).ToContainTextAsync("From the 5 % to the 95 % place");
        await run.GetByRole(AriaRole.Button, new() { Name = "85 60" }).First.ClickAsync();
        await run.WaitForTimeoutAsync(6000); // the closer band is read
        await run.Locator("section.run").First.ScreenshotAsync(new() { Path = Named("run-band-light") });
        var sees = await line.Open("/load-test/af-85", height: 1100);
        await Expect(sees.Locator("#load-test-sees tbody tr").First).ToBeVisibleAsync(new() { Timeout = 120_000 }); // the first look works it out
        await Shoot(sees, "load-test-light", 1100);
    }

    [Fact(Explicit = true)]
    public async Task Of_the_road()
    {
        using var http = new HttpClient { BaseAddress = new Uri(line.Address) };
        await DemoRides.Send(http, 1, new(2031, 3, 4, 6, 0, 0, TimeSpan.FromHours(1)), TestContext.Current.CancellationToken);
        await Shoot(await line.Open("/road?wait=true&product=af-85&riderMassKg=95&assist=3"), "road-light", 1560);
        await Worked("/road/rig?mix=mountain&hours=300", "on the rig leave", "rig-hours-light", 1500);
        await Worked("/gear-train?gears=0.8%201%201.3&rides=all", "Changed, the first to break", "gear-train-light", 2500);

        async Task Worked(string address, string sentence, string name, int height)
        {
            var page = await line.Open(address);
            await Expect(page.Locator("h1")).ToContainTextAsync(sentence, new() { Timeout = 120_000 });
            await Expect(page.Locator("[data-road-working]")).ToHaveCountAsync(0, new() { Timeout = 120_000 });
            await Shoot(page, name, height);
        }
    }

    [Fact(Explicit = true)]
    public async Task Of_the_plant_at_work()
    {
        await using var demo = await ServedDemo.Start(new() { Seed = 2, Speed = 20, HeadStart = 24 }, DemoFolder.Whole);
        using var stop = new CancellationTokenSource();
        var building = demo.Build(stop.Token);

        // A dozen takts after the head start every station has its own beat again.
        var started = TimeSpan.FromMinutes(24 + 14);
        var open = demo.Line.Clock.GetLocalNow();
        for (var i = 0; i < 600 && demo.Line.Clock.GetLocalNow() - open < started; i++) await Task.Delay(200, stop.Token);
        await Shoot(await line.Open(demo.Address + "/"), "plant-light");
        await Shoot(await line.Open(demo.Address + "/lines/line-1"), "line-light");
        await Shoot(await line.Open(demo.Address + "/lines/line-1", ColorScheme.Dark), "line-dark");
        await Shoot(await line.Open(demo.Address + "/lines/line-1?wall=1", width: 1920, height: 1080), "wall-light");
        await stop.CancelAsync();
        await building;
    }

    /// <param name="height">Of the page, from its top; null takes all of it.</param>
    static async Task Shoot(IPage page, string name, int? height = null, bool keep = false)
    {
        height ??= await page.EvaluateAsync<int>("() => document.documentElement.scrollHeight");
        await page.SetViewportSizeAsync(page.ViewportSize!.Width, Math.Clamp(height.Value, page.ViewportSize!.Height, LongestPx));
        await page.WaitForTimeoutAsync(1500); // traces are fetched after the page is there
        await page.ScreenshotAsync(new() { Path = Named(name) });
        if (!keep) await page.Context.DisposeAsync();
    }

    static Task<int> Top(IPage page, string selector) => page.Locator(selector).First.EvaluateAsync<int>("e => Math.floor(e.getBoundingClientRect().top + scrollY)");

    static string Named(string name) =>
        Path.Combine(Environment.GetEnvironmentVariable("ROADPROOF_PICTURES") ?? throw new InvalidOperationException("ROADPROOF_PICTURES names no folder."), name + ".png");
}
