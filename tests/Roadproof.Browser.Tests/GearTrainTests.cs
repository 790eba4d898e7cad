using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>A gear train is changed, computed and chosen from the picture, all by keyboard.</summary>
public sealed class GearTrainTests(ServedLine line)
{
    [Fact]
    public async Task A_train_is_changed_and_another_chosen_from_the_picture_by_keyboard()
    {
        var page = await line.Open("/gear-train");
        await Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToContainTextAsync("The first to break is");
        Assert.Equal(0, await page.SidewaysScroll());
        await Accessibility.Check(page);

        await page.TabTo("[name=width-1]");
        await page.Keyboard.PressAsync("Control+A");
        await page.Keyboard.TypeAsync("18");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToContainTextAsync("Changed, the first to break is");
        await Expect(page.Locator("#gear-beside")).ToContainTextAsync("Changed");
        await Expect(page.Locator("label.changed")).ToContainTextAsync("drawn 14");
        await Accessibility.Check(page);

        var design = page.Locator(".trains a.around").First;
        await design.FocusAsync();
        var said = await design.Locator("title").TextContentAsync() ?? "";
        await page.Keyboard.PressAsync("Enter");
        await Expect(page).ToHaveURLAsync(new Regex("wheel-material-2="));
        await Expect(page.Locator("label.changed").First).ToBeVisibleAsync();
        var train = said[(said.IndexOf(';', StringComparison.Ordinal) + 2)..];
        Assert.StartsWith(await page.Locator("[name=pinion-1]").InputValueAsync() + ":" + await page.Locator("[name=wheel-1]").InputValueAsync(), train, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_mistake_is_told_and_a_narrow_screen_scrolls_down_only()
    {
        var page = await line.Open("/gear-train?module-1=0,9", width: 390, height: 800);
        await Expect(page.GetByRole(AriaRole.Alert)).ToContainTextAsync("Write a decimal point, not a comma.");
        Assert.Equal(0, await page.SidewaysScroll());
        await Accessibility.Check(page);
        await page.Locator("[name=module-1]").FillAsync("0.9");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator(".trains svg")).ToBeVisibleAsync();
        Assert.Equal(0, await page.SidewaysScroll());
    }
}
