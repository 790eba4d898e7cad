using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>The demo's whole plant after a few units: two lines and five cells, seen from the plant's own page down to a part inside a part.</summary>
[Collection("whole plant")]
public sealed class PlantTests(ServedLine line, WholePlant plant)
{
    [Fact]
    public async Task Leads_by_keyboard_from_the_plant_to_a_line_and_to_one_of_its_units()
    {
        var page = await line.Open(plant.Demo.Address + "/");
        await Expect(page.Locator("main a[href^='/lines/']")).ToHaveCountAsync(7);
        await page.TabTo("main a[href='/lines/hub-line']");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.GetByText("Planet bench").First).ToBeVisibleAsync();
        await Expect(page.GetByText("2 stations side by side").First).ToBeVisibleAsync();

        await page.GotoAsync($"{plant.Demo.Address}/units/{plant.Shipped("af-40")}");
        await Expect(page.Locator("#unit-story .balloon")).ToHaveCountAsync(12);
        await Expect(page.GetByText("Cable check").First).ToBeVisibleAsync();
    }

    [Fact]
    public async Task A_drive_unit_leads_to_its_rotor_and_the_rotor_to_its_magnets()
    {
        var page = await line.Open($"{plant.Demo.Address}/units/{plant.Shipped("af-85")}");
        var rotor = page.Locator("#unit-parts a[href^='/units/RC-']").First;
        await rotor.ClickAsync();
        await Expect(page.GetByText("Flux scan").First).ToBeVisibleAsync();
        await Expect(page.Locator("#unit-parts a[href^='/lots/M-']").First).ToBeVisibleAsync();
    }

    [Theory]
    [InlineData("/", 1440), InlineData("/", 390), InlineData("/lines/rotors", 1440), InlineData("/lines/hub-line", 1440), InlineData("/lines/hub-line", 390), InlineData("/units/{af-40}", 1440), InlineData("/units/{rotor-85}", 1440), InlineData("/stations", 390)]
    public async Task Has_no_violation_and_scrolls_down_only(string path, int width)
    {
        foreach (var product in new[] { "af-40", "rotor-85" })
            if (path.Contains(product, StringComparison.Ordinal)) path = path.Replace($"{{{product}}}", product == "af-40" ? plant.Shipped(product) : "RC-00001", StringComparison.Ordinal);
        var page = await line.Open(plant.Demo.Address + path, width: width);
        Assert.Equal(0, await page.SidewaysScroll());
        await Accessibility.Check(page);
    }

    // Between two orders, with none running, its words once stood in a column of one word each.
    [Fact]
    public async Task A_changeover_that_stands_alone_has_the_whole_row()
    {
        var page = await line.Open(plant.Demo.Address + "/orders", width: 1280);
        await Expect(page.Locator(".changeover li").First).ToBeVisibleAsync();
        Assert.All(await page.Locator(".changeover li").EvaluateAllAsync<double[]>("rows => rows.map(r => r.getBoundingClientRect().height)"), height => Assert.InRange(height, 20, 60));
        Assert.Equal(0, await page.SidewaysScroll());
        await Accessibility.Check(page);
    }

    [Fact]
    public async Task The_plant_s_page_is_read_in_the_dark_too()
    {
        var page = await line.Open(plant.Demo.Address + "/", ColorScheme.Dark);
        await Accessibility.Check(page);
    }
}
