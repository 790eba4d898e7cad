using System.Text.RegularExpressions;
using Roadproof.App.Tests.Server;
using Roadproof.Plant.Line;
using Roadproof.Records.Messages;

namespace Roadproof.App.Tests.Pages;

/// <summary>Curves on the pages: drawn with their windows, the feature that decided named, screws in their places; and a station that shows the next one.</summary>
public sealed class CurvePageTests
{
    [Fact]
    public async Task A_unit_shows_what_failed_open_with_the_screw_in_its_place_and_what_passed_folded()
    {
        await using var served = await Built(("bearing-in", SampleCurves.Press("SH-1")), ("cover", SampleCurves.Cover("SH-1", stripped: 3)));
        var page = await served.Page("units/SH-1");
        var curves = page[page.IndexOf("id=\"unit-curves\"", StringComparison.Ordinal)..];
        Assert.Contains("<details id=\"curve-cover-cover\" open", curves, StringComparison.Ordinal);
        Assert.DoesNotContain("<details id=\"curve-bearing-in-bearing-force\" open", curves, StringComparison.Ordinal);
        Assert.Contains("thread or head has let go", curves, StringComparison.Ordinal);
        Assert.Contains("Screw 3: Final torque 1.7", curves, StringComparison.Ordinal);
        Assert.Contains("aria-label=\"Screws: 1 pass, 2 pass, 3 fail, 4 pass", curves, StringComparison.Ordinal);
        // Shape before colour: one square among circles.
        Assert.Equal((1, 7), (Regex.Count(curves, "<rect class=\"head\""), Regex.Count(curves, "<circle class=\"head\"")));
        Assert.Contains("failed: final torque and angle", curves, StringComparison.Ordinal);
        Assert.Equal(8, Regex.Count(curves[..curves.IndexOf("curve-bearing-in", StringComparison.Ordinal)], "<path class=\"line"));
        Assert.DoesNotContain("NaN", curves, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_leak_shows_what_temperature_explains_and_sends_to_the_curve_where_the_figure_does_not_tell()
    {
        await using var served = await Built(("bearing-in", SampleCurves.Press("SH-1")), ("cover", SampleCurves.Cover("SH-1")), ("leak-check", SampleCurves.Leak("SH-1", cm3PerMin: 4, wallKPerS: 0.02)));
        var page = System.Net.WebUtility.HtmlDecode(await served.Page("units/SH-1"));
        Assert.Contains("Temperature explains \u22122.9", page, StringComparison.Ordinal);
        Assert.Contains("The part went from 22.0", page, StringComparison.Ordinal);
        Assert.Contains("see its curve", page, StringComparison.Ordinal);
        Assert.Contains("dashed: falls so at the limit", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_curve_that_was_retired_leaves_its_features_on_the_page()
    {
        await using var served = await Built(("bearing-in", SampleCurves.Press("SH-1")));
        await served.Line.Captures.Retire(SampleCurves.Press("SH-1").Sha256, "for a test", "p1");
        var page = await served.Page("units/SH-1");
        Assert.Contains("The curve is not at hand any more; its features and verdict stay.", page, StringComparison.Ordinal);
        Assert.Contains("Retired under the rule", page, StringComparison.Ordinal);
        Assert.Contains("Press force before the seat", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_station_lights_the_next_screw_and_stops_at_one_out_of_order()
    {
        await using var served = await Built(("bearing-in", SampleCurves.Press("SH-1")));
        (await served.Send("st30", served.Begin("SH-1", "cover"))).EnsureSuccessStatusCode();
        Assert.Contains("Screw 1 is next, 0 of 8 tight.", await served.Page("stations/st30"), StringComparison.Ordinal);
        (await served.Send("st30", Driven(served, 1, 5))).EnsureSuccessStatusCode();
        var page = await served.Page("stations/st30");
        Assert.Contains("Screw 3 is next, 2 of 8 tight.", page, StringComparison.Ordinal);
        Assert.Contains("1 pass, 2 waiting, 3 next, 4 waiting, 5 pass", page, StringComparison.Ordinal);

        served.Wait(TimeSpan.FromSeconds(3));
        Assert.Equal(System.Net.HttpStatusCode.Conflict, (await served.Send("st30", Driven(served, 1, 5, 7))).StatusCode);
        page = await served.Page("stations/st30");
        Assert.Contains("Stop. Cover: screw 7 was tightened, and screw 3 is next.", page, StringComparison.Ordinal);
        served.Wait(TimeSpan.FromSeconds(3));
        (await served.Send("st30", Driven(served, 1, 5, 3, 7, 2, 6, 4, 8))).EnsureSuccessStatusCode();
        Assert.Contains("Screw 1 once more, to see what it has lost.", await served.Page("stations/st30"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Screws_without_curves_stand_in_their_places_with_the_one_that_failed_named()
    {
        await using var served = await ServedLine.Start();
        await served.Build("SH-1", "cover");
        var finish = served.Finish("SH-1", "cover");
        (await served.Send("st90", finish with { Screws = [.. finish.Screws.Select(s => s.Number == 5 ? s with { TorqueNm = 3.3 } : s)] })).EnsureSuccessStatusCode();
        var page = System.Net.WebUtility.HtmlDecode(await served.Page("units/SH-1"));
        var cover = page[page.IndexOf("id=\"unit-screws\"", StringComparison.Ordinal)..];
        Assert.Contains("4 pass, 5 fail, 6 pass", cover, StringComparison.Ordinal);
        Assert.Contains("Screw 5: 3.30 N·m, 50°", cover, StringComparison.Ordinal);
        Assert.Contains("limits 4.95 to 6.05", cover, StringComparison.Ordinal);
    }

    static StationMessage Driven(ServedLine served, params int[] screws) =>
        served.Begin("SH-1", "cover") with { Stage = "scan", Screws = [.. screws.Select(n => new MessageScrew("cover", n, 5.5, 47))] };

    static async Task<ServedLine> Built(params (string Step, SampleCurve Curve)[] steps)
    {
        var served = await ServedLine.Start(files: CurveFolder.Files);
        (await served.Send("st10", served.Finish("SH-1", "shell-in"))).EnsureSuccessStatusCode();
        foreach (var (step, curve) in steps)
        {
            (await served.Put(RecordedFile.Of(curve.Name, curve.Octets))).EnsureSuccessStatusCode();
            (await served.Send(served.StationOf(step), served.Finish("SH-1", step) with { Readings = [], Screws = [], Captures = [new(curve.Sha256, curve.Name)] })).EnsureSuccessStatusCode();
        }

        return served;
    }
}
