using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Records.Definitions;
using Roadproof.Records.Gauges;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.Tests.Items;

/// <summary>The test plant with reference units at its rigs: one sound, one known to be bad; a reference after three runs or two hours, warm after one run, cold after ten hours.</summary>
sealed class RigPlant : IAsyncDisposable
{
    static readonly RouteRevision Revision = DemoFolder.Read(DemoFolder.Files);

    static readonly Lazy<LoadTestJudge> LazyJudge = new(() => new(Revision.LoadTest));

    static readonly Lazy<ReferenceUnit> LazySound = new(() => new()
    {
        Id = "sound", Code = "REF-A", Name = "Reference A", Kind = ReferenceKind.Sound, Origin = "test",
        Expected = [.. LazyJudge.Value.Limits.Select(l => new ReferenceExpectation { Id = l.Id, Value = l.Expected, StandardUncertainty = l.ReadingUncertainty / 20, StandardDeviation = l.ReadingUncertainty / 5 })],
    });

    static readonly ReferenceUnit Bad = new() { Id = "bad", Code = "REF-B", Name = "Reference B", Kind = ReferenceKind.KnownBad, Fault = "motor-drag", Origin = "test" };

    public RigPlant(Func<RigReferences, RigReferences>? change = null)
    {
        var references = new RigReferences { EveryRuns = 3, EveryH = 2, KnownBadEveryH = 8, ColdAfterMin = 600, WarmUpRuns = 1, Units = [LazySound.Value, Bad] };
        var route = TestRoute.Revision;
        Plant = new(context: new(
            [
                route with
                {
                    Product = route.Product with { References = change?.Invoke(references) ?? references },
                    Line = route.Line with { Stations = [.. route.Line.Stations.Select(s => s.Step == "load-test" ? s with { Instruments = ["transducer"] } : s)] },
                },
            ],
            _ => null));
    }

    public TestPlant Plant { get; }

    public static async Task<RigPlant> Ready(Func<RigReferences, RigReferences>? change = null)
    {
        var plant = new RigPlant(change);
        await plant.Plant.ReceiveLots();
        foreach (var rig in (string[])["rig1", "rig2", "rig3"])
        {
            await plant.Calibrate(rig);
            await plant.Warm(rig);
        }

        return plant;
    }

    /// <summary>A cold rig's first run, then both references.</summary>
    public async Task Warm(string rig)
    {
        await RunSound(rig);
        await RunBad(rig);
        Assert.Empty((await RunSound(rig)).Holds);
    }

    public async Task Calibrate(string rig)
    {
        Plant.Wait(1);
        var done = await Plant.Write(t => RecordCalibration.Decide(t, new(rig, "transducer", Plant.Now.AddDays(100), Plant.NextKey(), "test", Plant.Now), Plant.Context));
        Assert.NotNull(done.Done);
    }

    /// <param name="off">How far every reading lies off, in standard deviations of one run.</param>
    public Task<MessageAnswer> RunSound(string rig, double off = 0, double clockH = 0) => Run(rig, LazySound.Value, SoundRun(off), clockH);

    /// <summary>A run of the sound reference that is off in some readings only, each in its own unit.</summary>
    public Task<MessageAnswer> RunSound(string rig, params (string Id, double By)[] off) => Run(rig, LazySound.Value, Whole(off), 0);

    public Task<MessageAnswer> RunBad(string rig, bool stopped = true) => Run(rig, Bad, TestPlant.Verdict(stopped ? RunVerdict.Fail : RunVerdict.Pass), 0);

    public StationMessage Said(string code, double clockH = 0) => new()
    {
        Key = Plant.NextKey(), Kind = "request", Item = code, Step = "load-test", OccurredAt = Plant.Now.AddHours(clockH), Person = "p1", Captures = [new(TestPlant.Sha(code + Plant.NextKey()), "slow")],
    };

    public Task<MessageOutcome> Send(string station, StationMessage said, ReferenceOutcome? outcome) => Plant.Write(t => TakeMessage.Decide(t, station, said, Plant.Context, reference: outcome));

    public static ReferenceOutcome Sound(double off = 0) => new(SoundRun(off), "", LazyJudge.Value.JudgeOf(LazySound.Value));

    /// <summary>Runs a unit that waits for its load test.</summary>
    public Task<MessageAnswer> LoadTest(string unit, string rig, RunVerdict verdict = RunVerdict.Pass, double clockH = 0) => LoadTest(unit, rig, TestPlant.Verdict(verdict), clockH);

    public Task<MessageAnswer> LoadTest(string unit, string rig, LoadTestVerdict verdict, double clockH = 0) =>
        Plant.Do(unit, "load-test", m => m with { OccurredAt = m.OccurredAt.AddHours(clockH) }, LoadTestOutcome.Judged(verdict), rig);

    public async Task BuildToRig(params string[] units)
    {
        foreach (var unit in units) await Plant.Build(unit, "load-test");
    }

    public IReadOnlyList<string> HeldFor(string rig)
    {
        using var c = Plant.Read();
        return [.. Dapper.SqlMapper.Query<string>(c, "select distinct unit from hold where cause = @cause and released_at is null order by unit", new { cause = $"rig:{rig}" })];
    }

    async Task<MessageAnswer> Run(string rig, ReferenceUnit unit, LoadTestVerdict verdict, double clockH)
    {
        Plant.Wait(100);
        var outcome = await Send(rig, Said(unit.Code, clockH), new(verdict, "", unit.Kind == ReferenceKind.Sound ? LazyJudge.Value.JudgeOf(unit) : null));
        return outcome.Answer ?? throw new InvalidOperationException(outcome.Refused!.Refusal.Reason);
    }

    static LoadTestVerdict SoundRun(double off) => Whole([.. LazySound.Value.Expected.Select(e => (e.Id, off * e.StandardDeviation))]);

    /// <summary>A run with every reading: as drawn, and in the middle of every requirement, but for what is named, each in its own unit.</summary>
    public static LoadTestVerdict Whole(params (string Id, double By)[] off)
    {
        var by = off.ToDictionary(o => o.Id, o => o.By, StringComparer.Ordinal);
        var requirements = Revision.LoadTest.Requirements.Select(l => Requirement.Judge(l, Middle(l) + by.GetValueOrDefault(l.Id), 0.001)).ToList();
        return TestPlant.Verdict(requirements.Exists(r => r.Verdict == Verdict.Fail) ? RunVerdict.Fail : RunVerdict.Pass) with
        {
            Requirements = requirements,
            Expectations = [.. LazyJudge.Value.Limits.Select(l => new ExpectationReading(l.Id, l.Name, l.Unit, l.Expected + by.GetValueOrDefault(l.Id), 0, l.Expected, l.StandardDeviation, 0, 0, by.GetValueOrDefault(l.Id) / l.StandardDeviation, Verdict.Usual))],
            Method = LoadTestJudge.Method,
        };
    }

    public static LoadTestJudge Judge => LazyJudge.Value;

    static double Middle(RequirementLimit l) => ((l.Lower ?? 0) + (l.Upper ?? (l.Lower ?? 0) + 1)) / 2;

    public ValueTask DisposeAsync() => Plant.DisposeAsync();
}
