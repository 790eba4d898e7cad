using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;

namespace Roadproof.Browser.Tests;

/// <summary>No page has a violation of WCAG 2.2 A or AA that can be found by machine, in light and in dark.</summary>
public sealed class AccessibilityTests(ServedLine line)
{
    [Theory]
    [InlineData("/")]
    [InlineData("/line?wall=1")]
    [InlineData("/stations")]
    [InlineData("/stations/st70")]
    [InlineData("/units")]
    [InlineData("/units/{held}")]
    [InlineData("/units/{shipped}")]
    [InlineData("/follow/{shipped}")]
    [InlineData("/quarantine")]
    [InlineData("/units/nobody")]
    public async Task Has_no_violation(string path)
    {
        path = path.Replace("{held}", line.Held, StringComparison.Ordinal).Replace("{shipped}", line.Shipped, StringComparison.Ordinal);
        foreach (var scheme in new[] { ColorScheme.Light, ColorScheme.Dark })
        {
            var page = await line.Open(path, scheme);
            var result = await page.RunAxe(new AxeRunOptions { RunOnly = new() { Type = "tag", Values = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] } });
            Assert.Empty(result.Violations.Select(v => $"{scheme}: {v.Id}: {string.Join("; ", v.Nodes.Take(3).Select(n => n.Html))}"));
            await page.Context.DisposeAsync();
        }
    }
}
