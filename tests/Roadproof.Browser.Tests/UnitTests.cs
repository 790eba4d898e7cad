using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>One unit: its story, its readings, its traces, and the decision on it; and how it is found.</summary>
public sealed partial class UnitTests(ServedLine line)
{
    [Fact]
    public async Task A_held_unit_opens_with_what_is_most_likely_wrong()
    {
        var page = await line.Open($"/units/{line.Held}");
        var cause = page.Locator("#unit-cause");
        var likely = line.Unit(line.Held).LoadTests[^1].Verdict!.Diagnosis.MaxBy(d => d.Probability)!;
        await Expect(cause.Locator("h3").First).ToHaveTextAsync(likely.Name);
        if (likely.LookFirst.Length > 0) await Expect(cause).ToContainTextAsync(likely.LookFirst);
        Assert.True((await cause.BoundingBoxAsync())!.Y < (await page.Locator("#unit-readings").BoundingBoxAsync())!.Y);
    }

    [Fact]
    public async Task Folded_readings_open_by_keyboard_and_nothing_is_dropped()
    {
        var page = await line.Open($"/units/{line.Shipped}");
        var fold = page.Locator("#folded-requirements");
        await Expect(fold.Locator("table")).Not.ToBeVisibleAsync();
        await fold.Locator("> summary").PressAsync("Enter");
        await Expect(fold.Locator("table")).ToBeVisibleAsync();
        var said = int.Parse(Digits().Match(await fold.Locator("> summary").InnerTextAsync()).Value, System.Globalization.CultureInfo.InvariantCulture);
        await Expect(fold.Locator("tbody tr")).ToHaveCountAsync(said);
    }

    [Fact]
    public async Task Why_a_reading_is_as_unsure_as_it_is_opens_by_keyboard_under_it()
    {
        var page = await line.Open($"/units/{line.Shipped}");
        await page.Locator("#folded-expectations > summary").PressAsync("Enter");
        var reading = line.Unit(line.Shipped).LoadTests[^1].Verdict!.Expectations.First(e => e.Id == "resistance-20");
        var budget = page.Locator("#budget-resistance-20");
        await Expect(budget.Locator("dl")).Not.ToBeVisibleAsync();
        await budget.Locator("summary").PressAsync("Enter");
        await Expect(budget.Locator("dl > div").First).ToContainTextAsync(reading.Budget!.Contributions[0].Name);
        await Expect(budget).ToContainTextAsync("Expanded uncertainty");
        Assert.Equal(0, await page.SidewaysScroll());
        await Accessibility.Check(page);
    }

    [Fact]
    public async Task From_a_unit_it_is_one_link_to_what_its_load_test_sees()
    {
        var page = await line.Open($"/units/{line.Shipped}");
        await page.GetByRole(AriaRole.Link, new() { Name = "what a load test sees" }).ClickAsync();
        await Expect(page.Locator("#load-test-sees tbody tr")).ToHaveCountAsync(11, new() { Timeout = 120_000 }); // the first look works it out
        await Expect(page.Locator("#load-test-sees tr[data-key=motor-drag]")).ToContainTextAsync("no load at 75 rpm");
        await Expect(page.Locator("#load-test-unseen tr[data-key=paste-missing]")).ToContainTextAsync("Paste laid");
        await Expect(page.Locator("#load-test-proven")).ToContainTextAsync("of 100 units"); // the demo has built too few to rest a limit on, and says so
        Assert.Equal(0, await page.SidewaysScroll());
    }

    [Fact]
    public async Task A_shipped_unit_tells_its_story_from_shell_to_carton()
    {
        var page = await line.Open($"/units/{line.Shipped}");
        var unit = line.Unit(line.Shipped);
        await Expect(page.Locator("h1")).ToContainTextAsync(unit.Serial!);
        await Expect(page.Locator("main")).ToContainTextAsync($"shipped to {unit.Customer}");
        await Expect(page.Locator("#unit-story .balloon")).ToHaveCountAsync(14);
        foreach (var part in unit.Parts) await Expect(page.Locator("main")).ToContainTextAsync(part.Serial ?? part.Lot!);
        await Expect(page.Locator("#decide")).ToHaveCountAsync(0);
    }

    [Fact]
    public async Task Traces_are_drawn_and_go_closer_with_wheel_buttons_and_keys()
    {
        var page = await line.Open("/");
        var canvas = page.Locator("canvas[data-trace]");
        await Asked(page, async () =>
        {
            await page.GotoAsync($"{line.Address}/units/{line.Shipped}"); // a page that is short as yet may ask before anyone scrolls
            await canvas.ScrollIntoViewIfNeededAsync();
        }, whole: true);
        await Drawn(page);
        var before = await Ink(page);

        await Asked(page, async () =>
        {
            await canvas.HoverAsync();
            await page.Keyboard.DownAsync("Control");
            await page.Mouse.WheelAsync(0, -400);
            await page.Keyboard.UpAsync("Control");
        });
        // What is asked for reaches a little over both ends of what is shown.
        await Expect(page.Locator("output").First).Not.ToContainTextAsync("Showing 0.00 to");
        await page.WaitForFunctionAsync("before => document.querySelector('canvas[data-trace]').toDataURL() !== before", before);
        await Drawn(page);

        var (nearFrom, nearTo) = await Asked(page, () => page.GetByRole(AriaRole.Button, new() { Name = "85 60" }).PressAsync("Enter"));
        Assert.InRange(nearTo - nearFrom, 1, 10);
        await canvas.FocusAsync();
        var (keyFrom, keyTo) = await Asked(page, () => page.Keyboard.PressAsync("+"));
        Assert.True(keyTo - keyFrom < nearTo - nearFrom);
        await Expect(page.Locator("output").First).ToContainTextAsync("samples a channel");
        await page.Keyboard.PressAsync("Home");
        await Expect(page.Locator("output").First).ToContainTextAsync("Showing 0.00 to");
    }

    [Fact]
    public async Task A_decision_needs_a_reason_and_keeps_it()
    {
        Assert.NotEqual(line.Held, line.AlsoHeld);
        var page = await line.Open($"/units/{line.AlsoHeld}");
        await page.Locator("#decide button[value=release]").PressAsync("Enter");
        await Expect(page.Locator("#reason")).ToBeFocusedAsync(); // the browser asks for the reason
        await page.Keyboard.TypeAsync("Measured again by hand");
        await page.Locator("#decide button[value=release]").PressAsync("Enter");
        await Expect(page.Locator("main")).ToContainTextAsync("Measured again by hand");
        Assert.NotEqual("held", line.Unit(line.AlsoHeld).State);
    }

    [Theory]
    [InlineData("shell")]
    [InlineData("serial")]
    [InlineData("lot")]
    [InlineData("part")]
    public async Task A_unit_is_found_by_anything_that_can_be_scanned(string by)
    {
        var unit = line.Unit(line.Shipped);
        var page = await line.Open("/units");
        await page.Locator("#find").FocusAsync();
        await page.Keyboard.TypeAsync(by switch { "shell" => unit.Unit, "serial" => unit.Serial!, "lot" => line.LotOf("gear-set"), _ => unit.Parts.First(p => p.Part == "rotor").Serial! });
        await page.Keyboard.PressAsync("Enter");
        await Expect(page).ToHaveURLAsync(new Regex("find="));
        await page.WaitForLoadStateAsync();
        await page.Locator("#units-table").GetByRole(AriaRole.Link, new() { Name = unit.Unit }).PressAsync("Enter");
        await Expect(page.Locator("h1")).ToContainTextAsync(unit.Serial!);
    }

    [Fact]
    public async Task Units_on_hold_are_one_key_away()
    {
        var page = await line.Open("/units");
        await page.GetByRole(AriaRole.Navigation, new() { Name = "State" }).GetByRole(AriaRole.Link, new() { Name = "On hold" }).PressAsync("Enter");
        await Expect(page).ToHaveURLAsync(new Regex("state=held"));
        await Expect(page.Locator("#units-table")).ToContainTextAsync(line.Held);
        await Expect(page.Locator("#units-table")).Not.ToContainTextAsync(line.Shipped);
    }

    // Does it and returns the piece of time that the traces were then asked for, in seconds.
    static async Task<(double FromS, double ToS)> Asked(IPage page, Func<Task> act, bool whole = false)
    {
        var request = await page.RunAndWaitForRequestAsync(act, r => r.Url.Contains("/trace?", StringComparison.Ordinal) && r.Url.Contains("from=", StringComparison.Ordinal) != whole);
        var response = await request.ResponseAsync();
        Assert.Equal(200, response!.Status);
        var query = System.Web.HttpUtility.ParseQueryString(new Uri(request.Url).Query);
        return whole ? (0, 0) : (Number("from"), Number("to"));

        double Number(string name) => double.Parse(query[name]!, System.Globalization.CultureInfo.InvariantCulture);
    }

    // Pixels of the plot area that are not its ground; labels alone are no trace.
    static Task Drawn(IPage page) => page.WaitForFunctionAsync("""
        () => { const c = document.querySelector('canvas[data-trace]'), d = c.getContext('2d').getImageData(170, 60, 600, 260).data; let n = 0;
                for (let i = 0; i < d.length; i += 4) if (d[i + 3] > 200 && d[i] < 90 && d[i + 1] < 90) n++; return n > 400; }
        """);

    static Task<string> Ink(IPage page) => page.EvaluateAsync<string>("() => document.querySelector('canvas[data-trace]').toDataURL()");

    [GeneratedRegex("[0-9]+")]
    private static partial Regex Digits();
}
