using System.Net;
using System.Text.Json;
using Roadproof.App.Tests.Commands;
using Roadproof.Plant.Line;
using Roadproof.Records.Messages;

namespace Roadproof.App.Tests.Server;

/// <summary>The functional check over the public interface and on the unit's page: one capture, judged as <c>checks judge functional</c> judges it.</summary>
public sealed class FunctionalDoorTests
{
    [Fact]
    public async Task The_station_judges_as_the_command_does_and_holds_a_unit_that_only_sound_units_tell()
    {
        await using var served = await AtTheCheck();
        var curve = SampleCurves.Functional("SH-1", driven: 3);
        var answer = await ServedLine.Read(await Send(served, curve));
        Assert.Equal("hold", answer.GetProperty("verdict").GetString());
        Assert.Equal("Functional check: drag of gears and rotor unusual", answer.GetProperty("holds")[0].GetString());

        using var place = new Folder();
        foreach (var (name, text) in FunctionalFolder.Files) place.Write(name, text);
        var said = (await Typed.Words("checks", "judge", "functional", place.Write("check.csv", curve.Text), "--definitions", place.Path, "--product", "af-85", "--json")).Json;
        var check = (await served.Get("api/v1/units/SH-1")).GetProperty("curves").EnumerateArray().Single().GetProperty("verdict");
        Assert.Equal(said.GetProperty("reading").GetString(), check.GetProperty("reading").GetString());
        Assert.True(JsonElement.DeepEquals(said.GetProperty("features"), check.GetProperty("features")));
        var sound = check.GetProperty("soundUnits");
        Assert.True(JsonElement.DeepEquals(said.GetProperty("expectations"), sound.GetProperty("readings")));
        foreach (var field in new[] { "distance", "distanceLimit", "sigmaLimit" }) Assert.Equal(said.GetProperty(field).GetDouble(), sound.GetProperty(field).GetDouble());
    }

    [Fact]
    public async Task The_page_shows_drag_both_ways_with_its_limits_and_what_sound_units_read()
    {
        await using var served = await AtTheCheck();
        await Send(served, SampleCurves.Functional("SH-1", driven: 3));
        var page = WebUtility.HtmlDecode(await served.Page("units/SH-1"));
        var curve = page[page.IndexOf("<details id=\"curve-functional-check-functional\" open", StringComparison.Ordinal)..];
        Assert.Contains("N·m over ° of the crank, backward to the left. Tinted: drag backward, drag forward. All pass.", curve, StringComparison.Ordinal);
        Assert.Contains("All 6 together", curve, StringComparison.Ordinal);
        Assert.True(curve.IndexOf("Drag of gears and rotor<small>expected 1.", StringComparison.Ordinal) is > 0 and var most && most < curve.IndexOf("Drag forward<small>expected 0.20", StringComparison.Ordinal));
        Assert.DoesNotContain("NaN", curve, StringComparison.Ordinal);
        Assert.Contains("Torque held by the clutch", page[..page.IndexOf("id=\"unit-curves\"", StringComparison.Ordinal)] + page[page.IndexOf("id=\"unit-readings\"", StringComparison.Ordinal)..], StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_says_nothing_of_the_unit_is_refused_with_words_and_a_capture_that_comes_later_completes_the_step()
    {
        await using var served = await AtTheCheck();
        Assert.Equal("The captures are of SH-9, not of SH-1.", await Refused(served, SampleCurves.Functional("SH-9"), "title"));
        Assert.Contains("no phase_current_u_a", await Refused(served, SampleCurves.Functional("SH-1", phases: false), "found"), StringComparison.Ordinal);
        Assert.Contains("a ramp that ended at 90 N·m while the clutch held", await Refused(served, SampleCurves.Functional("SH-1", rampNm: 90), "found"), StringComparison.Ordinal);

        var good = SampleCurves.Functional("SH-1");
        using var answer = await served.Send("st80", Message(served, good));
        Assert.Equal("waiting", (await ServedLine.Read(answer)).GetProperty("verdict").GetString());
        await served.Put(RecordedFile.Of("functional", good.Octets));
        var step = (await served.Get("api/v1/units/SH-1")).GetProperty("steps").EnumerateArray().Single(s => s.GetProperty("step").GetString() == "functional-check");
        Assert.Equal("pass", step.GetProperty("state").GetString());
    }

    static async Task<string> Refused(ServedLine served, SampleCurve curve, string field)
    {
        using var answer = await Send(served, curve);
        Assert.Equal(HttpStatusCode.Conflict, answer.StatusCode);
        return (await ServedLine.Read(answer)).GetProperty(field).GetString()!;
    }

    static async Task<ServedLine> AtTheCheck()
    {
        var served = await ServedLine.Start(files: FunctionalFolder.Files);
        await served.Build("SH-1", "functional-check");
        return served;
    }

    static async Task<HttpResponseMessage> Send(ServedLine served, SampleCurve curve)
    {
        (await served.Put(RecordedFile.Of(curve.Name, curve.Octets))).EnsureSuccessStatusCode();
        return await served.Send("st80", Message(served, curve));
    }

    static StationMessage Message(ServedLine served, SampleCurve curve)
    {
        var all = served.Finish("SH-1", "functional-check");
        return all with { Readings = [.. all.Readings.Where(r => r.Id == "communication")], Captures = [new(curve.Sha256, curve.Name)] };
    }
}
