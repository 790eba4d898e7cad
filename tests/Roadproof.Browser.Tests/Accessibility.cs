using Deque.AxeCore.Commons;
using Microsoft.Playwright;

namespace Roadproof.Browser.Tests;

/// <summary>What can be found by machine of WCAG 2.2, levels A and AA, in light and in dark.</summary>
static class Accessibility
{
    // axe-core runs in the page itself: by way of its .NET door every look opened a window of its own, which took longer than the look.
    // It would not see into a frame from there, so no page may have one. What passes is not listed: nobody reads it.
    const string Look = """
        async () => {
            if (document.querySelector('iframe, frame')) return ['a frame, into which nobody looked'];
            const found = await axe.run(document, { runOnly: { type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }, resultTypes: ['violations'] });
            return found.violations.map(v => `${v.id}: ${v.nodes.slice(0, 3).map(n => n.html).join('; ')}`);
        }
        """;

    static readonly string AxeCore = new BundledAxeScriptProvider().GetScript();

    public static async Task Check(IPage page) => Assert.Empty(await Violations(page));

    /// <summary>Each with the scheme in which it was found, its rule and the first places of it.</summary>
    public static async Task<IReadOnlyList<string>> Violations(IPage page)
    {
        var found = new List<string>();
        foreach (var scheme in new[] { ColorScheme.Light, ColorScheme.Dark })
        {
            await page.EmulateMediaAsync(new() { ColorScheme = scheme });
            if (!await page.EvaluateAsync<bool>("() => 'axe' in window")) await page.EvaluateAsync(AxeCore);
            found.AddRange((await page.EvaluateAsync<string[]>(Look)).Select(v => $"{scheme}: {v}"));
        }

        return found;
    }
}
