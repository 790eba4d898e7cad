using System.Text;
using Microsoft.AspNetCore.Builder;
using Microsoft.Playwright;
using Roadproof.App.Frame;
using Roadproof.Plant.Riders;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>From an empty page to what breaks first: rides are sent, looked at with other settings and let go, by keyboard; on a plant of its own.</summary>
public sealed class RoadTests(ServedLine served) : IAsyncLifetime
{
    readonly string folder = Directory.CreateTempSubdirectory("roadproof-road-").FullName;
    OpenLine plant = null!;
    WebApplication app = null!;

    string Address => app.Urls.Single();

    public async ValueTask InitializeAsync()
    {
        plant = await OpenLine.Open(folder, TimeProvider.System);
        await plant.Approve(DemoFolder.Files, new("test"));
        app = WebHost.Build(plant, "http://127.0.0.1:0", quiet: true);
        await app.StartAsync();
    }

    public async ValueTask DisposeAsync()
    {
        await app.StopAsync();
        await app.DisposeAsync();
        await plant.DisposeAsync();
        Directory.Delete(folder, recursive: true);
    }

    [Fact]
    public async Task Rides_are_sent_each_with_its_outcome_and_the_page_says_what_breaks_first()
    {
        var page = await served.Open(Address + "/road");
        await Expect(page.Locator("h1")).ToContainTextAsync("No ride yet.");
        await Accessibility.Check(page);

        var rides = DemoRides.Of(3, DateTimeOffset.UnixEpoch.AddYears(60));
        var (city, pass) = (rides.Single(r => r.Name == "city-early.gpx"), rides.Single(r => r.Name == "pass-heavy.csv"));
        await page.SetInputFilesAsync("#ride-files", [File(city.Name, city.Octets), File(pass.Name, pass.Octets), File("again.gpx", city.Octets), File("broken.csv", Encoding.UTF8.GetBytes("time,speed\n0,12\n1,fast\n"))]);
        await page.TabTo("form[data-send-rides] button");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("[data-sent-sum]")).ToHaveTextAsync("2 rides kept, 1 there already, 1 refused.");
        await Expect(page.Locator("[data-sent] li")).ToHaveCountAsync(4);
        await Expect(page.Locator("[data-sent] li.refused")).ToContainTextAsync("Line 3: found 'fast', expected a number");
        await Expect(page.Locator("h1")).ToContainTextAsync("goes first, after about");
        await Expect(page.Locator("#road-life tbody tr").First).ToBeVisibleAsync();
        await Expect(page.Locator("section[aria-labelledby=spectrum-heading] figure")).ToHaveCountAsync(3);
        await Expect(page.Locator("#road-events figure")).ToHaveCountAsync(2);
        await Expect(page.Locator("#road-events")).ToContainTextAsync("Cut-offs at the speed limit");
        await Accessibility.Check(page);
        await page.SetViewportSizeAsync(400, 900);
        Assert.Equal(0, await page.SidewaysScroll());
        await page.SetViewportSizeAsync(1440, 900);

        // What follows from the rides: a cycle for the line, and the riders of a mix.
        var patient = new LocatorAssertionsToContainTextOptions { Timeout = 90_000 };
        await page.TabTo(".road-next a");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("h1")).ToContainTextAsync("90 s stand for", patient);
        await Expect(page.Locator("#cycle-found table")).ToHaveCountAsync(2);
        await Accessibility.Check(page);

        // A cycle of one's own, held against the same rides; with a mistake in it first, which is named and left to be mended.
        await page.TabTo("form summary");
        await page.Keyboard.PressAsync("Enter");
        await page.TabTo("#own");
        await page.Keyboard.InsertTextAsync("torque_nm,speed_rpm,hold_s\n60,60,40\n0,sixty,20\n");
        await page.TabTo("form.decide button");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("[role=alert]")).ToContainTextAsync("your cycle, line 3: found 'sixty'");
        await Expect(page.Locator("#own")).ToHaveValueAsync("torque_nm,speed_rpm,hold_s\n60,60,40\n0,sixty,20\n");
        await page.FillAsync("#own", "torque_nm,speed_rpm,hold_s\n60,60,40\n0,0,20");
        await page.FillAsync("#beside", "torque_nm,speed_rpm,hold_s,times\n75,60,3,10\n0,0,20,1");
        await page.TabTo("form.decide button");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("h1")).ToContainTextAsync("60 s stand for", patient);
        await Expect(page.Locator("#cycle-found table").Last.Locator("tbody tr")).ToHaveCountAsync(3);
        await Expect(page.Locator("[data-cycle-rows]")).ToHaveTextAsync("torque_nm,speed_rpm,hold_s,times\n60,60,40,1\n0,0,20,1");
        await Accessibility.Check(page);
        await page.GotoAsync(Address + "/road/riders?mix=mountain&riders=20");
        await Expect(page.Locator("h1")).ToContainTextAsync("goes first: for one rider in ten", patient);
        await Accessibility.Check(page);
        await page.GotoAsync(Address + "/road/rig?mix=mountain");
        await Expect(page.Locator("h1")).ToContainTextAsync("on the rig stand for", patient);
        await Accessibility.Check(page);
        await page.TabTo("#hours");
        await page.Keyboard.TypeAsync("2");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("h1")).ToContainTextAsync("2.0 h on the rig leave", patient);
        await Expect(page.Locator("#rig-found .road-life tbody tr").First).ToContainTextAsync("not enough");
        await Accessibility.Check(page);
        await page.SetViewportSizeAsync(400, 900);
        Assert.Equal(0, await page.SidewaysScroll());
        await page.SetViewportSizeAsync(1440, 900);
        await page.GotoAsync(Address + "/road/rig?hours=x&share=120");
        await Expect(page.Locator("form + [role=alert]")).ToContainTextAsync("Hours: found 'x'");
        await Expect(page.Locator("#share")).ToHaveValueAsync("120");
        await page.GotoAsync(Address + "/road/cycle?duration=3");
        await Expect(page.Locator("#cycle-found [role=alert]")).ToContainTextAsync("a length from 20 s to two hours", new() { Timeout = 90_000 });
        await page.GotoAsync(Address + "/road");
        await Expect(page.Locator("h1")).ToContainTextAsync("goes first, after about");

        // Settings that cannot be are named and stay in their fields.
        await page.GotoAsync(Address + "/road?hub=0.5..1.9");
        await Expect(page.Locator("[role=alert]")).ToContainTextAsync("Sprockets: found 11 sprockets, expected one sprocket");
        await Expect(page.Locator("#hub")).ToHaveValueAsync("0.5..1.9");
        await page.FillAsync("#sprockets", "20");
        await page.Locator("#sprockets").PressAsync("Enter");
        await Expect(page.Locator("#hub")).ToHaveValueAsync("0.5..1.9");
        await Expect(page.Locator("h1")).ToContainTextAsync("goes first, after about");
        await Accessibility.Check(page);
        await page.GotoAsync(Address + "/road");
        await Expect(page.Locator("h1")).ToContainTextAsync("goes first, after about");

        // A heavier rider on the same rides: every figure follows, and so does the way to a ride.
        var wh = await page.Locator("#road-sums dd.hero").Nth(3).InnerTextAsync();
        await page.TabTo("#riderMassKg");
        await page.Keyboard.PressAsync("Control+A");
        await page.Keyboard.TypeAsync("150");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("#riderMassKg")).ToHaveValueAsync("150");
        await Expect(page.Locator("h1")).ToContainTextAsync("goes first, after about");
        Assert.NotEqual(wh, await page.Locator("#road-sums dd.hero").Nth(3).InnerTextAsync());
        await page.TabTo("#road-rides a[href*='/road/rides/']");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("h1")).ToContainTextAsync("Wh a km");
        await Expect(page.Locator("#riderMassKg")).ToHaveValueAsync("150");
        await Expect(page.Locator(".profile-picture")).ToHaveCountAsync(7);
        await Expect(page.Locator("#road-events figure")).ToHaveCountAsync(2);
        await Accessibility.Check(page);

        await page.TabTo("#go-person");
        await page.Keyboard.TypeAsync("k7f2");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.GetByRole(AriaRole.Status).First).ToContainTextAsync("is let go of");
        await Expect(page.Locator("#road-rides tbody tr")).ToHaveCountAsync(1);
    }

    [Fact]
    public async Task A_page_without_a_script_sends_rides_as_well()
    {
        var page = await served.Open(Address + "/road");
        await page.EvaluateAsync("() => { const form = document.querySelector('form[data-send-rides]'), plain = form.cloneNode(true); form.replaceWith(plain); }");
        var ride = DemoRides.Of(3, DateTimeOffset.UnixEpoch.AddYears(60)).Single(r => r.Name == "city-errand.csv");
        await page.SetInputFilesAsync("#ride-files", [File(ride.Name, ride.Octets), File("broken.csv", [1, 0, 2])]);
        await page.Locator("form[data-send-rides] button").ClickAsync();
        await Expect(page.Locator("[data-sent-sum]")).ToHaveTextAsync("1 ride kept, 0 there already, 1 refused.");
        await Expect(page.Locator("[data-sent] li.refused")).ToContainTextAsync("found a binary file");
        await Expect(page.Locator("h1")).ToContainTextAsync("goes first, after about");
    }

    static FilePayload File(string name, byte[] octets) => new() { Name = name, MimeType = "application/octet-stream", Buffer = octets };
}
