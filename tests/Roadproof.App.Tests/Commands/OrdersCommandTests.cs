using Roadproof.App.Frame;

namespace Roadproof.App.Tests.Commands;

/// <summary>Orders opened, started, ended and listed from the command line, in a data folder that no server has open.</summary>
public sealed class OrdersCommandTests : IDisposable
{
    readonly Folder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public async Task Orders_are_opened_started_one_after_another_ended_and_listed()
    {
        await using (var line = await OpenLine.Open(folder["data"], TimeProvider.System)) await line.Approve(OrderFolder.Files, new("test"));
        var file = folder.Write("orders.csv", "order,product,variant,quantity,customer,due\nO-1,af-85,eu-25,40,Tarnbeck Cycles,2099-03-04\nO-2,af-85,us-20,120,,\n");
        var opened = await Run("open", file, "--by", "k7f2", "--json");
        opened.HasFields("orders");
        Assert.Equal((0, 2), (opened.Exit, opened.Json.GetProperty("orders").GetArrayLength()));
        Assert.Equal("Order O-1 runs. No station has to be cleared.", (await Run("start", "O-1")).Output.Trim());
        var no = await Run("start", "O-2");
        Assert.Equal((1, "Order O-1 runs on Line 1. Start O-2 instead of O-1, or end O-1 first."), (no.Exit, no.Error.Trim()));
        var started = await Run("start", "O-2", "--instead", "O-1", "--json");
        started.HasFields("order", "state", "toClear");
        Assert.Equal(3, started.Json.GetProperty("toClear").GetArrayLength());

        Assert.Equal((1, "Order O-1 has 0 of 40 units good. Build the rest, or say why it ends short."), ((await Run("end", "O-1")).Exit, (await Run("end", "O-1")).Error.Trim()));
        (await Run("end", "O-1", "--reason", "withdrawn", "--json")).HasFields("order", "state", "good", "scrapped", "underWay");
        var list = await Run("list", "--json");
        list.HasFields("orders", "lines");
        Assert.Equal(["O-2", "O-1"], list.Json.GetProperty("orders").EnumerateArray().Select(o => o.GetProperty("order").GetString()));
        var read = (await Run("list")).Output;
        Assert.Contains("Line 1: O-2 (US, 20 mph) runs, 0 of 120 good; to be cleared: st60, st70, st120.", read, StringComparison.Ordinal);
        Assert.Contains("2099-03-04", read, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_is_wrong_is_told_at_once()
    {
        await using (var line = await OpenLine.Open(folder["data"], TimeProvider.System)) await line.Approve(OrderFolder.Files, new("test"));
        var file = folder.Write("orders.csv", "order,product,variant,quantity\nO-1,af-85,,40\nO-1,af-85,eu-25,none\n");
        (await Run("open", file)).IsWrong("orders.csv:2: variant: found nothing, expected a variant of af-85.", "orders.csv:3: quantity: found 'none'", "orders.csv:3: order: found 'O-1' twice");
        (await Run("open", folder["none.csv"])).IsWrong("no such file");
        Assert.Equal(1, (await Run("start", "O-9")).Exit);
        Assert.Contains("No order.", (await Run("list")).Output, StringComparison.Ordinal);
    }

    Task<Typed> Run(params string[] words) => Typed.Words(["orders", .. words, "--data", folder["data"]]);
}
