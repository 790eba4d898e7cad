using System.Text.RegularExpressions;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Playwright;
using Roadproof.App.Frame;
using Roadproof.App.Road;
using Roadproof.Plant.Riders;
using Roadproof.Records.Rides;
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
    public async Task A_gearbox_is_put_behind_the_motor_by_keyboard_and_stays_in_the_address()
    {
        var page = await line.Open("/gear-train");
        await page.TabTo("[name=gears]");
        await page.Keyboard.TypeAsync("0.8 1 1.3");
        await page.TabTo("[name=gearbox-mass]");
        await page.Keyboard.TypeAsync("350");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page).ToHaveURLAsync(new Regex("gears=0.8"));
        await Expect(page.Locator("#gear-use tbody tr")).ToHaveCountAsync(4);
        await Expect(page.Locator("#gear-elements")).ToContainTextAsync("times as drawn");
        await Expect(page.Locator("#gear-elements")).ToContainTextAsync("equivalent load P");
        await Expect(page.Locator("[name=gears]")).ToHaveValueAsync("0.8 1 1.3");
        await Expect(page.Locator(".trains svg")).ToBeVisibleAsync();
        await Accessibility.Check(page);
        await page.SetViewportSizeAsync(390, 900);
        Assert.Equal(0, await page.SidewaysScroll());
        Assert.Contains("gears=0.8", await page.Locator(".trains a.around").First.GetAttributeAsync("href") ?? "", StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_few_rides_stand_at_once_and_all_follow_unless_a_person_stops_them()
    {
        var folder = Directory.CreateTempSubdirectory("roadproof-gears-");
        var plant = await OpenLine.Open(folder.FullName, TimeProvider.System);
        await plant.Approve(DemoFolder.Files, new("test"));
        await using var app = WebHost.Build(plant, "http://127.0.0.1:0", quiet: true);
        await app.StartAsync(TestContext.Current.CancellationToken);
        try
        {
            var rides = app.Services.GetRequiredService<RideStore>();
            foreach (var ride in DemoRides.Of(3, DateTimeOffset.UnixEpoch.AddYears(60)).OrderBy(r => r.Octets.Length).Take(4)) rides.Keep(ride.Name, ride.Octets, null);
            // Another person's computation is at work: the whole has to wait, the few rides do not.
            using var free = new ManualResetEventSlim();
            await app.Services.GetRequiredService<RoadStudies>().Of("another", 1, (_, stop) => { free.Wait(stop); return ""; }, TimeSpan.Zero);

            var page = await line.Open(app.Urls.Single() + "/gear-train");
            await Expect(page.Locator("h1")).ToContainTextAsync("The first to break is");
            await Expect(page.Locator("#gear-say")).ToContainTextAsync("On 3 of 4 rides of this plant");
            await Expect(page.Locator("#gear-found [role=status]")).ToContainTextAsync("Another computation is worked out first");
            await Expect(page.Locator("#gear-front")).ToHaveCountAsync(0);
            await Accessibility.Check(page);

            await page.TabTo("#gear-found form button");
            await page.Keyboard.PressAsync("Enter");
            await Expect(page.Locator("#gear-found [role=status]")).ToContainTextAsync("Stopped after 0 of 4 rides.");
            await Expect(page.Locator("#gear-first tbody tr")).ToHaveCountAsync(4);
            await Accessibility.Check(page);

            await page.TabTo("#gear-found form button");
            await page.Keyboard.PressAsync("Enter");
            await Expect(page.Locator("#gear-found [role=status]")).ToContainTextAsync("Another computation is worked out first");
            free.Set();
            // The page is not loaded again: it fills up by itself.
            await Expect(page.Locator("#gear-say")).ToContainTextAsync("On all 4 rides of this plant");
            await Expect(page.Locator(".trains svg")).ToBeVisibleAsync();
            await Expect(page.Locator("#gear-found form")).ToHaveCountAsync(0);
        }
        finally
        {
            await app.StopAsync(CancellationToken.None);
            await plant.DisposeAsync();
            folder.Delete(recursive: true);
        }
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
