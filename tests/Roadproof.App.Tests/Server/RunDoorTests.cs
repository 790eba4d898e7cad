using System.Net;
using System.Text.Json;
using Roadproof.Plant.Line;
using Roadproof.Records.Messages;

namespace Roadproof.App.Tests.Server;

/// <summary>A judged run read through its doors: the figures of a stretch, one turn of a shaft, orders over speed, and the runs beside it.</summary>
public sealed class RunDoorTests
{
    const string Unit = "SH-0000001";

    [Fact]
    public async Task A_judged_run_is_read_over_stretches_turns_and_orders()
    {
        await using var line = await ServedLine.Start();
        var files = await Judge(line, Unit, "rig2");
        var (slow, vibration) = (files[0], files[2]);

        var figures = await line.Get($"api/v1/captures/{vibration.Sha256}/statistics?channel=vibration_m_s2");
        var whole = Damage.RecordedRun.Sound.Vibration.Channels["vibration_m_s2"];
        var read = figures.GetProperty("channels")[0];
        Assert.Equal(whole.Length, read.GetProperty("samples").GetInt32());
        Assert.Equal(whole.Average(x => (double)x), read.GetProperty("mean").GetDouble(), 1e-6);
        Assert.Equal(Math.Sqrt(whole.Average(x => (double)x * x)), read.GetProperty("rms").GetDouble(), 1e-6);
        Assert.Equal((whole.Min(), whole.Max()), ((float)read.GetProperty("minimum").GetDouble(), (float)read.GetProperty("maximum").GetDouble()));
        Assert.Equal(2, (await line.Get($"api/v1/captures/{slow.Sha256}/statistics?channel=bus_voltage_v&channel=bus_current_a&from=20&to=21")).GetProperty("channels").GetArrayLength());
        var empty = (await line.Get($"api/v1/captures/{slow.Sha256}/statistics?channel=bus_voltage_v&from=9000&to=9001")).GetProperty("channels")[0];
        Assert.Equal((0, JsonValueKind.Null), (empty.GetProperty("samples").GetInt32(), empty.GetProperty("mean").ValueKind));

        var points = (await line.Get($"api/v1/units/{Unit}")).GetProperty("loadTests")[0].GetProperty("verdict").GetProperty("windows").EnumerateArray().Select(w => w.GetProperty("point").GetString()!).ToList();
        Assert.Contains("85-60", points);
        var rotor = await line.Get($"api/v1/units/{Unit}/load-tests/1/turn?channel=vibration_m_s2&shaft=0&point=85-60");
        var wheel = await line.Get($"api/v1/units/{Unit}/load-tests/1/turn?channel=output_torque_nm&shaft=1&point=85-60");
        Assert.Equal(("rotor", "intermediate shaft"), (rotor.GetProperty("shaft").GetString(), wheel.GetProperty("shaft").GetString()));

        // 60 rpm at the output; the rotor turns as often as the teeth say.
        Assert.Equal(60, rotor.GetProperty("speedRadPerS").GetDouble() / line.Route.LoadTest.Unit.Ratio * 30 / Math.PI, 1.0);
        Assert.Equal(rotor.GetProperty("speedRadPerS").GetDouble(), wheel.GetProperty("speedRadPerS").GetDouble() / wheel.GetProperty("perRotorTurn").GetDouble(), 1.0);
        Assert.True(rotor.GetProperty("turns").GetInt32() > 5 * wheel.GetProperty("turns").GetInt32());
        // A turn of the output takes two seconds at 30 rpm.
        using var few = await line.Http.GetAsync(new Uri($"api/v1/units/{Unit}/load-tests/1/turn?channel=output_torque_nm&shaft=2&point=85-30", UriKind.Relative));
        Assert.Contains("turns of the output, expected 2 whole turns at least", (await ServedLine.Read(few)).GetProperty("title").GetString(), StringComparison.Ordinal);
        Assert.Equal(rotor.GetProperty("mean").GetArrayLength(), rotor.GetProperty("standardDeviation").GetArrayLength());

        var map = await line.Get($"api/v1/units/{Unit}/load-tests/1/orders?channel=vibration_m_s2&columns=200");
        Assert.Equal(200, map.GetProperty("orders").GetArrayLength());
        var rows = map.GetProperty("rows").EnumerateArray().ToList();
        Assert.All(rows, r => Assert.Equal(200, r.GetProperty("amplitude").GetArrayLength()));
        Assert.Superset(new HashSet<string> { "85-60" }, rows.Select(r => r.GetProperty("point").GetString() ?? "").ToHashSet());
        var names = map.GetProperty("named").EnumerateArray().Select(n => n.GetProperty("name").GetString()!).ToList();
        Assert.Contains("stage-1 mesh", names);

        // A loaded mesh is heard above the places beside it.
        var mesh = map.GetProperty("named")[names.IndexOf("stage-1 mesh")].GetProperty("order").GetDouble();
        var loaded = rows.First(r => r.GetProperty("point").GetString() == "85-60");
        var amplitude = loaded.GetProperty("amplitude").EnumerateArray().Select(a => a.GetDouble()).ToList();
        var orders = map.GetProperty("orders").EnumerateArray().Select(o => o.GetDouble()).ToList();
        Assert.True(loaded.GetProperty("lines")[names.IndexOf("stage-1 mesh")].GetDouble() > 5 * amplitude.Where((_, i) => Math.Abs(orders[i] - mesh - 0.5) < 0.2).Average());

        foreach (var (path, status) in new[]
        {
            ($"captures/{slow.Sha256}/statistics?channel=nonsense", HttpStatusCode.BadRequest), ($"captures/{slow.Sha256}/statistics?channel=bus_voltage_v&from=9&to=3", HttpStatusCode.BadRequest),
            ($"captures/{new string('0', 64)}/statistics?channel=bus_voltage_v", HttpStatusCode.Conflict),
            ($"units/{Unit}/load-tests/1/turn?channel=vibration_m_s2&point=nowhere", HttpStatusCode.BadRequest), ($"units/{Unit}/load-tests/1/turn?channel=vibration_m_s2&shaft=9", HttpStatusCode.BadRequest),
            ($"units/{Unit}/load-tests/1/turn?channel=winding_c", HttpStatusCode.BadRequest), ($"units/{Unit}/load-tests/7/turn?channel=vibration_m_s2", HttpStatusCode.Conflict),
            ($"units/{Unit}/load-tests/1/orders?channel=vibration_m_s2&columns=0", HttpStatusCode.BadRequest), ("units/nobody/load-tests/1/orders?channel=vibration_m_s2", HttpStatusCode.Conflict),
        })
        {
            using var said = await line.Http.GetAsync(new Uri($"api/v1/{path}", UriKind.Relative));
            Assert.True(said.StatusCode == status, $"{path}: {said.StatusCode}");
        }

        Assert.Contains("data-turn=", await line.Page($"units/{Unit}"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Runs_beside_say_rig_and_lots_and_a_retired_one_says_so()
    {
        await using var line = await ServedLine.Start();
        await Judge(line, Unit, "rig2");
        var alone = await line.Get($"api/v1/units/{Unit}/load-tests/1/others");
        Assert.Equal(0, alone.GetProperty("runs").GetArrayLength());

        var files = await Judge(line, "SH-0000002", "rig2");
        await Judge(line, "SH-0000003", "rig1");
        var runs = (await line.Get($"api/v1/units/{Unit}/load-tests/1/others")).GetProperty("runs").EnumerateArray().ToList();
        Assert.Equal(["SH-0000003", "SH-0000002"], runs.Select(r => r.GetProperty("unit").GetString()));
        Assert.Equal([false, true], runs.Select(r => r.GetProperty("sameRig").GetBoolean()));
        Assert.All(runs, r => Assert.NotEqual(0, r.GetProperty("sameLots").GetArrayLength())); // this line has one lot of every part
        Assert.All(runs, r => Assert.Equal("kept", r.GetProperty("state").GetString()));
        Assert.NotEqual(0, (await line.Get("api/v1/units/SH-0000002/load-tests/1/traces")).GetProperty("windows").GetArrayLength());

        foreach (var file in files) Assert.NotNull((await line.Line.Captures.Retire(file.Sha256, "test", "p1")).Done);
        var retired = (await line.Get($"api/v1/units/{Unit}/load-tests/1/others")).GetProperty("runs").EnumerateArray().Single(r => r.GetProperty("unit").GetString() == "SH-0000002");
        Assert.Equal("retired", retired.GetProperty("state").GetString());
        using var said = await line.Http.GetAsync(new Uri("api/v1/units/SH-0000002/load-tests/1/traces", UriKind.Relative));
        Assert.Equal(HttpStatusCode.Conflict, said.StatusCode);
        Assert.Equal("The captures of this run are retired.", (await ServedLine.Read(said)).GetProperty("title").GetString());
    }

    [Fact]
    public async Task A_band_is_made_of_five_runs_at_least_and_says_of_which()
    {
        await using var line = await ServedLine.Start();
        await Judge(line, Unit, "rig2");
        for (var i = 2; i <= 5; i++) await Judge(line, $"SH-000000{i}", i % 2 == 0 ? "rig2" : "rig1");
        const string run = $"units/{Unit}/load-tests/1";
        using var few = await line.Http.GetAsync(new Uri($"api/v1/{run}/band?of=all&channel=output_torque_nm", UriKind.Relative));
        Assert.Equal(HttpStatusCode.Conflict, few.StatusCode);
        Assert.StartsWith("Only 4 runs that passed of", (await ServedLine.Read(few)).GetProperty("title").GetString(), StringComparison.Ordinal);

        await Judge(line, "SH-0000006", "rig1");
        var others = await line.Get($"api/v1/{run}/others");
        var kinds = others.GetProperty("bands").EnumerateArray().ToDictionary(b => b.GetProperty("id").GetString()!, b => b.GetProperty("passed").GetInt32());
        Assert.Equal((5, 2, 5), (kinds["all"], kinds["rig"], kinds["rotor"])); // this line has one lot of every part
        Assert.DoesNotContain("order", kinds.Keys);

        // These runs are one recording: the band is as narrow as the trace that it was thinned to.
        var band = await line.Get($"api/v1/{run}/band?of=rotor&channel=output_torque_nm&points=300&from=5&to=40");
        Assert.Equal((5, 5, 300), (band.GetProperty("runs").GetInt32(), band.GetProperty("atHand").GetInt32(), band.GetProperty("at").GetArrayLength()));
        Assert.Equal(4.0 / 6, band.GetProperty("share").GetDouble(), 1e-12);
        var slow = Damage.RecordedRun.Sound.Slow;
        var thin = Engineering.Signals.Thinning.Of(slow.TimeS, slow.Channels["output_torque_nm"], 5, 40, 300);
        for (var c = 0; c < 300; c++)
        {
            Assert.Equal(thin.Minimum[c], band.GetProperty("lower")[c].GetDouble(), 1e-5);
            Assert.Equal(thin.Maximum[c], band.GetProperty("upper")[c].GetDouble(), 1e-5);
        }

        Assert.Equal(2, (await line.Get($"api/v1/{run}/band?of=all&channel=output_torque_nm&runs=5&points=2")).GetProperty("lower").GetArrayLength());
        var turn = await line.Get($"api/v1/{run}/turn-band?of=all&channel=output_torque_nm&point=85-60");
        Assert.Equal(turn.GetProperty("lower")[7].GetDouble(), turn.GetProperty("upper")[7].GetDouble(), 1e-9);
        var orders = await line.Get($"api/v1/{run}/order-band?of=all&channel=vibration_m_s2&point=85-60&columns=100");
        var own = (await line.Get($"api/v1/{run}/orders?channel=vibration_m_s2&point=85-60&columns=100")).GetProperty("rows")[0].GetProperty("amplitude");
        for (var c = 0; c < 100; c++) Assert.Equal(own[c].GetDouble(), orders.GetProperty("median")[c].GetDouble(), 0.006 * own[c].GetDouble() + 1e-6);

        foreach (var (path, status) in new[]
        {
            ("band?of=nothing&channel=output_torque_nm", HttpStatusCode.BadRequest), ("band?of=all&channel=output_torque_nm&points=0", HttpStatusCode.BadRequest), ("band?of=all&channel=output_torque_nm&runs=41", HttpStatusCode.BadRequest),
            ("band?of=all&channel=output_torque_nm&from=9&to=3", HttpStatusCode.BadRequest), ("band?of=all&channel=nonsense", HttpStatusCode.Conflict), ("band?of=rig&channel=output_torque_nm", HttpStatusCode.Conflict),
            ("turn-band?of=all&channel=output_torque_nm&point=nowhere", HttpStatusCode.BadRequest), ("order-band?of=all&channel=vibration_m_s2&point=85-60&columns=0", HttpStatusCode.BadRequest),
        })
        {
            using var said = await line.Http.GetAsync(new Uri($"api/v1/{run}/{path}", UriKind.Relative));
            Assert.True(said.StatusCode == status, $"{path}: {said.StatusCode}");
        }
    }

    [Fact]
    public async Task The_page_of_a_load_test_lists_runs_and_shows_the_one_asked_for()
    {
        await using var line = await ServedLine.Start();
        var product = line.Route.Product.Id;
        Assert.Contains("No run of this product has been judged yet.", await line.Page($"load-test/{product}"), StringComparison.Ordinal);
        await Judge(line, Unit, "rig2");
        await Judge(line, "SH-0000002", "rig1");
        var all = await line.Page($"load-test/{product}");
        Assert.Contains($"href=\"/load-test/{product}?run={Unit}/1#run-1-heading\"", all, StringComparison.Ordinal);
        Assert.DoesNotContain("data-trace=", all, StringComparison.Ordinal);
        var one = await line.Page($"load-test/{product}?rig=rig2&run={Unit}/1");
        Assert.Contains("data-trace=", one, StringComparison.Ordinal);
        Assert.Contains($"href=\"/units/{Unit}#run-1-heading\"", one, StringComparison.Ordinal);
        Assert.DoesNotContain("SH-0000002", one, StringComparison.Ordinal);
        Assert.Contains($"/load-test/{product}?run={Unit}/1#load-test-runs", await line.Page($"units/{Unit}"), StringComparison.Ordinal);
        Assert.Contains("has no load test of attempt 7", await line.Page($"load-test/{product}?run={Unit}/7"), StringComparison.Ordinal);
        Assert.Contains("names no run", await line.Page($"load-test/{product}?run=nonsense"), StringComparison.Ordinal);
        Assert.Contains("No judged run of that rig and unit.", await line.Page($"load-test/{product}?find=nobody"), StringComparison.Ordinal);
    }

    static async Task<IReadOnlyList<RecordedFile>> Judge(ServedLine line, string unit, string rig)
    {
        await line.Build(unit, "load-test");
        var files = ServedLine.Run(unit);
        foreach (var file in files) (await line.Put(file)).EnsureSuccessStatusCode();
        var answer = await ServedLine.Read(await line.Send(rig, line.Finish(unit, "load-test") with { Captures = [.. files.Select(f => new MessageCapture(f.Sha256, f.Name))] }));
        Assert.Equal("pass", answer.GetProperty("verdict").GetString());
        return files;
    }
}
