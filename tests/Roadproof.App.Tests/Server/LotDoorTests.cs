using System.Net;
using System.Text;
using System.Text.Json;

namespace Roadproof.App.Tests.Server;

/// <summary>Lots over HTTP: received by file, split, poured together, brought, held and asked for.</summary>
public sealed class LotDoorTests
{
    [Fact]
    public async Task A_file_is_received_whole_or_not_at_all()
    {
        await using var line = await ServedLine.Start();
        var before = line.Line.Ledger.Head;
        using (var wrong = await Send("lot,part,quantity\nD-1,grease,200\nD-2,greese,0\n"))
        {
            Assert.Equal(HttpStatusCode.BadRequest, wrong.StatusCode);
            var errors = (await ServedLine.Read(wrong)).GetProperty("errors").EnumerateArray().Select(e => (e.GetProperty("line").GetInt32(), e.GetProperty("column").GetString())).ToList();
            Assert.Equal([(3, "quantity"), (3, "part")], errors);
        }

        Assert.Equal(before, line.Line.Ledger.Head);
        for (var i = 0; i < 2; i++)
        {
            using var done = await Send("lot,part,quantity\nD-1,grease,200\nD-2,grease,40\n");
            var answer = await ServedLine.Read(done);
            Assert.Equal((HttpStatusCode.OK, i == 1), (done.StatusCode, answer.GetProperty("repeat").GetBoolean()));
        }

        Assert.Equal(before.Size + 2, line.Line.Ledger.Head.Size);

        async Task<HttpResponseMessage> Send(string text)
        {
            using var body = new StringContent(text, Encoding.UTF8, "text/csv");
            return await line.Http.PostAsync(new Uri("api/v1/lots/file?key=d1&occurredAt=2031-03-04T07:00:00%2B01:00&person=k7f2", UriKind.Relative), body);
        }
    }

    [Fact]
    public async Task A_lot_is_split_poured_together_brought_and_held_and_each_question_tells_it()
    {
        await using var line = await ServedLine.Start();
        var at = line.Line.Clock.GetLocalNow();
        await Done("lots", new { key = "a", lot = "D-2", part = "grease", quantity = 40, expiresAt = at.AddDays(3), occurredAt = at });
        await Done("lots/L-grease/split", new { key = "b", into = "D-1", quantity = 100, occurredAt = at });
        var mixed = await Done("lots/mix", new { key = "c", lot = "M-1", sources = new[] { new { lot = "D-1", quantity = 50 }, new { lot = "D-2", quantity = 20 } }, occurredAt = at });
        Assert.Equal((70, "grease"), (mixed.GetProperty("quantity").GetInt32(), mixed.GetProperty("part").GetString()));
        // The mixed lot expires with D-2 and is older.
        Assert.Equal("M-1", (await Done("lots/D-1/bring", new { key = "d", station = "st70", occurredAt = at })).GetProperty("takeFirst").GetString());
        Assert.Equal("D-1", (await line.Get("api/v1/stations/st70")).GetProperty("stock")[0].GetProperty("lot").GetString());
        Assert.Equal(["M-1"], (await Done("lots/D-1/hold", new { key = "e", reason = "grit", occurredAt = at })).GetProperty("lotsTouched").EnumerateArray().Select(l => l.GetString()));

        var lot = await line.Get("api/v1/lots/M-1");
        Assert.Equal(("held", "D-1"), (lot.GetProperty("state").GetString(), lot.GetProperty("heldThrough")[0].GetString()));
        var list = await line.Get("api/v1/lots?part=grease&state=held");
        Assert.Equal((2, "M-1"), (list.GetProperty("total").GetInt32(), list.GetProperty("lots")[0].GetProperty("lot").GetString()));
        using (var no = await line.Post("api/v1/lots/M-1/release", new { key = "f", reason = "clean", occurredAt = at })) Assert.Equal(HttpStatusCode.Conflict, no.StatusCode);
        foreach (var (path, body) in new (string, object)[]
        {
            ("lots/mix", new { key = "g", lot = "M-2", occurredAt = at }), ("lots/mix", new { key = "g", lot = "M-2", sources = new object?[] { null }, occurredAt = at }),
            ("lots/D-1/bring", new { key = "g", station = "st99", occurredAt = at }), ("lots/D-1/split", new { key = "g", into = "", quantity = 0, occurredAt = at }),
        })
        {
            using var wrong = await line.Post($"api/v1/{path}", body);
            Assert.Equal(HttpStatusCode.BadRequest, wrong.StatusCode);
        }

        using (var missing = await line.Http.GetAsync(new Uri("api/v1/lots/nobody", UriKind.Relative))) Assert.Equal(HttpStatusCode.NotFound, missing.StatusCode);

        async Task<JsonElement> Done(string path, object body)
        {
            using var answer = await line.Post($"api/v1/{path}", body);
            var said = await ServedLine.Read(answer);
            Assert.True(answer.IsSuccessStatusCode, said.ToString());
            return said;
        }
    }

    [Fact]
    public async Task The_pages_of_lots_answer_with_one_lot_with_none_found_and_with_many()
    {
        await using var line = await ServedLine.Start();
        var many = new StringBuilder("lot,part,quantity\n");
        for (var i = 0; i < 500; i++) many.Append(System.Globalization.CultureInfo.InvariantCulture, $"Z-{i:d3},grease,10\n");
        using (var body = new StringContent(many.ToString(), Encoding.UTF8, "text/csv"))
            (await line.Http.PostAsync(new Uri("api/v1/lots/file?key=d1&occurredAt=2031-03-04T07:00:00Z", UriKind.Relative), body)).EnsureSuccessStatusCode();
        Assert.Contains("511 lots, first to be used first.".Replace("511", $"{500 + line.Route.Parts.Count(p => !p.Shell)}", StringComparison.Ordinal), await line.Page("lots"), StringComparison.Ordinal);
        Assert.Contains("451 to 500 of 501", await line.Page("lots?part=grease&from=450"), StringComparison.Ordinal);
        Assert.Contains("Nothing found.", await line.Page("lots?find=nobody"), StringComparison.Ordinal);
        Assert.Contains("href=\"/lots/L-label\"", await line.Page("lots?find=L-lab"), StringComparison.Ordinal);
        Assert.Contains("No lot is on hold.", await line.Page("lots?state=held"), StringComparison.Ordinal);
        Assert.Contains("href=\"/lots\" aria-current=\"page\"", await line.Page("lots"), StringComparison.Ordinal);
        Assert.Contains("No lot nobody in this plant.", await line.Page("lots/nobody", HttpStatusCode.NotFound), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_lot_scanned_at_a_free_station_lies_there_and_starts_no_unit()
    {
        await using var line = await ServedLine.Start();
        var at = line.Line.Clock.GetLocalNow();
        using (var sent = await line.Post("api/v1/lots/L-gear-set/bring", new { key = "a", station = "st70", occurredAt = at })) sent.EnsureSuccessStatusCode();
        Assert.Contains("L-gear-set", await line.Page("stations/st70"), StringComparison.Ordinal);
        await line.Build("SH-0000001", "gears-in");
        using (var begun = await line.Send("st70", line.Begin("SH-0000001", "gears-in"))) begun.EnsureSuccessStatusCode();
        Assert.Contains("Take L-gear-set: 500 left.", await line.Page("stations/st70"), StringComparison.Ordinal);
    }
}
