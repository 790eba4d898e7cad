using System.Net;
using System.Text.Json;
using Roadproof.App.Tests.Commands;
using Roadproof.Plant.Line;
using Roadproof.Records.Messages;

namespace Roadproof.App.Tests.Server;

/// <summary>Curves over the public interface: sent as captures, judged by the line as <c>checks judge</c> judges them, refused in words.</summary>
public sealed class CurveDoorTests
{
    [Fact]
    public async Task A_cover_is_judged_from_its_curves_as_the_command_judges_them()
    {
        await using var served = await ServedLine.Start(files: CurveFolder.Files);
        await ToCover(served, "SH-1");
        var curve = SampleCurves.Cover("SH-1", finalNm: new Dictionary<int, double> { [6] = 4.4 });
        var answer = await ServedLine.Read(await Send(served, "SH-1", "cover", curve));
        Assert.Equal("fail", answer.GetProperty("verdict").GetString());
        Assert.Equal("Cover: cover screws, final torque too low", answer.GetProperty("holds")[0].GetString());

        using var place = new Folder();
        var kept = await served.Http.GetByteArrayAsync(new Uri($"api/v1/captures/{curve.Sha256}", UriKind.Relative));
        var file = place.Write("cover.csv", System.Text.Encoding.UTF8.GetString(kept));
        var said = (await Typed.Words("checks", "judge", "tightening", file, "--definitions", CurveFolder.Path, "--product", "case-40", "--group", "cover", "--json")).Json;
        Assert.Equal("fail", said.GetProperty("verdict").GetString());
        Assert.Empty(said.GetProperty("outOfOrder").EnumerateArray());

        var unit = await served.Get("api/v1/units/SH-1");
        var check = unit.GetProperty("curves").EnumerateArray().Single(c => c.GetProperty("check").GetString() == "cover").GetProperty("verdict");
        Assert.Equal(said.GetProperty("reading").GetString(), check.GetProperty("reading").GetString());
        Assert.Equal(
            said.GetProperty("features").EnumerateArray().Where(f => f.GetProperty("id").GetString() == "final-torque").Select(f => f.GetProperty("value").GetDouble()),
            check.GetProperty("screws").EnumerateArray().Select(s => s.GetProperty("features").EnumerateArray().First(f => f.GetProperty("id").GetString() == "final-torque").GetProperty("value").GetDouble()));
    }

    [Fact]
    public async Task Leak_and_press_are_judged_by_the_commands_with_the_same_words()
    {
        await using var served = await ServedLine.Start(files: CurveFolder.Files);
        await ToCover(served, "SH-1");
        await Send(served, "SH-1", "cover", SampleCurves.Cover("SH-1"));
        var curve = SampleCurves.Leak("SH-1", cm3PerMin: 2);
        Assert.Equal("pass", (await ServedLine.Read(await Send(served, "SH-1", "leak-check", curve))).GetProperty("verdict").GetString());

        using var place = new Folder();
        var leak = (await Typed.Words("checks", "judge", "leak", place.Write("leak.csv", curve.Text), "--definitions", CurveFolder.Path, "--product", "case-40", "--json")).Json;
        var press = (await Typed.Words("checks", "judge", "press", place.Write("press.csv", SampleCurves.Press("SH-1").Text), "--definitions", CurveFolder.Path, "--product", "case-40", "--reading", "bearing-force", "--json")).Json;
        var curves = (await served.Get("api/v1/units/SH-1")).GetProperty("curves").EnumerateArray().ToDictionary(c => c.GetProperty("check").GetString()!, c => c.GetProperty("verdict"));
        foreach (var (command, check) in new[] { (leak, curves["leak"]), (press, curves["bearing-force"]) })
        {
            Assert.Equal(command.GetProperty("reading").GetString(), check.GetProperty("reading").GetString());
            Assert.Equal(Verdicts(command), Verdicts(check));
        }

        static IEnumerable<string> Verdicts(JsonElement of) => of.GetProperty("features").EnumerateArray().Select(f => $"{f.GetProperty("id")} {(f.TryGetProperty("verdict", out var v) ? v.ToString() : "")}");
    }

    [Fact]
    public async Task Curves_that_are_none_are_refused_with_words_and_one_that_comes_later_completes_the_step()
    {
        await using var served = await ServedLine.Start(files: CurveFolder.Files);
        await ToCover(served, "SH-1");
        Assert.Equal("The captures are of SH-9, not of SH-1.", await Refused(served, SampleCurves.Cover("SH-9"), "title"));
        Assert.Contains("unit [N·cm], expected torque in N·m", await Refused(served, Changed("torque_nm", "torque [N·cm]"), "found"), StringComparison.Ordinal);
        Assert.Contains("no curve of screw 2, 4, 6, 8", await Refused(served, new("cover", [.. Lines(SampleCurves.Cover("SH-1"), 4000)]), "found"), StringComparison.Ordinal);
        Assert.Contains("angle", await Refused(served, Changed("angle_deg", "degrees"), "found"), StringComparison.Ordinal);

        var good = SampleCurves.Cover("SH-1");
        using var answer = await served.Send("st30", Message(served, "SH-1", "cover", good));
        Assert.Equal("waiting", (await ServedLine.Read(answer)).GetProperty("verdict").GetString());
        await served.Put(RecordedFile.Of("cover", good.Octets));
        var unit = await served.Get("api/v1/units/SH-1");
        Assert.Equal("pass", unit.GetProperty("steps").EnumerateArray().Single(s => s.GetProperty("step").GetString() == "cover").GetProperty("state").GetString());

        SampleCurve Changed(string from, string to) => Of(SampleCurves.Cover("SH-1").Text.Replace(from, to, StringComparison.Ordinal));

        static IEnumerable<byte> Lines(SampleCurve of, int most) => System.Text.Encoding.UTF8.GetBytes(string.Join('\n', of.Text.Split('\n').Take(most)) + "\n");

        static SampleCurve Of(string text) => new("cover", System.Text.Encoding.UTF8.GetBytes(text));
    }

    static async Task<string> Refused(ServedLine served, SampleCurve curve, string field)
    {
        using var answer = await Send(served, "SH-1", "cover", curve);
        Assert.Equal(HttpStatusCode.Conflict, answer.StatusCode);
        return (await ServedLine.Read(answer)).GetProperty(field).GetString()!;
    }

    static async Task ToCover(ServedLine served, string unit)
    {
        (await served.Send("st10", served.Finish(unit, "shell-in"))).EnsureSuccessStatusCode();
        var answer = await ServedLine.Read(await Send(served, unit, "bearing-in", SampleCurves.Press(unit)));
        Assert.Equal("pass", answer.GetProperty("verdict").GetString());
    }

    static async Task<HttpResponseMessage> Send(ServedLine served, string unit, string step, SampleCurve curve)
    {
        (await served.Put(RecordedFile.Of(curve.Name, curve.Octets))).EnsureSuccessStatusCode();
        return await served.Send(served.StationOf(step), Message(served, unit, step, curve));
    }

    static StationMessage Message(ServedLine served, string unit, string step, SampleCurve curve) =>
        served.Finish(unit, step) with { Readings = [], Screws = [], Captures = [new(curve.Sha256, curve.Name)] };
}
