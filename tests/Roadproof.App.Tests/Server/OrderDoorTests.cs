using System.Net;
using System.Text;
using System.Text.Json;

namespace Roadproof.App.Tests.Server;

/// <summary>Orders and line clearance through their doors, and what every page then says.</summary>
public sealed class OrderDoorTests
{
    [Fact]
    public async Task Orders_come_in_run_one_after_another_and_a_station_is_cleared_between()
    {
        await using var line = await ServedLine.Start(files: OrderFolder.Files);
        var at = line.Line.Clock.GetLocalNow();
        Assert.Contains("No order yet.", await line.Page("orders"), StringComparison.Ordinal);
        await Done("orders", new { key = "a", order = "O-1", product = "af-85", variant = "eu-25", quantity = 2, customer = "Tarnbeck Cycles", due = at.AddDays(2), occurredAt = at });
        await Done("orders", new { key = "b", order = "O-2", product = "af-85", variant = "us-20", quantity = 120, occurredAt = at });
        Assert.Empty((await Done("orders/O-1/start", new { key = "c", occurredAt = at, person = "k7f2" })).GetProperty("toClear").EnumerateArray());
        using (var no = await line.Post("api/v1/orders/O-2/start", new { key = "d", occurredAt = at }))
            Assert.Equal((HttpStatusCode.Conflict, "Order O-1 runs on Line 1."), (no.StatusCode, (await ServedLine.Read(no)).GetProperty("title").GetString()));

        await Done("lots/L-gear-set/bring", new { key = "e", station = "st70", occurredAt = at });
        await line.Send("st10", line.Finish("SH-1", "shell-in"));
        Assert.Contains("O-1", await line.Page("units/SH-1"), StringComparison.Ordinal);
        Assert.Equal(["st60", "st70", "st120"], (await Done("orders/O-2/start", new { key = "f", instead = "O-1", occurredAt = at })).GetProperty("toClear").EnumerateArray().Select(s => s.GetString()));

        var station = await line.Get("api/v1/stations/st70");
        Assert.Equal("L-gear-set", station.GetProperty("clearing").GetProperty("lots")[0].GetProperty("lot").GetString());
        Assert.Equal("O-2 (US, 20 mph)", station.GetProperty("order").GetProperty("said").GetString());
        Assert.Contains("Clear for O-2 (US, 20 mph)", await line.Page("stations/st70"), StringComparison.Ordinal);
        using (var nobody = await line.Post("api/v1/stations/st70/clear", new { key = "g", order = "O-2", person = "", occurredAt = at })) Assert.Equal(HttpStatusCode.BadRequest, nobody.StatusCode);
        using (var left = await line.Post("api/v1/stations/st70/clear", new { key = "g", order = "O-2", person = "p1", occurredAt = at })) Assert.Equal(HttpStatusCode.Conflict, left.StatusCode);
        await Done("lots/L-gear-set/bring", new { key = "h", occurredAt = at, counted = 480 });
        for (var i = 0; i < 2; i++)
            Assert.Equal(i == 1, (await Done("stations/st70/clear", new { key = "g", order = "O-2", person = "p1", occurredAt = at })).GetProperty("repeat").GetBoolean());
        Assert.Equal(480, (await line.Get("api/v1/lots?find=L-gear-set")).GetProperty("lots").EnumerateArray().First(l => l.GetProperty("lot").GetString() == "L-gear-set").GetProperty("left").GetInt32());

        var page = await line.Page("orders");
        Assert.Contains("O-2 (US, 20 mph) runs: 0 of 120 good. 2 stations to be cleared.", page, StringComparison.Ordinal);
        Assert.Contains("cleared by p1", page, StringComparison.Ordinal);
        Assert.Contains("Start it instead of O-2", page, StringComparison.Ordinal);
        Assert.Contains("/stations/st70?clear=O-1", page, StringComparison.Ordinal);
        var whole = await line.Page("");
        Assert.Contains("st60, st120 are to be cleared for order O-2 (US, 20 mph)", whole, StringComparison.Ordinal);
        Assert.Contains("Quality label", await line.Page("stations/st120"), StringComparison.Ordinal);
        var ended = await Done("orders/O-1/end", new { key = "i", reason = "customer withdrew", occurredAt = at });
        Assert.Equal(("ended", 1), (ended.GetProperty("state").GetString(), ended.GetProperty("underWay").GetInt32()));
        Assert.Equal("ended", (await line.Get("api/v1/orders/O-1")).GetProperty("state").GetString());
        Assert.Equal(1, (await line.Get("api/v1/orders?state=running")).GetProperty("orders").GetArrayLength());
        Assert.Equal(1, (await line.Get("api/v1/units?find=O-1")).GetProperty("total").GetInt32());
        using var missing = await line.Http.GetAsync(new Uri("api/v1/orders/O-9", UriKind.Relative), TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.NotFound, missing.StatusCode);

        async Task<JsonElement> Done(string path, object body)
        {
            using var answer = await line.Post($"api/v1/{path}", body);
            var said = await ServedLine.Read(answer);
            Assert.True(answer.IsSuccessStatusCode, said.ToString());
            return said;
        }
    }

    [Fact]
    public async Task A_file_of_orders_is_opened_whole_or_not_at_all_and_counts_once()
    {
        await using var line = await ServedLine.Start(files: OrderFolder.Files);
        var before = line.Line.Ledger.Head;
        using (var wrong = await Send("order,product,variant,quantity,customer,due\nO-1,af-85,us-20,120,,\nO-2,af-58,us-20,0,Tarnbek,soon\nO-3,af-85,uk,5,,\n"))
        {
            Assert.Equal(HttpStatusCode.BadRequest, wrong.StatusCode);
            var errors = (await ServedLine.Read(wrong)).GetProperty("errors").EnumerateArray().Select(e => (e.GetProperty("line").GetInt32(), e.GetProperty("column").GetString())).ToList();
            Assert.Equal([(3, "quantity"), (3, "due"), (3, "customer"), (3, "product"), (4, "variant")], errors);
        }

        using (var title = await Send("order,product,varient,quantity\nO-1,af-85,us-20,120\n"))
            Assert.Contains("Is 'variant' meant?", (await ServedLine.Read(title)).GetProperty("detail").GetString(), StringComparison.Ordinal);
        Assert.Equal(before, line.Line.Ledger.Head);
        for (var i = 0; i < 2; i++)
        {
            using var done = await Send("order;product;variant;quantity;due\nO-1;af-85;us-20;120;2031-03-08\nO-2;af-85;eu-25;40;\n");
            var answer = await ServedLine.Read(done);
            Assert.Equal((HttpStatusCode.OK, i == 1), (done.StatusCode, answer.GetProperty("repeat").GetBoolean()));
        }

        Assert.Equal(before.Size + 2, line.Line.Ledger.Head.Size);

        async Task<HttpResponseMessage> Send(string text)
        {
            using var body = new StringContent(text, Encoding.UTF8, "text/csv");
            return await line.Http.PostAsync(new Uri("api/v1/orders/file?key=o1&occurredAt=2031-03-04T07:00:00%2B01:00&person=k7f2", UriKind.Relative), body);
        }
    }
}
