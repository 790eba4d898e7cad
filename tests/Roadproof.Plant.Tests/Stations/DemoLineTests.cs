using System.Net;
using System.Text;
using Roadproof.Plant.Faults;
using Roadproof.Plant.Line;

namespace Roadproof.Plant.Tests.Stations;

public sealed class DemoLineTests
{
    static readonly SlipRates Often = new()
    {
        SentTwice = 0.05, AnswerLost = 0.05, WrongUnit = 0.05, WrongLot = 0.05, ExpiredLot = 0.05, HeldLot = 0.05, LooseScrew = 0.05, LateReport = 0.05, CutShort = 0.05, SpoiledMark = 0.05, WrongPerson = 0.05, LeftOver = 0.3,
    };

    static DemoOptions Options(int units, ulong seed = 3) => new() { Seed = seed, Units = units, Recorder = Scribble };

    /// <summary>In place of a run: a few octets that depend on all that fixes it.</summary>
    static IReadOnlyList<RecordedFile> Scribble(RunOrder order) =>
        [.. new[] { "slow", "fast", "vibration" }.Select(n => RecordedFile.Of(n, Encoding.UTF8.GetBytes($"{n} {order.Header} {order.Unit} {order.Conditions} {order.CutShort}")))];

    static async Task<(RecordingServer Server, DemoResult Result)> Run(DemoOptions options, Func<Saying, string>? judge = null, LineRoute? built = null)
    {
        var clock = options.Clock();
        var server = new RecordingServer(judge, clock, built);
        return (server, await DemoLine.Run(server.Client(), clock, options));
    }

    [Fact]
    public async Task Sends_the_same_messages_for_the_same_seed()
    {
        var (first, result) = await Run(Options(40) with { Slips = Often });
        var (second, again) = await Run(Options(40) with { Slips = Often });
        Assert.Equal(first.Heard, second.Heard);
        Assert.Equivalent(result, again, strict: true);
        var (other, _) = await Run(Options(40, seed: 4) with { Slips = Often });
        Assert.NotEqual(first.Heard, other.Heard);
    }

    [Fact]
    public async Task Ships_every_sound_unit_when_nothing_goes_wrong()
    {
        var (_, result) = await Run(Options(60) with { Slips = SlipRates.None });
        Assert.Empty(result.Surprises);
        Assert.Equal(60, result.UnitsStarted);
        Assert.Equal(0, result.SoundStopped);
        Assert.All(result.Units.Where(u => u.Fault is null), u => Assert.Equal("shipped", u.End));
        Assert.Equal(60, result.UnitsShipped + result.UnitsOnHold + result.UnitsScrapped);
    }

    [Fact]
    public async Task Every_slip_is_met_and_mended()
    {
        var (_, result) = await Run(Options(120) with { Slips = Often }, CutShortIsHeld(), DemoRoute.InTwoVariants);
        Assert.Empty(result.Surprises);
        Assert.Equal(0, result.SoundStopped);
        Assert.Equal(
            ["answer-lost", "cut-short", "expired-lot", "held-lot", "late-report", "left-over", "loose-screw", "sent-twice", "spoiled-mark", "wrong-lot", "wrong-person", "wrong-unit"],
            result.Slips.Select(s => s.Slip).Order(StringComparer.Ordinal));
        Assert.All(result.Slips, s => Assert.True(s.Made > 0 && s.Made == s.Caught, $"{s}"));
    }

    [Fact]
    public async Task Two_orders_run_one_after_the_other_and_a_late_unit_has_its_station_cleared_back()
    {
        var (server, result) = await Run(Options(60) with { Slips = SlipRates.None }, null, DemoRoute.InTwoVariants);
        Assert.Empty(result.Surprises);
        Assert.Equal(0, result.SoundStopped);
        Assert.DoesNotContain(server.Messages, m => m.Status == HttpStatusCode.Conflict && m.Said.Step == "label");
        var labels = server.Messages.Where(m => m.Said is { Step: "label", Stage: "finish" }).Select(m => m.Said.Readings![0].Text).ToList();
        Assert.Equal(["L", "R"], labels.Distinct());

        // Each change of what the station does is one clearance; a unit that was mended comes after the first of the next order.
        var changes = labels.Zip(labels.Skip(1)).Count(l => l.First != l.Second);
        Assert.True(changes >= 1);
        Assert.Equal(changes, server.Heard.Count(h => h.StartsWith("POST /api/v1/stations/st120/clear ", StringComparison.Ordinal)));
        Assert.Equal(changes, server.Heard.Count(h => h.Contains("/bring ", StringComparison.Ordinal)));
        Assert.Equal(["1/start", "2/start", "1/end", "2/end"], server.Heard.Where(h => h.StartsWith("POST /api/v1/orders/", StringComparison.Ordinal)).Select(h => h.Split(' ')[1].Split("-00")[1]));
    }

    [Fact]
    public async Task Orders_follow_one_another_where_the_demo_has_no_end()
    {
        var options = new DemoOptions { Seed = 3, Recorder = Scribble, Slips = SlipRates.None };
        using var stop = new CancellationTokenSource();
        var tested = 0;
        var server = new RecordingServer(
            _ =>
            {
                if (++tested == 90) stop.Cancel();
                return "pass";
            },
            null, DemoRoute.InTwoVariants);
        var result = await DemoLine.Run(server.Client(), options.Clock(), options, progress: null, stop.Token);
        Assert.Empty(result.Surprises);
        Assert.Equal(["left", "right", "left", "right", "left", "right"], server.Heard.Where(h => h.StartsWith("POST /api/v1/orders ", StringComparison.Ordinal)).Select(h => h.Contains("\"left\"", StringComparison.Ordinal) ? "left" : "right"));
        Assert.Equal(
            Enumerable.Range(1, 6).Select(n => $"{n}/start"),
            server.Heard.Where(h => h.StartsWith("POST /api/v1/orders/", StringComparison.Ordinal) && h.Contains("/start ", StringComparison.Ordinal)).Select(h => h.Split(' ')[1].Split("-00")[1]));
    }

    [Fact]
    public async Task Says_what_happens_in_the_order_in_which_it_happens()
    {
        var (server, _) = await Run(Options(40) with { Slips = Often });
        var requests = server.Messages.Where(m => m.Said.Kind == "request").Select(m => m.Said.OccurredAt).ToList();
        Assert.Equal(requests.Order(), requests);
        Assert.All(server.Messages, m => Assert.Equal(TimeSpan.FromHours(1), m.Said.OccurredAt.Offset));
        Assert.Equal(server.Clock.Order(), server.Clock);
        Assert.All(server.Messages.Where(m => m.Said.Kind == "report"), m => Assert.Equal("finish", m.Said.Stage));
    }

    [Fact]
    public async Task Every_unit_goes_through_the_steps_in_their_order()
    {
        var (server, _) = await Run(Options(40) with { Slips = Often });
        var route = DemoRoute.Route.Steps.Select(s => s.Id).ToList();
        var serials = server.Messages.Where(m => m.Said.Step == "mark" && m.Said.Stage == "finish" && m.Said.Readings!.Any(r => r.Id == "mark-read"))
            .ToDictionary(m => m.Said.Readings!.First(r => r.Id == "mark-read").Text!, m => m.Said.Item);
        var ways = server.Messages
            .Where(m => m.Status == HttpStatusCode.OK && m.Said.Stage == "finish")
            .GroupBy(m => serials.GetValueOrDefault(m.Said.Item, m.Said.Item), m => route.IndexOf(m.Said.Step));
        foreach (var way in ways)
        {
            // One step on at a time; the same again only for a spoiled mark or a second run, back only to where a unit is mended.
            foreach (var (before, after) in way.Zip(way.Skip(1)))
                Assert.True(after == before + 1 || after == before || route[after] is "gears-in" or "cover", $"{way.Key}: {route[before]} then {route[after]}");
        }
    }

    [Fact]
    public async Task Holds_no_two_units_at_one_station()
    {
        var (server, result) = await Run(Options(60) with { Slips = SlipRates.None });
        Assert.Empty(result.Surprises);
        foreach (var station in server.Messages.Where(m => m.Status == HttpStatusCode.OK).GroupBy(m => m.Station))
        {
            var turns = station.Select(m => m.Said.Stage).ToList();
            Assert.All(turns.Select((stage, i) => (stage, i)), t => Assert.Equal(t.i % 2 == 0 ? "begin" : "finish", t.stage));
        }
    }

    [Fact]
    public async Task Units_never_stand_closer_than_there_are_places()
    {
        // Between a finish at one step and a begin at the next a unit is at the finished station or in one of the places: at most stations + places may be there at once.
        var (server, _) = await Run(Options(60) with { Slips = SlipRates.None });
        var steps = DemoRoute.Route.Steps;
        for (var i = 0; i + 1 < steps.Count; i++)
        {
            var stations = DemoRoute.Route.Line.Stations.Count(s => s.Step == steps[i].Id);
            var places = steps[i + 1].Kind == "load-test" ? 3 : 2;
            var (between, most) = (0, 0);
            foreach (var (_, said, _) in server.Messages)
            {
                if (said.Step == steps[i].Id && said.Stage == "finish") between++;
                if (said.Step == steps[i + 1].Id && said.Stage == "begin") between--;
                most = Math.Max(most, between);
            }

            // Units that were stopped at the step never begin the next.
            var stopped = server.Messages.Count(m => m.Said.Step == steps[i].Id && m.Said.Stage == "finish") - server.Messages.Count(m => m.Said.Step == steps[i + 1].Id && m.Said.Stage == "begin");
            Assert.True(most <= stations + places + stopped, $"{steps[i].Id}: {most} between it and the next");
        }
    }

    [Fact]
    public async Task Keeps_the_takt()
    {
        var (server, _) = await Run(Options(200) with { Slips = SlipRates.Usual });
        var packed = server.Messages.Where(m => m.Said.Step == "pack" && m.Said.Stage == "finish").Select(m => m.Said.OccurredAt).ToList();
        var shell = server.Messages.Where(m => m.Said.Step == "shell-in" && m.Said.Stage == "finish").Select(m => m.Said.OccurredAt).ToList();
        Assert.InRange((shell[^1] - shell[20]).TotalSeconds / (shell.Count - 21), 50, 57);
        Assert.True(packed.Count > 150);
    }

    [Fact]
    public async Task Brings_every_capture_before_it_names_it_and_marks_what_was_issued()
    {
        var (server, result) = await Run(Options(60) with { Slips = Often });
        Assert.All(server.Messages.Where(m => m.Said.Step == "load-test" && m.Said.Stage == "finish"), m => Assert.Equal(["slow", "fast", "vibration"], m.Said.Captures!.Select(c => c.Name)));
        Assert.Equal(result.UnitsShipped, result.Units.Select(u => u.Serial).OfType<string>().Distinct().Count());
        Assert.NotEmpty(server.VoidSerials);
        Assert.All(server.VoidSerials, v => Assert.False(string.IsNullOrWhiteSpace(v.Value)));
        Assert.Empty(server.VoidSerials.Keys.Intersect(result.Units.Select(u => u.Serial)));
    }

    [Fact]
    public async Task Refuses_to_count_a_wrong_gear_as_stopped_unless_it_was_refused()
    {
        var (server, result) = await Run(Options(400) with { Slips = SlipRates.None });
        var wrong = result.Units.Where(u => u.Fault == FaultList.WrongGear).ToList();
        Assert.NotEmpty(wrong);
        Assert.All(wrong, u => Assert.True(u is { Stopped: true, End: "shipped" }));
        Assert.Equal(wrong.Count, server.Messages.Count(m => m.Status == HttpStatusCode.Conflict && m.Said.Parts?.Any(p => p.Part == "gear-set" && p.Lot!.StartsWith("GX")) == true));
    }

    [Fact]
    public async Task A_wrong_gear_set_that_went_in_while_the_station_was_off_line_is_told_by_the_report_and_stopped()
    {
        var (server, result) = await Run(Options(400) with { Slips = SlipRates.None with { LateReport = 1 } });
        var wrong = result.Units.Where(u => u.Fault == FaultList.WrongGear).ToList();
        Assert.NotEmpty(wrong);
        Assert.Empty(result.Surprises);
        Assert.All(wrong, u => Assert.True(u is { Stopped: true, End: "held" }, $"{u}"));
        Assert.Equal(wrong.Count, server.Messages.Count(m => m.Said is { Kind: "report", Step: "gears-in" } && m.Said.Parts!.Any(p => p.Part == "gear-set" && p.Lot!.StartsWith("GX", StringComparison.Ordinal))));
    }

    [Fact]
    public async Task A_unit_that_is_sent_back_to_the_first_step_is_taken_there_after_the_last_shell()
    {
        var options = Options(3) with { Slips = SlipRates.None, Speed = 20_000 };
        var clock = options.Clock();
        RecordingServer server = null!;
        var runs = 0;
        server = new RecordingServer(_ => ++runs == 3 ? "hold" : "pass", clock);
        server.WhenHeld = unit => server.SendBack(unit, "shell-in");
        var result = await DemoLine.Run(server.Client(), clock, options);
        Assert.Equal(3, result.UnitsShipped);
        Assert.Equal(2, server.Messages.Where(m => m.Said is { Step: "shell-in", Stage: "finish" }).GroupBy(m => m.Said.Item).Max(g => g.Count()));
    }

    [Fact]
    public async Task Process_faults_are_stopped_by_their_own_readings_and_mended_once()
    {
        var (_, result) = await Run(Options(400) with { Slips = SlipRates.None });
        foreach (var fault in new[] { FaultList.Leak, FaultList.CoverScrew, FaultList.GreaseMissing })
        {
            var units = result.Units.Where(u => u.Fault == fault).ToList();
            Assert.NotEmpty(units);
            Assert.All(units, u => Assert.True(u is { Stopped: true, End: "shipped" }, $"{fault}: {u}"));
        }
    }

    [Fact]
    public async Task What_fails_the_load_test_is_scrapped_and_what_is_held_stays()
    {
        var n = 0;
        var (server, result) = await Run(Options(60) with { Slips = SlipRates.None }, _ => (n++ % 10) switch { 3 => "fail", 7 => "hold", _ => "pass" });
        Assert.InRange(result.UnitsScrapped, 5, 7);
        Assert.InRange(result.UnitsOnHold, 5, 7);
        Assert.Equal(result.UnitsScrapped, server.Heard.Count(h => h.Contains("/scrap ", StringComparison.Ordinal)));
        Assert.Equal(60, result.LoadTestsRun);
    }

    [Fact]
    public async Task A_lot_that_is_reported_is_held_and_never_offered_again()
    {
        var options = Options(80, seed: 5) with { Slips = SlipRates.None };
        var clock = options.Clock();
        RecordingServer server = null!;
        string? lot = null;
        var tested = 0;
        server = new RecordingServer(said =>
        {
            if (++tested == 12) server.NoteLotShift(lot = server.Messages.Last(m => m.Said.Step == "rotor-in" && m.Said.Stage == "finish").Said.Parts![0].Lot!);
            return "pass";
        });
        var result = await DemoLine.Run(server.Client(), clock, options);
        Assert.Empty(result.Surprises);

        var hold = server.Heard.FindIndex(h => h.Contains($"/lots/{lot}/hold", StringComparison.Ordinal));
        Assert.True(hold > 0);
        Assert.DoesNotContain(server.Heard.Skip(hold + 1), h => h.Contains("\"rotor\"", StringComparison.Ordinal) && h.Contains($"\"{lot}\"", StringComparison.Ordinal));
        // Seed 5 leaves 1 after division by four: its first rotor lot is the weak one, as fewer than 100 units are built.
        Assert.Equal(lot, result.WeakLot!.Lot);
        Assert.InRange(result.WeakLot.TestedUntilReported!.Value, 12, 20);
        Assert.True(result.UnitsOnHold > 0);
        Assert.Equal(0, result.SoundStopped);
    }

    [Fact]
    public async Task A_unit_that_is_held_on_its_way_goes_to_the_rack()
    {
        var options = Options(12) with { Slips = SlipRates.None };
        RecordingServer server = null!;
        server = new RecordingServer(said =>
        {
            if (said.Item.EndsWith('4')) server.HoldUnit(server.Messages.Last(m => m.Said.Step == "rotor-in").Said.Item);
            return "pass";
        });
        var result = await DemoLine.Run(server.Client(), options.Clock(), options);
        Assert.Equal(12, result.UnitsShipped + result.UnitsOnHold + result.UnitsScrapped);
        Assert.True(result.UnitsOnHold > 0);
    }

    [Fact]
    public async Task Stops_when_it_is_told_and_says_what_has_come_of_it()
    {
        var options = new DemoOptions { Seed = 3, Recorder = Scribble };
        using var stop = new CancellationTokenSource();
        var tested = 0;
        var server = new RecordingServer(_ =>
        {
            if (++tested == 20) stop.Cancel();
            return "pass";
        });
        var result = await DemoLine.Run(server.Client(), options.Clock(), options, progress: null, stop.Token);
        Assert.True(result.UnitsStarted > 20);
        Assert.Contains(result.Units, u => u.End == "building");
    }

    [Fact]
    public async Task A_scaled_demo_waits_for_its_clock()
    {
        var options = Options(2) with { Slips = SlipRates.None, Speed = 20_000 };
        var clock = options.Clock();
        var server = new RecordingServer(null, clock);
        var result = await DemoLine.Run(server.Client(), clock, options);
        Assert.Equal(2, result.UnitsStarted);
        Assert.All(server.Messages.Zip(server.Clock), m => Assert.True(m.Second >= m.First.Said.OccurredAt));
    }

    [Fact]
    public async Task A_head_start_is_built_as_fast_as_it_goes_and_then_the_clock_runs()
    {
        var options = Options(9) with { Slips = SlipRates.None, Speed = 50_000, HeadStart = 8 };
        var clock = options.Clock();
        Assert.True(clock.IsStepped);
        var server = new RecordingServer(null, clock);
        var result = await DemoLine.Run(server.Client(), clock, options);
        Assert.False(clock.IsStepped);
        Assert.Equal(9, result.UnitsStarted);
        Assert.Empty(result.Surprises);
        Assert.All(server.Messages.Zip(server.Clock), m => Assert.True(m.Second >= m.First.Said.OccurredAt));
    }

    [Fact]
    public async Task A_server_that_does_not_understand_is_our_bug()
    {
        var options = Options(1);
        using var nobody = new HttpClient(new Deaf()) { BaseAddress = new("http://plant/") };
        Assert.Contains("Bug in Roadproof", (await Assert.ThrowsAsync<InvalidOperationException>(() => DemoLine.Run(nobody, options.Clock(), options))).Message);
    }

    /// <summary>A judge that holds a run once where the vibration file was cut; it tells by the hash of what the plant would have sent uncut.</summary>
    static Func<Saying, string> CutShortIsHeld()
    {
        var slips = new Dictionary<string, int>();
        return said =>
        {
            var attempt = slips[said.Item] = slips.GetValueOrDefault(said.Item) + 1;
            var number = int.Parse(said.Item["SH-".Length..]) - 1841;
            return Slips.Draw(3, number, "load-test", attempt, Often).CutShort ? "hold" : "pass";
        };
    }

    sealed class Deaf : HttpMessageHandler
    {
        protected override Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken) =>
            Task.FromResult(new HttpResponseMessage(HttpStatusCode.BadRequest) { Content = new StringContent("what?") });
    }
}
