using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>What every page has in common: colours, words for what is not there, and a line that breaks; and the visitor's walk.</summary>
public sealed class FrameTests(ServedLine line)
{
    [Fact]
    public async Task A_visitor_walks_the_whole_way_and_back_by_keyboard()
    {
        var page = await line.Open($"/follow/{line.Shipped}?stage=shell-in");
        var stages = await page.Locator(".walk ol a").EvaluateAllAsync<string[]>("links => links.map(a => a.href)");
        Assert.Equal(line.Unit(line.Shipped).Steps.Count + 1, stages.Length);
        var titles = new HashSet<string>(StringComparer.Ordinal);
        for (var i = 0; i < stages.Length; i++)
        {
            await Expect(page).ToHaveURLAsync(stages[i]);
            await Expect(page.Locator(".walk [aria-current=step]")).ToHaveAttributeAsync("href", new Uri(stages[i]).PathAndQuery);
            titles.Add(await page.Locator("h1").InnerTextAsync());
            await Expect(page.Locator(".follow-picture svg")).ToBeVisibleAsync();
            await page.WaitForLoadStateAsync(); // the keys are listened to
            if (i < stages.Length - 1) await page.Keyboard.PressAsync("ArrowRight");
        }

        Assert.Equal(stages.Length, titles.Count);
        await page.Keyboard.PressAsync("ArrowLeft");
        await Expect(page).ToHaveURLAsync(stages[^2]);
    }

    [Fact]
    public async Task Colours_are_chosen_by_keyboard_and_remembered_on_this_screen()
    {
        var page = await line.Open("/");
        var light = await Ground();
        var button = page.Locator("[data-theme-button]").First;
        for (var i = 0; i < 3 && await page.EvaluateAsync<string?>("() => document.documentElement.dataset.theme ?? null") != "dark"; i++) await button.PressAsync("Enter");
        var dark = await Ground();
        Assert.NotEqual(light, dark);
        await page.GotoAsync(line.Address + "/stations/st10");
        await Expect(page.Locator("html")).ToHaveAttributeAsync("data-theme", "dark");
        Assert.Equal(dark, await Ground());

        Task<string> Ground() => page.EvaluateAsync<string>("() => getComputedStyle(document.body).backgroundColor");
    }

    [Theory]
    [InlineData("/units/NOBODY", "NOBODY")]
    [InlineData("/stations/st999", "st999")]
    [InlineData("/lots/X-1", "X-1")]
    [InlineData("/follow/NOBODY", "NOBODY")]
    public async Task What_is_not_there_is_said_in_words(string path, string name)
    {
        var page = await line.Open("/");
        var response = await page.GotoAsync(line.Address + path);
        Assert.Equal(404, response!.Status);
        await Expect(page.Locator("h1")).ToContainTextAsync(name);
        await Expect(page.Locator("main a").First).ToBeVisibleAsync(); // a way on
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task A_broken_line_is_said_with_the_time_of_the_figures_and_comes_back_by_itself(bool hangs)
    {
        await using var cable = new Cable(line.Address);
        var page = await line.Open(cable.Address + "/stations/st130", width: 1024, height: 600);
        await page.Keyboard.TypeAsync("SH-0");
        await Expect(page.Locator("#offline")).ToBeHiddenAsync();
        if (hangs) cable.Hang();
        else cable.Cut();
        await Expect(page.Locator("#offline")).ToBeVisibleAsync();
        await Expect(page.Locator("#offline")).ToContainTextAsync("No connection. Figures from 0");
        cable.Mend();
        await Expect(page.Locator("#offline")).ToBeHiddenAsync();
        await Expect(page.Field()).ToHaveValueAsync("SH-0");
    }

    [Fact]
    public async Task An_answer_that_was_under_way_when_the_line_broke_does_not_hide_that_it_broke()
    {
        await using var cable = new Cable(line.Address);
        var page = await line.Open("/quarantine");
        TaskCompletionSource asked = new(), broken = new();
        await page.RouteAsync("**/units", async route =>
        {
            if (route.Request.ResourceType != "fetch") { await route.ContinueAsync(); return; }
            if (asked.Task.IsCompleted) { await route.AbortAsync(); return; }
            var answer = await route.FetchAsync();
            asked.SetResult();
            await broken.Task;
            await route.FulfillAsync(new() { Response = answer, Body = (await answer.TextAsync()).Replace("<title>", "<title>Late: ", StringComparison.Ordinal) });
        });
        await page.GotoAsync(cable.Address + "/units");
        await asked.Task;
        cable.Cut();
        await Expect(page.Locator("#offline")).ToBeVisibleAsync();
        broken.SetResult();
        await page.WaitForFunctionAsync("() => document.title.startsWith('Late')");
        Assert.True(await page.Locator("#offline").IsVisibleAsync());
    }

    [Fact]
    public async Task A_page_about_what_is_not_there_is_no_broken_line()
    {
        var page = await line.Open("/units/NOBODY");
        await page.EvaluateAsync("() => { document.querySelector('[data-clock]').textContent = 'old'; document.dispatchEvent(new Event('visibilitychange')) }");
        await Expect(page.Locator("[data-clock]")).Not.ToHaveTextAsync("old"); // the page was asked for once more
        Assert.True(await page.Locator("#offline").IsHiddenAsync());
    }

    [Fact]
    public async Task A_stream_that_cannot_be_heard_is_said()
    {
        var page = await line.Open("/quarantine");
        await page.Context.RouteAsync("**/api/v1/changes", route => route.AbortAsync());
        await page.GotoAsync(line.Address + "/");
        await Expect(page.Locator("#offline")).ToBeVisibleAsync();
    }

    [Theory]
    [InlineData("/")]
    [InlineData("/units")]
    [InlineData("/stations")]
    [InlineData("/stations/st70")]
    [InlineData("/stations/rig1")]
    [InlineData("/units/{held}")]
    [InlineData("/follow/{shipped}")]
    [InlineData("/load-test/af-85")]
    [InlineData("/rework/{held}")]
    [InlineData("/rigs")]
    public async Task Fits_a_narrow_window_and_twice_the_size(string path)
    {
        // WCAG 2.2, 1.4.10 Reflow: 320 CSS px wide without scrolling sideways, except for what needs two dimensions (from memory).
        var page = await line.Open(path.Replace("{held}", line.Held, StringComparison.Ordinal).Replace("{shipped}", line.Shipped, StringComparison.Ordinal));
        foreach (var width in new[] { 1024, 720, 320 })
        {
            await page.SetViewportSizeAsync(width, 640);
            Assert.True(await page.SidewaysScroll() == 0, $"{path} scrolls sideways by {await page.SidewaysScroll()} px at {width} px.");
        }
    }
}
