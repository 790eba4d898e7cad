using Roadproof.App.Definitions;
using Roadproof.App.Frame;

namespace Roadproof.App.Tests.Commands;

/// <summary>Lots received, stopped and let go from the command line, in a data folder that no server has open.</summary>
public sealed class LotsCommandTests : IDisposable
{
    readonly Folder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public async Task A_delivery_is_received_held_shown_and_released()
    {
        await Approved();
        var file = folder.Write("delivery.csv", "lot,part,quantity,expires\nD-1,grease,200,2099-03-04\nG-1,gear-set,40,\n");
        var received = await Typed.Words("lots", "receive", file, "--by", "k7f2", "--data", folder["data"], "--json");
        received.HasFields("lots");
        Assert.Equal((0, 2), (received.Exit, received.Json.GetProperty("lots").GetArrayLength()));

        var held = await Typed.Words("lots", "hold", "D-1", "--reason", "grit", "--data", folder["data"], "--json");
        held.HasFields("unitsHeld", "unitsShipped", "lotsTouched");
        Assert.Equal("held", held.Json.GetProperty("state").GetString());
        var shown = await Typed.Words("lots", "show", "D-1", "--data", folder["data"], "--json");
        shown.HasFields("lot", "units", "state", "sources", "madeInto");
        Assert.Equal(("held", "grit"), (shown.Json.GetProperty("state").GetString(), shown.Json.GetProperty("reason").GetString()));
        Assert.Contains("200 left of 200, in the store, expires 2099-03-04", (await Typed.Words("lots", "show", "D-1", "--data", folder["data"])).Output, StringComparison.Ordinal);

        var released = await Typed.Words("lots", "release", "D-1", "--reason", "sieved", "--data", folder["data"], "--json");
        released.HasFields("unitsReleased");
        Assert.Equal("open", released.Json.GetProperty("state").GetString());
        var again = await Typed.Words("lots", "release", "D-1", "--reason", "sieved", "--data", folder["data"]);
        Assert.Equal((1, "Lot D-1 is not on hold. Nothing needs to be released."), (again.Exit, again.Error.Trim()));
        Assert.Equal(1, (await Typed.Words("lots", "hold", "D-9", "--reason", "grit", "--data", folder["data"])).Exit);
    }

    [Fact]
    public async Task What_is_wrong_is_told_at_once()
    {
        await Approved();
        var file = folder.Write("delivery.csv", "lot,part,quantity\nD-1,greese,200\nD-2,grease,none\n");
        (await Typed.Words("lots", "receive", file, "--data", folder["data"])).IsWrong("delivery.csv:2: part: found 'greese', expected a part of this plant. Did you mean 'grease'?", "delivery.csv:3: quantity: found 'none'");
        (await Typed.Words("lots", "show", "D-1", "--data", folder["data"])).IsWrong("lot: found 'D-1'");
        (await Typed.Words("lots", "receive", folder["none.csv"], "--data", folder["data"])).IsWrong("no such file");
        (await Typed.Words("lots", "show", "D-1", "--data", folder["nowhere"])).IsWrong("no records.db");
        (await Typed.Words("lots", "hold", "D-1", "--data", folder["data"])).IsWrong("--reason");
        (await Typed.Words("lots", "hold", "D-1", "--reason", " ", "--data", folder["data"])).IsWrong("act: reason: found nothing");
        Assert.False(Directory.Exists(folder["nowhere"]));
    }

    async Task Approved()
    {
        await using var line = await OpenLine.Open(folder["data"], TimeProvider.System);
        await line.Approve(FindProduct.Files(DemoFolder.Path), new("test"));
    }
}
