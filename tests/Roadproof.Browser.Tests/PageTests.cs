using System.Net.Http.Json;
using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>The main task of each page, done by keyboard in a real browser.</summary>
public sealed partial class PageTests(ServedLine line)
{
    [Fact]
    public async Task The_line_says_what_matters_and_leads_to_the_unit_that_needs_a_person()
    {
        var page = await line.Open("/");
        await Expect(page.Locator("h1")).Not.ToBeEmptyAsync();
        foreach (var number in new[] { "10", "70", "100", "140" }) await Expect(page.GetByText(number, new() { Exact = true }).First).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Link, new() { NameRegex = UnitAct() }).First.ClickAsync();
        await Expect(page).ToHaveURLAsync(new Regex("/units/"));
    }

    [Fact]
    public async Task The_line_follows_the_ledger_without_a_reload()
    {
        var page = await line.Open("/");
        await page.EvaluateAsync("() => { window.stayed = true }");
        var shell = await BeginAShell("LIVE-1");
        await Expect(page.Locator("main")).ToContainTextAsync(shell, new() { Timeout = 10_000 });
        Assert.True(await page.EvaluateAsync<bool>("() => window.stayed === true"));
        await FinishAShell(shell);
    }

    [Fact]
    public async Task A_station_is_worked_by_scanner_alone()
    {
        var page = await line.Open("/stations/st10", width: 1024, height: 600);
        await Expect(page.Locator("input[name=code]")).ToBeFocusedAsync();
        await Scan(page, "SH-9000001");
        await Expect(page.Locator("main")).ToContainTextAsync("Scan the shell");
        await Scan(page, "SH-9000001"); // the shell's own code, where the step asks for it
        await Scan(page, "yes");
        await Scan(page, "SH-9000001");
        Assert.Contains(Roadproof.App.Line.AskLine.Unit("SH-9000001", line.Line)!.Steps, s => s is { Step: "shell-in", State: "pass" });

        // The next station takes it, refuses what is not there and says what to do.
        await page.GotoAsync(line.Address + "/stations/st20");
        await Scan(page, "SH-9000001");
        await Scan(page, "ST-1 NO-SUCH-LOT");
        await Expect(page.GetByRole(AriaRole.Alert)).ToContainTextAsync("Lot NO-SUCH-LOT is not known");
        await Expect(page.Locator("input[name=code]")).ToBeFocusedAsync();
        Assert.Equal(0, await page.EvaluateAsync<int>("() => Math.max(0, document.documentElement.scrollWidth - document.documentElement.clientWidth)"));
    }

    [Fact]
    public async Task A_stopped_unit_opens_with_its_likely_cause_and_is_decided_with_a_reason()
    {
        Assert.NotEqual("", line.Held);
        var page = await line.Open($"/units/{line.Held}");
        var cause = page.GetByText("What is most likely wrong");
        await Expect(cause).ToBeVisibleAsync();
        var table = page.GetByText("Every reading");
        Assert.True((await cause.BoundingBoxAsync())!.Y < (await table.BoundingBoxAsync())!.Y);
        await page.Locator("details > summary").First.PressAsync("Enter");
        await Expect(page.Locator("details[open]").First).ToBeVisibleAsync();
    }

    [Fact]
    public async Task Traces_come_from_the_capture_and_go_closer()
    {
        var asked = new List<string>();
        var page = await line.Open("/");
        page.Request += (_, request) =>
        {
            if (request.Url.Contains("/trace?", StringComparison.Ordinal)) lock (asked) asked.Add(request.Url);
        };
        await page.GotoAsync($"{line.Address}/units/{line.Held}");
        await page.GetByRole(AriaRole.Button, new() { Name = "85 60" }).First.ClickAsync();
        await page.WaitForFunctionAsync("() => document.querySelectorAll('canvas, .trace path').length > 0");
        await Poll(() => { lock (asked) return asked.Any(u => u.Contains("from=", StringComparison.Ordinal)); });
    }

    [Fact]
    public async Task A_unit_is_found_by_its_lot()
    {
        var lot = Roadproof.App.Line.AskLine.Unit(line.Shipped, line.Line)!.Parts.First(p => p.Part == "gear-set").Lot!;
        var page = await line.Open("/units");
        await page.Locator("#find").FillAsync(lot);
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("main")).ToContainTextAsync(line.Shipped);
    }

    [Fact]
    public async Task A_visitor_walks_the_whole_way_by_keyboard()
    {
        var page = await line.Open($"/follow/{line.Shipped}");
        var heads = new HashSet<string>();
        for (var i = 0; i < 20; i++)
        {
            heads.Add(await page.Locator("h1").InnerTextAsync());
            await page.Keyboard.PressAsync("ArrowRight");
            await page.WaitForTimeoutAsync(120);
        }

        Assert.True(heads.Count >= 12, string.Join(" | ", heads));
    }

    [Fact]
    public async Task What_is_not_there_is_said_in_words()
    {
        var page = await line.Open("/");
        var response = await page.GotoAsync(line.Address + "/units/NOBODY");
        Assert.Equal(404, response!.Status);
        await Expect(page.Locator("h1")).ToContainTextAsync("NOBODY");
    }

    async Task<string> BeginAShell(string shell)
    {
        await Post(shell, "begin", new { });
        return shell;
    }

    Task FinishAShell(string shell) => Post(shell, "finish", new { });

    async Task Post(string shell, string stage, object _)
    {
        using var http = new HttpClient { BaseAddress = new Uri(line.Address) };
        using var answer = await http.PostAsJsonAsync("api/v1/stations/st10/messages", new
        {
            key = $"browser-{shell}-{stage}", kind = "request", stage, item = shell, step = "shell-in", occurredAt = line.Line.Clock.GetLocalNow(),
            readings = stage == "finish" ? new object[] { new { id = "wipe-done", text = "yes" } } : [],
        });
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
    }

    static async Task Scan(IPage page, string code)
    {
        await page.Locator("input[name=code]").FillAsync(code);
        await page.EvaluateAsync("() => { window.before = true }");
        await page.Keyboard.PressAsync("Enter");
        await page.WaitForFunctionAsync("() => !window.before && document.readyState === 'complete'");
    }

    static async Task Poll(Func<bool> until)
    {
        for (var i = 0; i < 100 && !until(); i++) await Task.Delay(100);
        Assert.True(until());
    }

    [GeneratedRegex("^Decide on")]
    private static partial Regex UnitAct();
}
