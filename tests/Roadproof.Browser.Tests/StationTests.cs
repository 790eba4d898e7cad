using System.Globalization;
using System.Net.Http.Json;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>Work at a station with nothing but a scanner, on the small screen that stands there; and what others see of it. The tests of this class share stations, one after another.</summary>
public sealed class StationTests(ServedLine line)
{
    [Fact]
    public async Task A_shell_gets_its_stator_by_scanner_alone()
    {
        const string shell = "SH-9000001";
        var page = await AtStation("st10");
        await page.Scan(shell);
        await Expect(page.Locator("main")).ToContainTextAsync("Scan the shell");
        await page.Scan(shell);
        await page.Scan("yes");
        await Expect(page.Locator("h1")).ToHaveTextAsync("Finish the step");
        await page.Scan(shell);
        Assert.Contains(line.Unit(shell).Steps, s => s is { Step: "shell-in", State: "pass" });

        await page.GotoAsync(line.Address + "/stations/st20");
        await page.Scan(shell);
        await Expect(page.Locator("h1")).ToHaveTextAsync("Scan the stator");

        // A part from a lot of something else: nothing is recorded, and the screen says what to do.
        await page.Scan($"ST-9000001 {line.LotOf("rotor")}");
        var stop = page.GetByRole(AriaRole.Alert);
        await Expect(stop).ToContainTextAsync("is Rotor, not Stator");
        await Expect(stop.Locator("dl.versus > div").First).ToContainTextAsync("Stator");
        await Expect(stop.Locator("dl.versus > div").Last).ToContainTextAsync("Rotor");
        await Expect(stop.Locator(".remedy")).ToContainTextAsync("Put it back");
        await Expect(page.Locator("main")).ToContainTextAsync($"Nothing was recorded as fitted on {shell}");
        Assert.DoesNotContain(line.Unit(shell).Parts, p => p.Part == "stator");

        // The right one at once, without a button in between.
        await page.Scan($"ST-9000001 {line.LotOf("stator")}");
        await Expect(page.GetByRole(AriaRole.Alert)).ToHaveCountAsync(0);
        await page.Scan("1,5");
        await Expect(page.GetByRole(AriaRole.Alert)).ToContainTextAsync("'1,5' is not a number");
        await page.Scan("155");
        await page.Scan(shell);
        Assert.Contains(line.Unit(shell).Steps, s => s is { Step: "stator-in", State: "pass" });
        Assert.Contains(line.Unit(shell).Parts, p => p is { Part: "stator", Serial: "ST-9000001" });
    }

    [Fact]
    public async Task A_unit_out_of_order_is_refused_with_the_step_that_is_missing()
    {
        const string shell = "SH-9000002";
        var page = await AtStation("st10");
        await page.LoadShell(shell);
        await page.GotoAsync(line.Address + "/stations/st70");
        await page.Scan(shell);
        await Expect(page.GetByRole(AriaRole.Alert)).ToContainTextAsync("Stator");
        Assert.DoesNotContain(line.Unit(shell).Steps, s => s is { Step: "gears-in", BeganAt: not null });
        Assert.Equal(0, await page.DownwardScroll()); // the refusal and the field for the next scan at one look
    }

    [Fact]
    public async Task A_scanner_that_sends_twice_is_heard_once()
    {
        const string shell = "SH-9000003";
        var page = await AtStation("st10");
        await page.Keyboard.TypeAsync(shell);
        await page.EvaluateAsync("""
            () => { window.before = true; const f = document.querySelector('[data-scan]'), b = f.querySelector('button'); b.click(); b.click(); }
            """);
        await page.WaitForFunctionAsync("() => !window.before && document.readyState === 'complete'");
        await Expect(page.GetByRole(AriaRole.Alert)).ToHaveCountAsync(0);
        foreach (var code in new[] { shell, "yes", shell }) await page.Scan(code);
        Assert.Single(line.Unit(shell).Events, e => e.Text.Contains("begun", StringComparison.OrdinalIgnoreCase));
    }

    [Fact]
    public async Task What_is_typed_lands_in_the_field_wherever_the_last_touch_was()
    {
        var page = await AtStation("st80");
        await page.Locator("header").ClickAsync(new() { Position = new() { X = 400, Y = 70 } });
        await page.EvaluateAsync("() => document.activeElement.blur()");
        await page.Keyboard.TypeAsync("SH-1");
        await Expect(page.Field()).ToHaveValueAsync("SH-1");
    }

    [Theory]
    [InlineData("st10")]
    [InlineData("st50")]
    [InlineData("st70")]
    [InlineData("st90")]
    [InlineData("rig1")]
    [InlineData("st140")]
    public async Task Fits_a_small_screen(string station)
    {
        var page = await AtStation(station);
        Assert.Equal(0, await page.SidewaysScroll());
        Assert.Equal(0, await page.DownwardScroll());
        foreach (var button in await page.Locator("main .btn:visible").AllAsync())
            Assert.True((await button.BoundingBoxAsync())!.Height >= 60, "A button too small for a glove.");
    }

    [Fact]
    public async Task A_station_at_work_has_no_violation()
    {
        const string shell = "SH-9000004";
        var page = await AtStation("st10");
        await page.LoadShell(shell);
        await page.GotoAsync(line.Address + "/stations/st20");
        await page.Scan(shell);
        await Accessibility.Check(page);
        await page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Light });
        await page.Scan("ST-9000004 NO-SUCH-LOT");
        await Expect(page.GetByRole(AriaRole.Alert)).ToContainTextAsync("Lot NO-SUCH-LOT is not known");
        await Accessibility.Check(page);
        foreach (var code in new[] { $"ST-9000004 {line.LotOf("stator")}", "150", shell }) await page.Scan(code);
        Assert.Contains(line.Unit(shell).Steps, s => s is { Step: "stator-in", State: "pass" });
    }

    [Fact]
    public async Task The_line_follows_the_records_without_a_reload_and_leaves_typing_alone()
    {
        const string shell = "SH-9000005";
        var page = await line.Open("/");
        await page.EvaluateAsync("() => { window.stayed = true }");
        var link = page.Locator("nav a").Nth(2);
        await link.FocusAsync();
        var units = await line.Open("/units");
        await units.Locator("#find").PressSequentiallyAsync("half a co");

        await Post(shell, "begin");
        await Expect(page.Locator("#line-drawing")).ToContainTextAsync(shell);
        await Expect(units.Locator("#units-table")).ToContainTextAsync(shell);
        Assert.True(await page.EvaluateAsync<bool>("() => window.stayed === true"));
        await Expect(link).ToBeFocusedAsync();
        await Expect(units.Locator("#find")).ToBeFocusedAsync();
        await Expect(units.Locator("#find")).ToHaveValueAsync("half a co");
        await Post(shell, "finish");
        await Expect(page.Locator("#line-drawing")).Not.ToContainTextAsync(shell);
    }

    [Fact]
    public async Task A_station_screen_follows_what_its_machine_reports_into_a_refusal_and_out_of_it()
    {
        const string shell = "SH-9000006";
        var page = await AtStation("st10");
        await page.Keyboard.TypeAsync("SH-half");
        await Post(line.Shipped, "begin", refused: true);
        await Expect(page.GetByRole(AriaRole.Alert)).ToContainTextAsync("already packed");
        await Expect(page.Field()).ToBeFocusedAsync();
        await Expect(page.Field()).ToHaveValueAsync("SH-half");
        await Post(shell, "begin");
        await Expect(page.GetByRole(AriaRole.Alert)).ToHaveCountAsync(0);
        await Expect(page.Locator("main.refused")).ToHaveCountAsync(0);
        await Expect(page.Locator("h1")).ToHaveTextAsync("Scan the shell");
        await Expect(page.Field()).ToHaveValueAsync("SH-half");
        await Post(shell, "finish");
        await Expect(page.Locator("h1")).ToHaveTextAsync("Scan a unit");
    }

    Task<IPage> AtStation(string station) => line.Open("/stations/" + station, width: 1024, height: 600);

    async Task Post(string shell, string stage, bool refused = false)
    {
        using var http = new HttpClient { BaseAddress = new Uri(line.Address) };
        using var answer = await http.PostAsJsonAsync("api/v1/stations/st10/messages", new
        {
            key = string.Create(CultureInfo.InvariantCulture, $"browser-{shell}-{stage}"), kind = "request", stage, item = shell, step = "shell-in", occurredAt = line.Line.Clock.GetLocalNow(),
            readings = stage == "finish" ? new object[] { new { id = "wipe-done", text = "yes" } } : [],
        });
        Assert.True(answer.IsSuccessStatusCode != refused, await answer.Content.ReadAsStringAsync());
    }
}
