using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>A person at a station: a scanner is a keyboard that ends with Enter.</summary>
static class Bench
{
    public static ILocator Field(this IPage page) => page.Locator("input[name=code]");

    /// <summary>Types into whatever has the focus, as a scanner does, and waits for the page that answers.</summary>
    public static async Task Scan(this IPage page, string code)
    {
        await page.Keyboard.TypeAsync(code);
        await Expect(page.Field()).ToHaveValueAsync(code);
        await page.EvaluateAsync("() => { window.before = true }");
        await page.Keyboard.PressAsync("Enter");
        await page.WaitForFunctionAsync("() => !window.before && document.readyState === 'complete'");
        await Expect(page.Field()).ToBeFocusedAsync();
    }

    /// <summary>Loads a new shell at the first station; the page stays there.</summary>
    public static async Task LoadShell(this IPage page, string shell)
    {
        foreach (var code in new[] { shell, shell, "yes", shell }) await page.Scan(code);
    }

    /// <summary>Presses Tab until a part of the page has the focus.</summary>
    public static async Task TabTo(this IPage page, string selector)
    {
        var part = page.Locator(selector).First;
        for (var i = 0; i < 60 && !await part.EvaluateAsync<bool>("e => e === document.activeElement"); i++) await page.Keyboard.PressAsync("Tab");
        await Expect(part).ToBeFocusedAsync();
    }

    public static Task<int> SidewaysScroll(this IPage page) => page.EvaluateAsync<int>("() => Math.max(0, document.documentElement.scrollWidth - document.documentElement.clientWidth)");

    public static Task<int> DownwardScroll(this IPage page) => page.EvaluateAsync<int>("() => Math.max(0, document.documentElement.scrollHeight - innerHeight)");
}
