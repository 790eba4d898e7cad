using System.Net;
using System.Text.Json;

namespace Roadproof.App.Tests.Server;

/// <summary>Rework over HTTP: asked for, measured, swapped, sent back; and what is refused or wrong.</summary>
public sealed class ReworkDoorTests
{
    const string Unit = "SH-0000001";

    [Fact]
    public async Task A_stopped_unit_is_measured_swapped_and_sent_back()
    {
        await using var line = await Stopped();
        var at = line.Line.Clock.GetLocalNow();
        var list = await line.Get("api/v1/rework");
        Assert.Equal((1, Unit), (list.GetProperty("total").GetInt32(), list.GetProperty("units")[0].GetProperty("unit").GetString()));

        var view = await line.Get($"api/v1/rework/{Unit}");
        Assert.Equal("leak-check", view.GetProperty("stoppedAt").GetProperty("step").GetString());
        Assert.Equal("leak", view.GetProperty("requirements")[0].GetProperty("id").GetString());
        var ways = view.GetProperty("ways").EnumerateArray().ToDictionary(w => w.GetProperty("step").GetString()!, w => w.GetProperty("again").EnumerateArray().Select(s => s.GetString()).ToList());
        Assert.Equal(["Cover", "Leak check"], ways["cover"]);

        var measured = await Done(line, $"units/{Unit}/measure", new { key = "m", name = "Gasket thickness, mm", value = 0.8, unit = "mm", occurredAt = at });
        Assert.Equal("Gasket thickness, mm", measured.GetProperty("name").GetString());
        var swap = new { key = "s", @out = new { part = "gasket", lot = "L-gasket" }, place = "hold", reason = "pinched", occurredAt = at, @in = new { part = "gasket", lot = "L-gasket" }, person = "k7f2" };
        var swapped = await Done(line, $"units/{Unit}/swap", swap);
        Assert.Equal(("cover", false), (swapped.GetProperty("backTo").GetString(), swapped.GetProperty("repeat").GetBoolean()));
        Assert.True((await Done(line, $"units/{Unit}/swap", swap)).GetProperty("repeat").GetBoolean());

        using (var no = await line.Post($"api/v1/units/{Unit}/release", new { key = "r0", reason = "done", occurredAt = at })) Assert.Equal(HttpStatusCode.Conflict, no.StatusCode);
        var back = await Done(line, $"units/{Unit}/release", new { key = "r", reason = "new gasket", backTo = "cover", cause = "pinched gasket", occurredAt = at });
        Assert.Equal("cover", back.GetProperty("next").GetString());

        var held = (await line.Get("api/v1/rework")).GetProperty("parts")[0];
        Assert.Equal("L-gasket", held.GetProperty("lot").GetString());
        await Done(line, "rework/parts", new { key = "p", unit = Unit, part = new { part = "gasket", lot = "L-gasket" }, place = "scrap", reason = "cannot be used", occurredAt = at });
        Assert.Empty((await line.Get("api/v1/rework")).GetProperty("parts").EnumerateArray());

        var unit = await line.Get($"api/v1/units/{Unit}");
        Assert.Equal("scrap", unit.GetProperty("was")[0].GetProperty("place").GetString());
        var told = unit.GetProperty("events").EnumerateArray().Select(e => e.GetProperty("text").GetString()).ToList();
        Assert.Contains("Cover gasket L-gasket came out, to hold: pinched. Cover gasket L-gasket went in.", told);
        Assert.Contains("Sent back to Cover: new gasket. Found: pinched gasket.", told);
        Assert.Contains("Measured at rework: gasket thickness, mm 0.8 mm.", told);
    }

    [Fact]
    public async Task What_cannot_be_is_told_with_its_field_and_keeps_nothing()
    {
        await using var line = await Stopped();
        var at = line.Line.Clock.GetLocalNow();
        var before = line.Line.Ledger.Head;
        foreach (var (path, body, field) in new (string, object, string)[]
        {
            ($"units/{Unit}/swap", new { key = "a", place = "scrap", reason = "x", occurredAt = at }, "out"),
            ($"units/{Unit}/swap", new { key = "a", @out = new { part = "gaskett", lot = "L-gasket" }, place = "scrap", reason = "x", occurredAt = at }, "out.part"),
            ($"units/{Unit}/swap", new { key = "a", @out = new { part = "gasket", lot = "L-gasket" }, place = "bin", reason = "x", occurredAt = at }, "place"),
            ($"units/{Unit}/measure", new { key = "a", id = "leak", value = 3, unit = "g", occurredAt = at }, "unit"),
            ($"units/{Unit}/measure", new { key = "a", value = 3, occurredAt = at }, "name"),
            ("rework/parts", new { key = "a", unit = Unit, place = "stock", reason = "x", occurredAt = at }, "part"),
        })
        {
            using var wrong = await line.Post($"api/v1/{path}", body);
            Assert.Equal(HttpStatusCode.BadRequest, wrong.StatusCode);
            Assert.Contains((await ServedLine.Read(wrong)).GetProperty("errors").EnumerateArray(), e => e.GetProperty("column").GetString() == field);
        }

        using (var no = await line.Post("api/v1/units/SH-9/swap", new { key = "a", @out = new { part = "gasket", lot = "L-gasket" }, place = "scrap", reason = "x", occurredAt = at })) Assert.Equal(HttpStatusCode.Conflict, no.StatusCode);
        using (var none = await line.Http.GetAsync(new Uri("api/v1/rework/SH-9", UriKind.Relative), TestContext.Current.CancellationToken)) Assert.Equal(HttpStatusCode.NotFound, none.StatusCode);
        Assert.Equal(before, line.Line.Ledger.Head);
        Assert.Contains("No unit SH-9 in this plant.", await line.Page("rework/SH-9", HttpStatusCode.NotFound), StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_empty_list_says_so()
    {
        await using var line = await ServedLine.Start();
        var page = await line.Page("rework");
        Assert.Contains("No unit waits at the rework station.", page, StringComparison.Ordinal);
        Assert.Contains("Nothing waits here.", page, StringComparison.Ordinal);
    }

    /// <summary>A unit that its leak check has stopped.</summary>
    static async Task<ServedLine> Stopped()
    {
        var line = await ServedLine.Start();
        await line.Build(Unit, "leak-check");
        var message = line.Finish(Unit, "leak-check");
        using var failed = await line.Send("st100", message with { Readings = [.. message.Readings.Select(r => r.Id == "leak" ? r with { Value = 9 } : r)] });
        Assert.Equal("fail", (await ServedLine.Read(failed)).GetProperty("verdict").GetString());
        return line;
    }

    static async Task<JsonElement> Done(ServedLine line, string path, object body)
    {
        using var response = await line.Post($"api/v1/{path}", body);
        var answer = await ServedLine.Read(response);
        Assert.True(response.IsSuccessStatusCode, answer.ToString());
        return answer;
    }
}
