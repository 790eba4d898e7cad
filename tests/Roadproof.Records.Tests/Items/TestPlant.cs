using Dapper;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.Time.Testing;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Curves;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Lots;
using Roadproof.Records.Messages;
using Roadproof.Records.Orders;
using Roadproof.Records.Stores;

namespace Roadproof.Records.Tests.Items;

/// <summary>A small plant for tests: a ledger in a folder of its own, and stations that say what stations say.</summary>
sealed class TestPlant : IAsyncDisposable
{
    static readonly DateTimeOffset Morning = new(2026, 3, 4, 6, 0, 0, TimeSpan.FromHours(1));

    readonly TestFolder folder;
    readonly DataFolder data;
    readonly LineLedger ledger;
    readonly FakeTimeProvider clock = new(Morning);
    int keys;

    public TestPlant(TestFolder? folder = null, PlantContext? context = null)
    {
        Context = context ?? new([TestRoute.Revision], _ => null);
        this.folder = folder ?? new TestFolder();
        data = this.folder.Open();
        ledger = new LineLedger(data, clock, new PlantState());
    }

    public LineLedger Ledger => ledger;

    public PlantContext Context { get; }

    public DateTimeOffset Now => clock.GetUtcNow().ToOffset(TimeSpan.FromHours(1));

    public SqliteConnection Read() => data.ReadConnection();

    public void Wait(double seconds) => clock.Advance(TimeSpan.FromSeconds(seconds));

    public string NextKey() => $"key-{++keys:d5}";

    public Task<T> Write<T>(Func<LedgerTransaction, T> work) => ledger.Write(work);

    public Task<MessageOutcome> Send(string station, StationMessage message, LoadTestOutcome? loadTest = null, IReadOnlyList<CurveOutcome>? curves = null) =>
        ledger.Write(t => TakeMessage.Decide(t, station, message, Context, loadTest, curves));

    public async Task<MessageAnswer> Take(string station, StationMessage message, LoadTestOutcome? loadTest = null, IReadOnlyList<CurveOutcome>? curves = null)
    {
        var outcome = await Send(station, message, loadTest, curves);
        return outcome.Answer ?? throw new InvalidOperationException($"{station} {message.Step} {message.Item}: {outcome.Refused!.Refusal.Reason}");
    }

    public async Task<Refusal> Refused(string station, StationMessage message, LoadTestOutcome? loadTest = null, IReadOnlyList<CurveOutcome>? curves = null) =>
        (await Send(station, message, loadTest, curves)).Refused?.Refusal ?? throw new InvalidOperationException($"{station} {message.Step} {message.Item} was taken.");

    public async Task<IReadOnlyList<InputError>> NotUnderstood(string station, StationMessage message) =>
        (await Assert.ThrowsAsync<InputException>(() => Send(station, message))).Errors;

    /// <summary>Receives one lot of every part, named L-part.</summary>
    public async Task ReceiveLots()
    {
        foreach (var part in TestRoute.Revision.Parts.Where(p => !p.Shell)) await ReceiveLot($"L-{part.Id}", part.Id);
    }

    public Task<LotActAnswer> ReceiveLot(string lot, string part, int quantity = 5000, DateTimeOffset? expiresAt = null) =>
        Act(t => Lots.ReceiveLot.Decide(t, new(NextKey(), lot, part, quantity, expiresAt, Now), Context));

    public Task<LotActAnswer> HoldLot(string lot, string reason) => Act(t => Lots.HoldLot.Decide(t, new("hold", lot, NextKey(), reason, Now, "q1")));

    public Task<LotActAnswer> ReleaseLot(string lot, string reason) => Act(t => Lots.ReleaseLot.Decide(t, new("release", lot, NextKey(), reason, Now, "q1")));

    public Task<LotMadeAnswer> SplitLot(string lot, string into, int quantity) => Act(t => Lots.SplitLot.Decide(t, new(NextKey(), lot, into, quantity, Now)));

    public Task<LotMadeAnswer> MixLots(string lot, params (string Lot, int Quantity)[] sources) =>
        Act(t => Lots.MixLots.Decide(t, new(NextKey(), lot, [.. sources.Select(s => new LotShare(s.Lot, s.Quantity))], Now)));

    public Task<LotBroughtAnswer> BringLot(string lot, string? station) => Act(t => Lots.BringLot.Decide(t, new(NextKey(), lot, station, Now), Context));

    public Task<OrderAnswer> OpenOrder(string order, int quantity, string? variant = null, string? customer = null) =>
        Act(t => Orders.OpenOrder.Decide(t, new(NextKey(), order, "af-85", quantity, Now, variant, customer, Person: "k7f2"), Context));

    public Task<OrderAnswer> StartOrder(string order, string? instead = null) => Act(t => Orders.StartOrder.Decide(t, new(NextKey(), order, Now, instead, "k7f2"), Context));

    public Task<OrderAnswer> EndOrder(string order, string? reason = null) => Act(t => Orders.EndOrder.Decide(t, new(NextKey(), order, Now, reason, "k7f2")));

    public Task<ClearanceAnswer> Clear(string station, string order) => Act(t => ClearStation.Decide(t, new(NextKey(), station, order, Now, "p1"), Context));

    public Task<UnitActAnswer> HoldUnit(string unit, string reason) => Act(t => Records.Items.HoldUnit.Decide(t, new("hold", unit, NextKey(), reason, Now, "q1"), Context));

    public Task<UnitActAnswer> ReleaseUnit(string unit, string reason, string? backTo = null) =>
        Act(t => Records.Items.ReleaseUnit.Decide(t, new("release", unit, NextKey(), reason, Now, "q1", backTo), Context));

    public Task<UnitActAnswer> ScrapUnit(string unit, string reason) => Act(t => Records.Items.ScrapUnit.Decide(t, new("scrap", unit, NextKey(), reason, Now, "q1"), Context));

    public async Task<Refusal> RefusedAct<T>(Func<LedgerTransaction, Outcome<T>> act)
        where T : class => (await ledger.Write(act)).Refused ?? throw new InvalidOperationException("The act was done.");

    async Task<T> Act<T>(Func<LedgerTransaction, Outcome<T>> act)
        where T : class
    {
        var outcome = await ledger.Write(act);
        return outcome.Done ?? throw new InvalidOperationException(outcome.Refused!.Reason);
    }

    /// <summary>A message that does a step as it should be done.</summary>
    public StationMessage Finish(string unit, string step, string? serial = null)
    {
        var route = TestRoute.Revision.StepOf(step)!;
        return new()
        {
            Key = NextKey(), Kind = "request", Item = unit, Step = step, OccurredAt = Now, Person = "p1",
            Parts = route.Parts.Where(p => p.Part != "shell").Select(p => new MessagePart(p.Part, $"L-{p.Part}", Serialised(p.Part) ? $"{p.Part}-of-{unit}" : null)).ToList(),
            Readings = route.Readings.Select(r => Good(r, serial)).ToList(),
            Screws = route.Screws.SelectMany(g => Enumerable.Range(1, g.Count).Select(n => new MessageScrew(g.Id, n, 5.5, 50))).ToList(),
            Captures = route.Kind == StepKind.LoadTest ? [new(Sha(unit), "slow")] : [],
        };
    }

    public StationMessage Begin(string unit, string step) => new() { Key = NextKey(), Kind = "request", Stage = "begin", Item = unit, Step = step, OccurredAt = Now, Person = "p1" };

    /// <summary>Takes a unit along its route until the named step comes next; null takes it to shipping.</summary>
    public async Task Build(string unit, string? until = null, Func<StationMessage, StationMessage>? change = null)
    {
        foreach (var step in TestRoute.Revision.Steps.TakeWhile(s => s.Id != until)) await Do(unit, step.Id, change);
    }

    public async Task<MessageAnswer> Do(string unit, string step, Func<StationMessage, StationMessage>? change = null, LoadTestOutcome? loadTest = null, string? station = null)
    {
        station ??= StationOf(step);
        var begun = await Take(station, Begin(unit, step));
        Wait(40);
        if (step == "load-test") await Arrive(unit);
        var message = Finish(unit, step, begun.Serial);
        return await Take(station, change is null ? message : change(message), step == "load-test" ? loadTest ?? LoadTestOutcome.Judged(Verdict()) : null);
    }

    /// <summary>The capture of a unit's load test arrives; the store's own record without its file.</summary>
    /// <returns>The steps that waited for it.</returns>
    public async Task<IReadOnlyList<WaitingStep>> Arrive(string unit)
    {
        var sha256 = Sha(unit);
        await ledger.Write(t => t.Find($"capture-kept-{sha256}-1") ?? t.Append(new($"capture-kept-{sha256}-1", RecordKinds.CaptureKept, sha256, "", t.Now, "", """{"bytes":1000}""")));
        using var c = Read();
        return WaitingSteps.Naming(c, sha256);
    }

    public static string StationOf(string step) => TestRoute.Revision.Line.Stations.First(s => s.Step == step).Id;

    public static string Sha(string unit) => Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(System.Text.Encoding.UTF8.GetBytes(unit)));

    /// <summary>A load test's verdict with one expectation, flux, at so many standard deviations.</summary>
    public static LoadTestVerdict Verdict(RunVerdict verdict = RunVerdict.Pass, double fluxSigma = 0, RequirementReading? requirement = null) =>
        Verdict("flux-20", verdict, fluxSigma, 0.002 / 0.0133, requirement);

    /// <summary>The same of a characteristic whose reading has a standard uncertainty of so many standard deviations, all of it noise but for the share that stays with a rig.</summary>
    public static LoadTestVerdict Verdict(string id, RunVerdict verdict, double sigma, double readingSigma, RequirementReading? requirement = null) => new(
        verdict, requirement is null ? [] : [requirement],
        [
            new(id, "Flux linkage", "mWb", 12.9 * (1 + sigma * 0.0133), 12.9 * (1 + sigma * 0.0133), 12.9, 12.9 * 0.0133, 12.9 * 0.0133 * readingSigma, 0.0226, sigma,
                verdict == RunVerdict.Hold ? Engineering.Judging.Verdict.Unusual : Engineering.Judging.Verdict.Usual),
        ],
        sigma * sigma, 20, 4, [], [], "test verdict", []);

    static MessageReading Good(StepReading r, string? serial)
    {
        if (r.Id == "mark-read") return new(r.Id, Text: serial ?? "none");
        if (r.Text) return new(r.Id, Text: r.Equal ?? (r.Id == "customer" ? "Tarnbeck Cycles" : "ok"));
        var value = r.Lower is { } lower && r.Upper is { } upper ? (lower + upper) / 2 : r.Lower is { } l ? l + 2 : r.Upper is { } u ? u / 2 : 118;
        return new(r.Id, value, r.Unit);
    }

    static bool Serialised(string part) => TestRoute.Revision.Parts.First(p => p.Id == part).Serialised;

    /// <summary>Everything in the derived tables as text, to compare before and after a rebuild.</summary>
    public string Derived()
    {
        using var connection = Read();
        string[] tables = ["unit", "unit_step", "part_use", "reading", "screw", "lot", "hold", "refusal", "capture", "capture_ref", "curve_check", "load_test", "station_state", "unit_residual", "lot_shift", "lot_source", "serial", "lot_opening", "qualification", "calibration", "part_out", "rework_measurement", "rework_finding", "work_order", "order_run", "station_setup", "reference_run", "rig_suspect", "rejudged"];
        return string.Join('\n', tables.SelectMany(table => connection.Query($"select * from {table}")
            .Select(row => $"{table}: {string.Join('|', ((IDictionary<string, object?>)row).Select(f => $"{f.Key}={f.Value}"))}")
            .Order(StringComparer.Ordinal)));
    }

    public async ValueTask DisposeAsync()
    {
        await ledger.DisposeAsync();
        data.Dispose();
        folder.Dispose();
    }
}
