using System.Net;
using System.Text.Json;
using Roadproof.Records.Messages;

namespace Roadproof.App.Tests.Server;

/// <summary>The public door as a station sees it, over a real connection.</summary>
public sealed class MessageDoorTests
{
    const string Door = "api/v1/stations/st10/messages";

    [Fact]
    public async Task The_same_message_again_gets_the_first_answer_again()
    {
        await using var line = await ServedLine.Start();
        var text = JsonSerializer.Serialize(line.Finish("SH-0000001", "shell-in"), StationMessageJson.Options);
        var (first, second) = (await ServedLine.Read(await line.PostText(Door, text)), await ServedLine.Read(await line.PostText(Door, text)));
        var records = line.Line.Ledger.Head.Size;
        var third = await ServedLine.Read(await line.PostText(Door, text));

        Assert.Equal(["distance", "holds", "item", "readings", "repeat", "sequence", "serial", "stage", "step", "verdict", "warnings"], Fields(first, "distance", "serial"));
        Assert.Equal("pass", first.GetProperty("verdict").GetString());
        Assert.False(first.GetProperty("repeat").GetBoolean());
        Assert.True(second.GetProperty("repeat").GetBoolean());
        Assert.Equal(first.ToString().Replace("\"repeat\":false", "\"repeat\":true", StringComparison.Ordinal), second.ToString());
        Assert.Equal(second.ToString(), third.ToString());
        Assert.Equal(records, line.Line.Ledger.Head.Size);
    }

    [Fact]
    public async Task The_same_key_for_something_else_is_refused_and_the_first_stands()
    {
        await using var line = await ServedLine.Start();
        var first = line.Finish("SH-0000001", "shell-in");
        (await line.Send("st10", first)).EnsureSuccessStatusCode();
        using var other = await line.Send("st10", first with { Item = "SH-0000002" });
        Assert.Equal(HttpStatusCode.Conflict, other.StatusCode);
        Assert.Equal("application/problem+json", other.Content.Headers.ContentType?.MediaType);
        var problem = await ServedLine.Read(other);
        Assert.Contains(first.Key, problem.GetProperty("title").GetString(), StringComparison.Ordinal);
        Assert.NotEqual("", problem.GetProperty("detail").GetString());
        Assert.Equal(HttpStatusCode.NotFound, (await line.Http.GetAsync(new Uri("api/v1/units/SH-0000002", UriKind.Relative))).StatusCode);
        Assert.True((await ServedLine.Read(await line.Send("st10", first))).GetProperty("repeat").GetBoolean());
    }

    [Theory]
    [InlineData("""{"key":"k1","kind":"request","item":"SH-1","step":"shell-in","occurredAt":"2031-03-04T07:00:00+01:00","colour":"blue","parts":[{"part":"shell","batch":"7"}]}""", "colour", "parts[0].batch")]
    [InlineData("""{"key":"k1","kind":"demand","item":"SH-1","step":"shel-in","occurredAt":"2031-03-04T07:00:00+01:00"}""", "kind", "step")]
    [InlineData("""{"key":"k1","kind":"request"}""", "item", "step", "occurredAt")]
    [InlineData("not json at all", "")]
    [InlineData("", "")]
    [InlineData("[]", "")]
    [InlineData("""{"key":null,"kind":null,"item":null,"step":null,"stage":null,"occurredAt":null,"version":null}""", "key", "kind", "item", "step", "stage", "occurredAt", "version")]
    [InlineData("""{"key":"k1","kind":"request","item":"SH-1","step":"load-test","occurredAt":"2031-03-04T07:00:00+01:00","parts":[null],"captures":[{"sha256":null},{"name":"slow"}],"screws":[{"number":null}],"readings":[{}]}""",
        "parts[0]", "captures[0].sha256", "captures[0].name", "captures[1].sha256", "screws[0].number", "screws[0].group", "screws[0].torqueNm", "screws[0].angleDeg", "readings[0].id")]
    [InlineData("""{"key":"k\ud800","kind":"request","item":"SH-1","step":"shell-in","occurredAt":"2031-03-04T07:00:00+01:00"}""", "key")]
    [InlineData("""{"\ud800":1,"kind":"request","item":"SH-1","step":"shell-in","occurredAt":"2031-03-04T07:00:00+01:00"}""", "")]
    [InlineData("""{"key":"k1","key":"k2","kind":"request","item":"SH-1","step":"shell-in","occurredAt":"2031-03-04T07:00:00+01:00"}""", "key")]
    public async Task What_cannot_be_understood_is_answered_with_every_error_and_kept_aside(string text, params string[] columns)
    {
        await using var line = await ServedLine.Start();
        var before = line.Line.Ledger.Head;
        using var response = await line.PostText(Door, text);
        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
        var errors = (await ServedLine.Read(response)).GetProperty("errors").EnumerateArray().ToList();
        Assert.Equal(columns, errors.Select(e => e.GetProperty("column").GetString()!).Where(c => columns.Contains(c)));
        Assert.All(errors, e => Assert.NotEqual("", e.GetProperty("expected").GetString()));

        Assert.Equal(before, line.Line.Ledger.Head);
        using var ask = line.Line.Ask();
        var kept = Assert.Single(Quarantine.Open(ask));
        Assert.Equal((text, "st10", errors.Count), (kept.Raw, kept.Station, kept.Errors.Count));
    }

    [Fact]
    public async Task A_body_beyond_a_megabyte_is_refused_unless_it_is_a_capture()
    {
        await using var line = await ServedLine.Start();
        foreach (var door in new[] { Door, "api/v1/lots", "api/v1/units/SH-0000001/hold" })
        {
            using var response = await line.PostText(door, $$"""{"key":"k1","remark":"{{new string('x', 1 << 20)}}"}""");
            Assert.Equal(HttpStatusCode.RequestEntityTooLarge, response.StatusCode);
            Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
        }

        // Far more than the network's own buffers take: the answer comes all the same, and says what is wrong.
        using var large = await line.PostText(Door, new string(' ', 40 << 20));
        Assert.Contains("The body has 41943040 bytes; this door takes 1048576.", await large.Content.ReadAsStringAsync(), StringComparison.Ordinal);

        using var ask = line.Line.Ask();
        Assert.Empty(Quarantine.Open(ask));
        Assert.Equal(HttpStatusCode.Created, (await line.Put(Plant.Line.RecordedFile.Of("vibration", new byte[3 << 20]))).StatusCode);
    }

    [Fact]
    public async Task A_refusal_says_reason_remedy_needed_and_found()
    {
        await using var line = await ServedLine.Start();
        await line.Build("SH-0000001", "gears-in");
        var wrong = line.Finish("SH-0000001", "gears-in");
        using var response = await line.Send("st70", wrong with { Parts = [.. wrong.Parts.Select(p => p.Part == "gear-set" ? p with { Lot = "L-gear-set-339" } : p)] });
        Assert.Equal(HttpStatusCode.Conflict, response.StatusCode);
        var problem = await ServedLine.Read(response);
        foreach (var field in new[] { "title", "detail", "needed", "found" }) Assert.NotEqual("", problem.GetProperty(field).GetString());
        Assert.True(problem.GetProperty("sequence").GetInt64() > 0);
        Assert.False(problem.GetProperty("repeat").GetBoolean());

        // Order: a step ahead of its turn is refused as well, and the right one is taken.
        Assert.Equal(HttpStatusCode.Conflict, (await line.Send("st90", line.Finish("SH-0000001", "cover"))).StatusCode);
        Assert.Equal("pass", (await ServedLine.Read(await line.Send("st70", line.Finish("SH-0000001", "gears-in")))).GetProperty("verdict").GetString());
    }

    [Theory]
    [InlineData("api/v1/stations/st99"), InlineData("api/v1/units/SH-9999999"), InlineData("api/v1/nonsense"), InlineData("api/v1/captures/0000000000000000000000000000000000000000000000000000000000000000")]
    public async Task What_is_not_there_is_a_problem_of_its_own_shape(string path)
    {
        await using var line = await ServedLine.Start();
        using var response = await line.Http.GetAsync(new Uri(path, UriKind.Relative));
        Assert.Equal(HttpStatusCode.NotFound, response.StatusCode);
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
        Assert.Equal(404, (await ServedLine.Read(response)).GetProperty("status").GetInt32());
    }

    [Fact]
    public async Task Everything_that_goes_wrong_has_one_shape()
    {
        await using var line = await ServedLine.Start();
        using var form = new StringContent("key=k1");
        var answers = new List<(int Status, HttpResponseMessage Response)>
        {
            (400, await line.PostText(Door, "not json")),
            (400, await line.PostText("api/v1/lots", "not json")),
            (400, await line.PostText("api/v1/lots", """{"key":"k1","lot":"","part":"rotor","quantity":1,"occurredAt":"2031-03-04T07:00:00+01:00"}""")),
            (404, await line.Http.GetAsync(new Uri("api/v1/units/SH-9999999", UriKind.Relative))),
            (404, await line.Http.DeleteAsync(new Uri("api/v1/line", UriKind.Relative))),
            (409, await line.Send("st90", line.Finish("SH-0000001", "cover"))),
            (409, await line.Post("api/v1/units/SH-9999999/hold", new { key = "k2", reason = "look", occurredAt = "2031-03-04T07:00:00+01:00" })),
            (413, await line.PostText(Door, new string(' ', 2 << 20))),
            (404, await line.Http.PostAsync(new Uri("api/v1/lots", UriKind.Relative), form)),
        };
        foreach (var (status, response) in answers)
        {
            Assert.Equal((status, "application/problem+json"), ((int)response.StatusCode, response.Content.Headers.ContentType?.MediaType));
            var problem = await ServedLine.Read(response);
            Assert.Equal(status, problem.GetProperty("status").GetInt32());
            Assert.Equal(["detail", "status", "title", "type"], problem.EnumerateObject().Select(p => p.Name).Except(["needed", "found", "sequence", "item", "repeat", "errors"]).Order(StringComparer.Ordinal));
            Assert.All(problem.EnumerateObject().Where(p => p.Name is "detail" or "title"), p => Assert.NotEqual("", p.Value.GetString()));
            response.Dispose();
        }
    }

    [Fact]
    public async Task A_door_that_takes_json_says_so_to_other_content()
    {
        await using var line = await ServedLine.Start();
        using var form = new StringContent("key=k1");
        using var response = await line.Http.PostAsync(new Uri("api/v1/lots", UriKind.Relative), form);
        Assert.Equal("There is no POST at /api/v1/lots that takes text/plain; charset=utf-8.", (await ServedLine.Read(response)).GetProperty("title").GetString());
    }

    [Fact]
    public async Task A_method_that_a_door_does_not_have_is_a_problem_of_the_same_shape()
    {
        await using var line = await ServedLine.Start();
        using var response = await line.PostText("api/v1/line", "{}");
        Assert.Equal(HttpStatusCode.NotFound, response.StatusCode);
        Assert.Equal("There is no POST at /api/v1/line.", (await ServedLine.Read(response)).GetProperty("title").GetString());
    }

    [Fact]
    public async Task The_ledger_tells_its_head_and_each_change()
    {
        await using var line = await ServedLine.Start();
        using var response = await line.Http.GetAsync(new Uri("api/v1/changes", UriKind.Relative), HttpCompletionOption.ResponseHeadersRead);
        Assert.Equal("text/event-stream", response.Content.Headers.ContentType?.MediaType);
        using var events = new StreamReader(await response.Content.ReadAsStreamAsync());
        var now = await Next(events);
        Assert.Equal((line.Line.Ledger.Head.Size, line.Line.Ledger.Head.RootHash), now);

        (await line.Send("st10", line.Finish("SH-0000001", "shell-in"))).EnsureSuccessStatusCode();
        var then = await Next(events);
        Assert.Equal((line.Line.Ledger.Head.Size, line.Line.Ledger.Head.RootHash), then);
        Assert.Equal(now.Size + 1, then.Size);
    }

    [Fact]
    public async Task A_line_that_stands_still_is_heard_too()
    {
        await using var line = await ServedLine.Start();
        using var response = await line.Http.GetAsync(new Uri("api/v1/changes", UriKind.Relative), HttpCompletionOption.ResponseHeadersRead);
        using var events = new StreamReader(await response.Content.ReadAsStreamAsync());
        var now = await Next(events);
        Assert.Equal(now, await Next(events, "beat"));
    }

    static async Task<(long Size, string Head)> Next(StreamReader events, string what = "ledger")
    {
        while (await events.ReadLineAsync() is { } line && line != "event: " + what) Assert.DoesNotContain("event: ledger", line);
        var data = JsonDocument.Parse((await events.ReadLineAsync())!["data: ".Length..]).RootElement;
        Assert.Equal("", await events.ReadLineAsync());
        return (data.GetProperty("size").GetInt64(), data.GetProperty("head").GetString()!);
    }

    static IEnumerable<string> Fields(JsonElement answer, params string[] leftOutWhenEmpty) =>
        answer.EnumerateObject().Select(p => p.Name).Union(leftOutWhenEmpty).Order(StringComparer.Ordinal);
}
