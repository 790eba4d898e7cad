using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Tests.Items;

/// <summary>The demo's own definitions take a unit from shell to shipped: every step can be done with what its stations read.</summary>
public sealed class DemoRouteTests
{
    static readonly DateTimeOffset Morning = new(2026, 3, 4, 6, 0, 0, TimeSpan.FromHours(1));

    [Fact]
    public async Task A_usual_unit_of_the_demo_passes_every_step()
    {
        var revision = DemoFolder.Read(DemoFolder.Files);
        var plant = new PlantContext([revision], _ => null);
        using var folder = new TestFolder();
        using var data = folder.Open();
        await using var ledger = new LineLedger(data, TimeProvider.System, new PlantState());
        foreach (var part in revision.Parts.Where(p => !p.Shell))
            await ledger.Write(t => Lots.ReceiveLot.Decide(t, new($"lot-{part.Id}", $"L-{part.Id}", part.Id, 500, null, Morning), plant));

        var at = Morning;
        foreach (var step in revision.Steps)
        {
            var station = revision.Line.Stations.First(s => s.Step == step.Id).Id;
            var begin = Message(step, "begin", at = at.AddSeconds(57));
            var begun = (await ledger.Write(t => TakeMessage.Decide(t, station, begin, plant))).Answer!;
            var finish = Usual(revision, step, begun.Serial, at = at.AddSeconds(40));
            foreach (var capture in finish.Captures)
                await ledger.Write(t => t.Append(new($"capture-kept-{capture.Sha256}-1", RecordKinds.CaptureKept, capture.Sha256, "", t.Now, "", """{"bytes":1}""")));
            var outcome = await ledger.Write(t => TakeMessage.Decide(t, station, finish, plant, step.Kind == StepKind.LoadTest ? LoadTestOutcome.Judged(TestPlant.Verdict()) : null));
            Assert.Equal((step.Id, "pass", ""), (step.Id, outcome.Answer?.Verdict, outcome.Refused?.Refusal.Reason ?? string.Join("; ", outcome.Answer!.Holds)));
        }

        using var c = data.ReadConnection();
        Assert.StartsWith("Passed everything, shipped to ", UnitQuery.Run(c, plant, "SH-0000001")!.Sentence, StringComparison.Ordinal);
    }

    static StationMessage Message(RouteStep step, string stage, DateTimeOffset at) =>
        new() { Key = $"{step.Id}-{stage}", Kind = "request", Stage = stage, Item = "SH-0000001", Step = step.Id, OccurredAt = at, Person = "p1" };

    static StationMessage Usual(RouteRevision revision, RouteStep step, string? serial, DateTimeOffset at) => Message(step, "finish", at) with
    {
        Parts = step.Parts.Select(p => revision.Parts.First(d => d.Id == p.Part)).Where(d => !d.Shell).Select(d => new MessagePart(d.Id, $"L-{d.Id}", d.Serialised ? $"{d.Id}-1" : null)).ToList(),
        Readings = step.Readings.Select(r => r.Text ? new MessageReading(r.Id, Text: r.Equal ?? (r.Id == "mark-read" ? serial : "Tarnbeck Cycles")) : new(r.Id, r.UsualValue, r.Unit)).ToList(),
        Screws = step.Screws.SelectMany(g => Enumerable.Range(1, g.Count).Select(n => new MessageScrew(g.Id, n, (g.TorqueLowerNm + g.TorqueUpperNm) / 2, (g.AngleLowerDeg + g.AngleUpperDeg) / 2))).ToList(),
        Captures = step.Kind == StepKind.LoadTest ? [new(new string('a', 64), "slow"), new(new string('b', 64), "fast")] : [],
    };
}
