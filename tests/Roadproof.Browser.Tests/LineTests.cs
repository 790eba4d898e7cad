using System.Text.RegularExpressions;
using Microsoft.Playwright;
using Roadproof.App.Line;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>The line: what a shift lead sees on looking up, and the wall beside it.</summary>
public sealed partial class LineTests(ServedLine line)
{
    [Fact]
    public async Task Opens_with_a_sentence_and_draws_every_station()
    {
        var page = await line.Open("/");
        await Expect(page.Locator("h1")).ToHaveTextAsync(Sentence());
        foreach (var number in new[] { "10", "20", "30", "40", "50", "60", "70", "80", "90", "100", "120", "130", "140" })
            await Expect(page.Locator("#line-drawing .balloon", new() { HasTextRegex = new($"^{number}$") })).ToBeVisibleAsync();
        await Expect(page.Locator("#line-drawing .rigs .balloon")).ToHaveTextAsync(["1", "2", "3"]);

        // Nothing lies on another: every balloon has its own place, in rows from left to right.
        var laidOver = await page.Locator("#line-drawing .balloon").EvaluateAllAsync<string[]>(
            """
            all => all.flatMap((a, i) => all.slice(i + 1).filter(b => {
                const [p, q] = [a.getBoundingClientRect(), b.getBoundingClientRect()];
                return p.left < q.right && q.left < p.right && p.top < q.bottom && q.top < p.bottom;
            }).map(b => a.textContent.trim() + ' on ' + b.textContent.trim()))
            """);
        Assert.Empty(laidOver);
        Assert.Equal(0, await page.SidewaysScroll());
    }

    [Fact]
    public async Task Leads_by_keyboard_to_the_unit_that_needs_a_person()
    {
        var page = await line.Open("/");
        var act = page.Locator("#line-notes").GetByRole(AriaRole.Link, new() { NameRegex = DecideOn() }).First;
        for (var i = 0; i < 60 && !await act.EvaluateAsync<bool>("e => e === document.activeElement"); i++) await page.Keyboard.PressAsync("Tab");
        await Expect(act).ToBeFocusedAsync();
        await page.Keyboard.PressAsync("Enter");
        await Expect(page).ToHaveURLAsync(new Regex("/units/"));
        await Expect(page.GetByText("On hold").First).ToBeVisibleAsync();
    }

    [Fact]
    public async Task Skips_to_the_page_by_keyboard()
    {
        var page = await line.Open("/");
        await page.Keyboard.PressAsync("Tab");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("main")).ToBeFocusedAsync();
    }

    [Fact]
    public async Task Wall_says_the_same_to_people_who_cannot_press_anything()
    {
        var page = await line.Open("/lines/line-1?wall=1", width: 1920, height: 1080);
        await Expect(page.Locator("h1")).ToHaveTextAsync(Sentence());
        await Expect(page.GetByRole(AriaRole.Navigation)).ToHaveCountAsync(0);
        Assert.InRange(await page.Locator("ol.notes > li").CountAsync(), 1, 3);
        Assert.Equal(0, await page.SidewaysScroll());
        Assert.Equal(0, await page.DownwardScroll());
        Assert.True(await page.Locator("h1").EvaluateAsync<double>("e => parseFloat(getComputedStyle(e).fontSize)") >= 40, "The sentence is too small to be read from across a hall.");
    }

    string Sentence() => LineSentence.Of(AskLine.Lines(line.Line)[0]);

    [GeneratedRegex("^Decide on")]
    private static partial Regex DecideOn();
}
