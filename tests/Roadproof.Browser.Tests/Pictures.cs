using Microsoft.Playwright;

namespace Roadproof.Browser.Tests;

/// <summary>Makes the pictures of the README; <c>docs/pictures/make</c> asks for them.</summary>
public sealed class Pictures(ServedLine line)
{
    [Fact(Explicit = true)]
    public async Task Make()
    {
        var folder = Environment.GetEnvironmentVariable("ROADPROOF_PICTURES") ?? throw new InvalidOperationException("ROADPROOF_PICTURES names no folder.");
        await Shoot("/", "line-light", 900);
        await Shoot("/", "line-dark", 900, ColorScheme.Dark);
        await Shoot($"/units/{line.Held}", "unit-held-light", 1500);
        await Shoot($"/units/{line.Shipped}", "unit-light", 2000);
        await Shoot($"/follow/{line.Shipped}?stage=gears-in", "follow-light", 860);

        var page = await line.Open("/stations/st10", width: 1024, height: 600);
        foreach (var code in new[] { "SH-9100001", "SH-9100001", "yes", "SH-9100001" }) await Scan(page, code);
        await page.GotoAsync(line.Address + "/stations/st20");
        await Scan(page, "SH-9100001");
        await Save(page, "station-light");
        await Scan(page, $"ST-9100001 {Roadproof.App.Line.AskLine.Unit(line.Shipped, line.Line)!.Parts.First(p => p.Part == "rotor").Lot}");
        await Save(page, "station-refused-light");

        async Task Shoot(string path, string name, int height, ColorScheme scheme = ColorScheme.Light)
        {
            var p = await line.Open(path, scheme, height: height);
            await p.WaitForTimeoutAsync(1500); // traces are fetched after the page is there
            await Save(p, name);
        }

        async Task Save(IPage p, string name) => await p.ScreenshotAsync(new() { Path = Path.Combine(folder, name + ".png") });

        static async Task Scan(IPage p, string code)
        {
            await p.Locator("input[name=code]").FillAsync(code);
            await p.EvaluateAsync("() => { window.before = true }");
        await p.Keyboard.PressAsync("Enter");
        await p.WaitForFunctionAsync("() => !window.before && document.readyState === 'complete'");
        }
    }
}
