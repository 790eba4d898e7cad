using System.Net;
using Roadproof.App.LoadTest;
using Roadproof.Plant.Line;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;

namespace Roadproof.App.Tests.Server;

/// <summary>Captures come by their hash, before or after the message that names them; what is not whole leaves nothing behind.</summary>
public sealed class CaptureDoorTests
{
    [Fact]
    public async Task Bytes_that_do_not_hash_to_their_name_leave_nothing_behind()
    {
        await using var line = await ServedLine.Start();
        var before = line.Line.Ledger.Head;
        var file = RecordedFile.Of("slow", [1, 2, 3]);
        using var wrong = await line.Put(file, new string('a', 64));
        Assert.Equal(HttpStatusCode.BadRequest, wrong.StatusCode);
        Assert.Contains(file.Sha256, (await ServedLine.Read(wrong)).GetProperty("title").GetString(), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.BadRequest, (await line.Put(file, "not-a-hash")).StatusCode);
        KeptNothing(line, before);

        Assert.Equal(HttpStatusCode.Created, (await line.Put(file)).StatusCode);
        Assert.Equal(HttpStatusCode.OK, (await line.Put(file)).StatusCode);
        Assert.Equal(file.Octets, await line.Http.GetByteArrayAsync(new Uri($"api/v1/captures/{file.Sha256}", UriKind.Relative)));
        Assert.Equal(before.Size + 1, line.Line.Ledger.Head.Size);
    }

    [Fact]
    public async Task A_run_whose_captures_come_later_waits_for_them_and_is_then_judged()
    {
        await using var line = await ServedLine.Start();
        const string unit = "SH-0000001";
        await line.Build(unit, "load-test");
        var files = ServedLine.Run(unit);
        (await line.Put(files[1])).EnsureSuccessStatusCode();
        var said = line.Finish(unit, "load-test") with { Captures = [.. files.Select(f => new MessageCapture(f.Sha256, f.Name))] };
        var answer = await ServedLine.Read(await line.Send("rig1", said));
        Assert.Equal("waiting", answer.GetProperty("verdict").GetString());
        Assert.NotEqual("pass", await StepState(line, unit));

        (await line.Put(files[0])).EnsureSuccessStatusCode();
        Assert.NotEqual("pass", await StepState(line, unit));

        // The last one comes under its hash in capitals: the same name.
        (await line.Put(files[2], files[2].Sha256.ToUpperInvariant())).EnsureSuccessStatusCode();
        Assert.Equal("pass", await StepState(line, unit));

        // The unit goes on, and the first answer stays the first answer.
        Assert.Equal("waiting", (await ServedLine.Read(await line.Send("rig1", said))).GetProperty("verdict").GetString());
        Assert.Equal("pass", (await ServedLine.Read(await line.Send("st120", line.Finish(unit, "label")))).GetProperty("verdict").GetString());
    }

    [Fact]
    public async Task A_run_whose_captures_are_there_is_judged_at_once_and_its_traces_are_thinned()
    {
        await using var line = await ServedLine.Start();
        const string unit = "SH-0000001";
        await line.Build(unit, "load-test");
        var files = ServedLine.Run(unit);
        foreach (var file in files) (await line.Put(file)).EnsureSuccessStatusCode();
        var answer = await ServedLine.Read(await line.Send("rig2", line.Finish(unit, "load-test") with { Captures = [.. files.Select(f => new MessageCapture(f.Sha256, f.Name))] }));
        Assert.Equal("pass", answer.GetProperty("verdict").GetString());
        Assert.True(answer.GetProperty("distance").GetDouble() > 0);

        var trace = await line.Get($"api/v1/captures/{files[2].Sha256}/trace?channel=vibration_m_s2&points=300");
        var (times, least, most) = (Numbers(trace, "timeS"), Numbers(trace, "minimum"), Numbers(trace, "maximum"));
        Assert.InRange(times.Count, 100, 300);
        Assert.Equal((times.Count, times.Count), (least.Count, most.Count));
        Assert.True(trace.GetProperty("samples").GetInt32() > 100_000);
        Assert.All(least.Zip(most), pair => Assert.True(pair.First is null || pair.First <= pair.Second));
        var whole = Damage.RecordedRun.Sound.Vibration.Channels["vibration_m_s2"];
        Assert.Equal(whole.Max(), most.Max()!.Value, 1e-5);
        Assert.Equal(whole.Min(), least.Min()!.Value, 1e-5);

        // A short piece comes sample by sample.
        var piece = await line.Get($"api/v1/captures/{files[0].Sha256}/trace?channel=bus_voltage_v&from=20&to=20.5&points=300");
        Assert.True(piece.GetProperty("whole").GetBoolean());
        Assert.InRange(Numbers(piece, "timeS").Count, 100, 101);

        Assert.Equal(HttpStatusCode.BadRequest, (await line.Http.GetAsync(new Uri($"api/v1/captures/{files[0].Sha256}/trace?channel=nonsense", UriKind.Relative))).StatusCode);
        Assert.Equal(HttpStatusCode.BadRequest, (await line.Http.GetAsync(new Uri($"api/v1/captures/{files[0].Sha256}/trace?channel=bus_voltage_v&from=9&to=3", UriKind.Relative))).StatusCode);
        Assert.Equal(HttpStatusCode.BadRequest, (await line.Http.GetAsync(new Uri($"api/v1/captures/{files[0].Sha256}/trace?channel=bus_voltage_v&points=0", UriKind.Relative))).StatusCode);
        Assert.Equal(HttpStatusCode.Conflict, (await line.Http.GetAsync(new Uri($"api/v1/captures/{new string('0', 64)}/trace?channel=bus_voltage_v", UriKind.Relative))).StatusCode);
    }

    [Fact]
    public async Task Captures_of_another_unit_are_refused_and_held_where_they_come_late()
    {
        await using var line = await ServedLine.Start();
        const string unit = "SH-0000001";
        await line.Build(unit, "load-test");
        var files = ServedLine.Run("SH-0000002");
        var said = line.Finish(unit, "load-test") with { Captures = [.. files.Select(f => new MessageCapture(f.Sha256, f.Name))] };
        Assert.Equal("waiting", (await ServedLine.Read(await line.Send("rig1", said))).GetProperty("verdict").GetString());
        foreach (var file in files) (await line.Put(file)).EnsureSuccessStatusCode();
        var run = (await line.Get($"api/v1/units/{unit}")).GetProperty("loadTests")[0];
        Assert.Equal("The captures are of SH-0000002, not of this unit.", run.GetProperty("problem").GetString());

        await line.Build("SH-0000003", "load-test");
        using var refused = await line.Send("rig2", said with { Key = line.NextKey(), Item = "SH-0000003" });
        Assert.Equal(HttpStatusCode.Conflict, refused.StatusCode);
        Assert.Equal("The captures are of SH-0000002, not of SH-0000003.", (await ServedLine.Read(refused)).GetProperty("title").GetString());
    }

    // What the rig sent is whole by its hash and still no capture: the unit is held with the reason, and the rig may run it again.
    [Fact]
    public async Task A_capture_that_cannot_be_read_holds_the_unit_with_the_reason()
    {
        await using var line = await ServedLine.Start();
        const string unit = "SH-0000001";
        await line.Build(unit, "load-test");
        var cut = ServedLine.Run(unit).Select(f => RecordedFile.Of(f.Name, f.Octets[..(f.Octets.Length / 2)])).ToList();
        foreach (var file in cut) (await line.Put(file)).EnsureSuccessStatusCode();
        var answer = await ServedLine.Read(await line.Send("rig1", line.Finish(unit, "load-test") with { Captures = [.. cut.Select(f => new MessageCapture(f.Sha256, f.Name))] }));
        Assert.Equal("hold", answer.GetProperty("verdict").GetString());
        var view = await line.Get($"api/v1/units/{unit}");
        Assert.Contains("cut short", view.GetProperty("loadTests")[0].GetProperty("problem").GetString(), StringComparison.Ordinal);
        Assert.Contains(unit, await line.Page($"units/{unit}"), StringComparison.Ordinal);
    }

    // A sender that breaks off, and a disk that is full: nothing is half written, and the same capture is taken when it comes whole.
    [Fact]
    public async Task A_stream_that_breaks_off_leaves_nothing_half_written()
    {
        await using var line = await ServedLine.Start();
        var before = line.Line.Ledger.Head;
        var file = ServedLine.Run("SH-0000001")[0];
        using var breaking = new BreakingStream(file.Octets, file.Octets.Length / 2);
        var thrown = await Assert.ThrowsAsync<IOException>(() => KeepCapture.Run(file.Sha256, breaking, line.Line, CancellationToken.None));
        Assert.Equal("The cable is out.", thrown.Message);
        KeptNothing(line, before);
        Assert.Equal(HttpStatusCode.Created, (await line.Put(file)).StatusCode);
    }

    [Fact]
    public async Task A_disk_that_cannot_be_written_is_said_and_leaves_nothing_half_written()
    {
        await using var line = await ServedLine.Start();
        var before = line.Line.Ledger.Head;
        var incoming = Path.Combine(line.Line.FolderPath, "captures", "incoming");
        Directory.Delete(incoming);
        await File.WriteAllTextAsync(incoming, ""); // no folder to write into, as if the disk had gone
        var file = RecordedFile.Of("slow", [1, 2, 3]);
        using var response = await line.Put(file);
        Assert.Equal(HttpStatusCode.InsufficientStorage, response.StatusCode);
        Assert.Contains("nothing of it was kept", (await ServedLine.Read(response)).GetProperty("title").GetString(), StringComparison.Ordinal);
        Assert.Equal(before, line.Line.Ledger.Head);

        File.Delete(incoming);
        Directory.CreateDirectory(incoming);
        Assert.Equal(HttpStatusCode.Created, (await line.Put(file)).StatusCode);
    }

    static void KeptNothing(ServedLine line, LedgerHead before)
    {
        Assert.Equal(before, line.Line.Ledger.Head);
        Assert.Empty(Directory.EnumerateFiles(Path.Combine(line.Line.FolderPath, "captures"), "*", SearchOption.AllDirectories));
    }

    static async Task<string?> StepState(ServedLine line, string unit) =>
        (await line.Get($"api/v1/units/{unit}")).GetProperty("steps").EnumerateArray().Last(s => s.GetProperty("step").GetString() == "load-test").GetProperty("state").GetString();

    static List<double?> Numbers(System.Text.Json.JsonElement trace, string field) =>
        [.. trace.GetProperty(field).EnumerateArray().Select(n => n.ValueKind == System.Text.Json.JsonValueKind.Null ? (double?)null : n.GetDouble())];

    sealed class BreakingStream(byte[] octets, int breaksAt) : MemoryStream(octets)
    {
        public override ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default)
        {
            if (Position >= breaksAt) throw new IOException("The cable is out.");
            return base.ReadAsync(buffer[..(int)Math.Min(buffer.Length, breaksAt - Position)], cancellationToken);
        }
    }
}
