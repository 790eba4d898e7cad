using System.Net.Http.Json;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>No page has a violation of WCAG 2.2 A or AA that can be found by machine; the rules are those of axe-core. A station at work is looked at in <see cref="StationTests"/>.</summary>
public sealed class AccessibilityTests(ServedLine line)
{
    [Theory]
    [InlineData("/")]
    [InlineData("/lines/line-1?wall=1")]
    [InlineData("/stations")]
    [InlineData("/stations/st70")]
    [InlineData("/stations/nowhere")]
    [InlineData("/units")]
    [InlineData("/units?find=nothing-like-it")]
    [InlineData("/units/{held}")]
    [InlineData("/units/{shipped}")]
    [InlineData("/units/nobody")]
    [InlineData("/rework")]
    [InlineData("/rework/{held}")]
    [InlineData("/rework/nobody")]
    [InlineData("/lots")]
    [InlineData("/lots?find=nothing-like-it")]
    [InlineData("/lots/{lot}")]
    [InlineData("/orders")]
    [InlineData("/follow")]
    [InlineData("/follow/{shipped}")]
    [InlineData("/follow/{shipped}?stage=load-test")]
    [InlineData("/quarantine")]
    [InlineData("/load-test/af-85")]
    [InlineData("/load-test/af-85?run={shipped}/1&rig=rig1")]
    [InlineData("/load-test/af-85?find=nobody")]
    [InlineData("/rigs")]
    [InlineData("/load-test/nothing")]
    [InlineData("/road")]
    [InlineData("/road?crr=soft")]
    [InlineData("/road/rides/nobody")]
    [InlineData("/road/cycle")]
    [InlineData("/road/riders?riders=none")]
    [InlineData("/road/rig?hours=none")]
    [InlineData("/definitions")]
    [InlineData("/definitions/af-85/1")]
    [InlineData("/definitions/nothing/1")]
    public async Task Has_no_violation(string path)
    {
        var page = await line.Open(path.Replace("{held}", line.Held, StringComparison.Ordinal).Replace("{shipped}", line.Shipped, StringComparison.Ordinal).Replace("{lot}", line.LotOf("gear-set"), StringComparison.Ordinal));
        await Accessibility.Check(page);
    }

    // What all the others rest on: a fault is found, in the scheme that has it.
    [Fact]
    public async Task A_page_with_violations_is_caught_in_the_scheme_that_has_them()
    {
        var page = await line.Open("/quarantine");
        await page.SetContentAsync("""
            <!doctype html><html lang="en"><head><title>Faults</title><style>p { color: #111; background: #fff } @media (prefers-color-scheme: dark) { p { color: #777 } }</style></head>
            <body><main><h1>Faults</h1><p>Too grey in the dark</p><img src="data:,"></main></body></html>
            """);
        Assert.Equal(["Light: image-alt", "Dark: color-contrast", "Dark: image-alt"], (await Accessibility.Violations(page)).Select(v => string.Join(':', v.Split(':')[..2])));
        await page.SetContentAsync("<!doctype html><html lang=en><title>A frame</title><main><h1>A frame</h1><iframe title=inside></iframe></main></html>");
        Assert.All(await Accessibility.Violations(page), v => Assert.EndsWith("a frame, into which nobody looked", v, StringComparison.Ordinal));
        Assert.Equal(2, (await Accessibility.Violations(page)).Count);
    }

    [Fact]
    public async Task A_message_that_was_not_understood_has_none_and_says_what_is_wrong()
    {
        using var http = new HttpClient { BaseAddress = new Uri(line.Address) };
        using var refused = await http.PostAsJsonAsync("api/v1/stations/st10/messages", new { key = "q1", kind = "request", item = "SH-1" }, TestContext.Current.CancellationToken);
        var page = await line.Open("/quarantine");
        await Expect(page.Locator("#quarantine li").First).ToContainTextAsync("step: found nothing");
        await Accessibility.Check(page);
    }
}
