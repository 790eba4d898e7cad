using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;

namespace Roadproof.Browser.Tests;

/// <summary>What can be found by machine of WCAG 2.2, levels A and AA, in light and in dark.</summary>
static class Accessibility
{
    static readonly AxeRunOptions Rules = new() { RunOnly = new() { Type = "tag", Values = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] } };

    public static async Task Check(IPage page)
    {
        var found = new List<string>();
        foreach (var scheme in new[] { ColorScheme.Light, ColorScheme.Dark })
        {
            await page.EmulateMediaAsync(new() { ColorScheme = scheme });
            found.AddRange((await page.RunAxe(Rules)).Violations.Select(v => $"{scheme}: {v.Id}: {string.Join("; ", v.Nodes.Take(3).Select(n => n.Html))}"));
        }

        Assert.Empty(found);
    }
}
