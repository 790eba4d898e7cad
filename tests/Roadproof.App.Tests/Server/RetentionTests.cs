using System.Diagnostics;
using System.Text.Json;
using Roadproof.App.Definitions;
using Roadproof.Records.Messages;

namespace Roadproof.App.Tests.Server;

/// <summary>Captures of passed runs are retired after so many newer ones, and nobody waits for it.</summary>
public sealed class RetentionTests
{
    [Fact]
    public async Task A_run_is_retired_whichever_of_message_and_capture_came_last()
    {
        await using var line = await ServedLine.Start();
        await line.Line.Approve(FindProduct.Files(DemoFolder.Path).Select(f => (f.Name, f.Text.Replace("keepPassedCaptures: 24", "keepPassedCaptures: 1", StringComparison.Ordinal))), new("test"));
        Assert.Equal(1, line.Route.Plant.KeepPassedCaptures);

        // Each run is the newest for a while: the first and the last come message first, the second captures first.
        foreach (var (unit, messageFirst) in new[] { ("SH-0000001", true), ("SH-0000002", false), ("SH-0000003", true) })
        {
            await line.Build(unit, "load-test");
            var files = ServedLine.Run(unit);
            var said = line.Finish(unit, "load-test") with { Captures = [.. files.Select(f => new MessageCapture(f.Sha256, f.Name))] };
            if (messageFirst) (await line.Send("rig1", said)).EnsureSuccessStatusCode();
            foreach (var file in files) (await line.Put(file)).EnsureSuccessStatusCode();
            if (!messageFirst) (await line.Send("rig1", said)).EnsureSuccessStatusCode();
            Assert.All(await States(line, unit), s => Assert.Equal("kept", s));
        }

        var since = Stopwatch.StartNew();
        while (since.Elapsed < TimeSpan.FromSeconds(30) && (await States(line, "SH-0000002")).Contains("kept")) await Task.Delay(100);
        foreach (var unit in new[] { "SH-0000001", "SH-0000002" }) Assert.All(await States(line, unit), s => Assert.Equal("retired", s));
        Assert.All(await States(line, "SH-0000003"), s => Assert.Equal("kept", s));
    }

    static async Task<List<string?>> States(ServedLine line, string unit) =>
        [.. (await line.Get($"api/v1/units/{unit}")).GetProperty("loadTests")[0].GetProperty("captures").EnumerateArray().Select((JsonElement c) => c.GetProperty("state").GetString())];
}
