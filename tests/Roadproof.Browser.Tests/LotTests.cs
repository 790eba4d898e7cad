using System.Text;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>Lots from the lorry to the station, with nothing but a keyboard and the scanner that is one.</summary>
public sealed class LotTests(ServedLine line)
{
    const string Shell = "SH-9200001", Lot = "S-9200";

    [Fact]
    public async Task A_delivery_is_mended_and_received_its_lot_held_refused_at_the_station_released_and_taken_by_keyboard_alone()
    {
        var page = await line.Open("/lots");
        await Send(page, $"lot,part,quantity,expires\n{Lot},stator,40,\nD-9200,greese,twelve,\n");
        await Expect(page.Locator("h1")).ToHaveTextAsync("2 things are wrong with this input.");
        await Expect(page.Locator("main")).ToContainTextAsync("delivery.csv:3: part: found 'greese'");
        await Expect(page.Locator("main")).ToContainTextAsync("delivery.csv:3: quantity: found 'twelve'");
        await Accessibility.Check(page);
        await Press(page, "main a[href='/lots']");
        await Expect(page.Locator("#lots-table")).ToBeVisibleAsync();
        await Send(page, $"lot,part,quantity,expires\n{Lot},stator,40,\nD-9200,grease,12,2099-03-04\n");
        await Expect(page.Locator("h1")).ToHaveTextAsync("2 lots received.");

        await Tab(page, "#find");
        await page.Keyboard.TypeAsync(Lot);
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("#lots-table tbody tr")).ToHaveCountAsync(1);
        await Press(page, $"#lots-table a[href='/lots/{Lot}']");
        await Expect(page.Locator("#lot-id")).ToBeVisibleAsync();
        await Decide(page, "cracked lamination", "On hold");

        var bench = await line.Open("/stations/st10", width: 1024, height: 600);
        await bench.LoadShell(Shell);
        await bench.GotoAsync(line.Address + "/stations/st20");
        await bench.Scan(Shell);
        await bench.Scan($"ST-9200001 {Lot}");
        await Expect(bench.GetByRole(AriaRole.Alert)).ToContainTextAsync($"Lot {Lot} is on hold: cracked lamination.");

        await Decide(page, "measured, sound", "Open");
        await bench.Scan($"ST-9200001 {Lot}");
        await Expect(bench.GetByRole(AriaRole.Alert)).ToHaveCountAsync(0);
        foreach (var code in new[] { "150", Shell }) await bench.Scan(code);
        Assert.Contains(line.Unit(Shell).Parts, p => p is { Part: "stator", Serial: "ST-9200001", Lot: Lot });

        // Carried to the station, it is what the screen says to take, and nothing on it needs scrolling.
        await bench.Scan(Lot);
        await Expect(bench.Locator(".stock")).ToContainTextAsync(Lot);
        Assert.Equal((0, 0), (await bench.SidewaysScroll(), await bench.DownwardScroll()));
        await Accessibility.Check(bench);
    }

    /// <summary>Chooses the file and sends it.</summary>
    static async Task Send(IPage page, string csv)
    {
        await Press(page, ".states a[href$='#receive']");
        await Tab(page, "#file");
        // The window of the system that chooses a file is not the page's: what it gives is given to the focused field.
        await page.Locator("#file:focus").SetInputFilesAsync(new FilePayload { Name = "delivery.csv", MimeType = "text/csv", Buffer = Encoding.UTF8.GetBytes(csv) });
        await Press(page, "form[action='/lots/receive-file'] button");
    }

    static async Task Decide(IPage page, string reason, string state)
    {
        await Tab(page, "#reason");
        await page.Keyboard.TypeAsync(reason);
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("#lot-id .verdict")).ToContainTextAsync(state);
    }

    static async Task Press(IPage page, string selector)
    {
        await Tab(page, selector);
        await page.Keyboard.PressAsync("Enter");
    }

    /// <summary>Goes on from where the focus is, round the page if it must.</summary>
    static async Task Tab(IPage page, string selector)
    {
        await page.WaitForLoadStateAsync();
        for (var i = 0; i < 250; i++)
        {
            if (await page.EvaluateAsync<bool>("s => document.activeElement.matches(s)", selector)) return;
            await page.Keyboard.PressAsync("Tab");
        }

        Assert.Fail($"The keyboard does not reach {selector}.");
    }
}
