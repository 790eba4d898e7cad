using System.Text.RegularExpressions;
using Microsoft.Playwright;
using Roadproof.Records.Definitions;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>Definitions: a folder is looked at, its changes are read with the most dangerous on top, and it is approved, all by keyboard.</summary>
public sealed class DefinitionsTests(ServedLine line) : IDisposable
{
    readonly string folder = Directory.CreateTempSubdirectory("roadproof-draft-").FullName;

    [Fact]
    public async Task A_folder_is_chosen_looked_at_and_approved_by_keyboard()
    {
        Write(("routes/af-85.yaml", "lower: 127.5", "lower: 120"), ("plant.yaml", "taktS: 57", "taktS: 56"));
        var page = await line.Open("/definitions");
        Assert.Equal(0, await page.SidewaysScroll());
        await Accessibility.Check(page);

        await page.TabTo("#files");
        await page.Locator("#files:focus").SetInputFilesAsync(folder); // the system's own window is not the page's
        await page.TabTo("form.draft button");
        await page.Keyboard.PressAsync("Enter");

        await Expect(page.Locator("h1")).ToHaveTextAsync("2 changes: 1 of a safety function lets more units pass.");
        var top = page.Locator("table.changes tbody tr").First;
        await Expect(top).ToContainTextAsync("Safety");
        await Expect(top).ToContainTextAsync("Functional check · Torque held by the clutch · lower, N·m");
        await Expect(top).ToContainTextAsync("127.5");
        await Expect(top).ToContainTextAsync("more units pass");
        Assert.Equal(0, await page.SidewaysScroll());
        await Accessibility.Check(page);
        Assert.Equal("af-85/1", Newest().Revision.Id);

        await page.TabTo("#person");
        await page.Keyboard.TypeAsync("k7f2");
        await page.TabTo("#reason");
        await page.Keyboard.TypeAsync("the clutch of lot C-0119");
        await page.TabTo("#approve button");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.GetByRole(AriaRole.Status)).ToHaveTextAsync("Approved: af-85/2.");
        await Expect(page.Locator("h1")).ToContainTextAsync("Line 1 works by af-85/2.");
        Assert.Equal(("k7f2", "the clutch of lot C-0119"), (Newest().Person, Newest().Reason));

        await page.TabTo("#definitions-standing a");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page).ToHaveURLAsync(new Regex("/definitions/af-85/2$"));
        await Expect(page.Locator("table.changes tbody tr")).ToHaveCountAsync(2);
        await Accessibility.Check(page);

        // The other tests look at the line as it was.
        Assert.NotNull((await line.Line.Approve(DemoFolder.Files, new("browser-tests"))).Done);
    }

    [Fact]
    public async Task Every_mistake_is_shown_with_its_place_and_nothing_is_approved()
    {
        Write(("plant.yaml", "taktS: 57", "taktS: 0"), ("routes/af-85.yaml", "lower: 127.5", "lower: 127,5"));
        var before = Newest().Revision.Id;
        var page = await line.Open("/definitions");
        await page.Locator("#files").SetInputFilesAsync(folder);
        await page.Locator("form.draft button").ClickAsync();
        await Expect(page.Locator(".mistakes li")).ToHaveCountAsync(2);
        await Expect(page.Locator(".mistakes li").First).ToContainTextAsync(new Regex(@"plant\.yaml:\d+:\d+"));
        await Accessibility.Check(page);
        Assert.Equal(before, Newest().Revision.Id);
    }

    [Fact]
    public async Task A_narrow_screen_scrolls_down_only()
    {
        Write(("routes/af-85.yaml", "lower: 127.5", "lower: 120"));
        var page = await line.Open("/definitions", width: 390, height: 800);
        Assert.Equal(0, await page.SidewaysScroll());
        await page.Locator("#files").SetInputFilesAsync(folder);
        await page.Locator("form.draft button").ClickAsync();
        await Expect(page.Locator("table.changes")).ToBeVisibleAsync();
        Assert.Equal(0, await page.SidewaysScroll());
    }

    ApprovedRevision Newest() => line.Line.Revisions.NewestOf("af-85")!;

    void Write(params (string File, string From, string To)[] edits)
    {
        foreach (var (name, text) in DemoFolder.Files)
        {
            var path = Path.Combine(folder, name);
            Directory.CreateDirectory(Path.GetDirectoryName(path)!);
            File.WriteAllText(path, edits.Where(e => e.File == name).Aggregate(text, (t, e) => t.Replace(e.From, e.To, StringComparison.Ordinal)));
        }
    }

    public void Dispose() => Directory.Delete(folder, recursive: true);
}
