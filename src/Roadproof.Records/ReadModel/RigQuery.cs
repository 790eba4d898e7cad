using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Lots;
using Roadproof.Records.Messages;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.ReadModel;

/// <summary>What the rigs can show for themselves.</summary>
public static class RigQuery
{
    public static RigsView Run(SqliteConnection c, PlantContext plant, DateTimeOffset now) =>
        new([.. Rigs(plant).Select(r => One(c, plant, r.Revision, r.Rig, now))], Ageing(c, plant));

    /// <returns>Null for a station that is no rig with references.</returns>
    public static RigView? Of(SqliteConnection c, PlantContext plant, string rig, DateTimeOffset now) =>
        Rigs(plant).FirstOrDefault(r => r.Rig.Id == rig) is { Rig: not null } found ? One(c, plant, found.Revision, found.Rig, now) : null;

    /// <summary>How the rigs of each product read their references, beside one another.</summary>
    public static IReadOnlyList<RigComparisonView> Compare(SqliteConnection c, PlantContext plant) => [.. plant.Standing.Where(r => r.Product.References is not null).Select(r => Compare(c, r))];

    /// <summary>The newest record that may change how rigs compare.</summary>
    public static long NewestRun(SqliteConnection c) => c.ExecuteScalar<long>(
        "select max((select coalesce(max(sequence), 0) from load_test), (select coalesce(max(sequence), 0) from reference_run), (select coalesce(max(sequence), 0) from calibration))");

    static IEnumerable<(RouteRevision Revision, StationDefinition Rig)> Rigs(PlantContext plant) =>
        from revision in plant.Standing
        where revision.Product.References is not null
        from station in revision.Line.Stations
        where revision.StepOf(station.Step) is { Kind: StepKind.LoadTest }
        select (revision, station);

    static RigView One(SqliteConnection c, PlantContext plant, RouteRevision revision, StationDefinition rig, DateTimeOffset now)
    {
        var asked = revision.Product.References!;
        var standing = RigBook.Standing(c, null, plant, rig.Id, now)!;
        var runs = ReferenceRow.Of(c, null, rig.Id, RigBook.LastCalibration(c, null, rig.Id));
        var sound = Verdicts(runs);
        var last = sound.Count > 0 ? sound[^1].Verdict : null;
        return new(
            rig.Id, rig.Name, revision.Line.Name, revision.Product.Name, standing.MayJudge, standing.Reason, standing.Remedy, standing.ReferenceAt, standing.RunsSince,
            Math.Max(0, asked.EveryRuns - standing.RunsSince), standing.ReferenceAt?.AddHours(asked.EveryH), last?.Limit ?? 0,
            [.. runs.Select(r => new RigRun(r.Sequence, r.Reference, asked.Units.FirstOrDefault(u => u.Id == r.Reference)?.Name ?? r.Reference, r.At.ToOffset(now.Offset), r.Outcome, r.Reason))],
            last?.Farthest, Characteristics(asked, sound, now.Offset), last?.Zeros ?? [], Held(c, rig.Id), Left(c, rig.Id), standing.MayJudge && runs.Exists(r => r.Outcome is "out" or "passed"));
    }

    static List<(ReferenceRow Row, ReferenceVerdict Verdict)> Verdicts(List<ReferenceRow> runs) =>
        [.. runs.Where(r => r is { Counts: true, Kind: "sound", Verdict: not null }).Select(r => (r, RecordJson.Read<ReferenceVerdict>(r.Verdict!))).Where(r => r.Item2.Readings.Count > 0)];

    static List<RigCharacteristic> Characteristics(RigReferences asked, List<(ReferenceRow Row, ReferenceVerdict Verdict)> runs, TimeSpan offset)
    {
        if (runs.Count == 0) return [];
        var newest = runs[^1];
        var first = runs[0].Row.At;
        // A drift is the rig's own: it shows in how far each reference is off its own value, whichever was run.
        ReferenceExpectation? Expected(string reference, string id) => asked.Units.FirstOrDefault(u => u.Id == reference)?.Expected.FirstOrDefault(e => e.Id == id);
        return
        [
            .. newest.Verdict.Readings.Select(reading =>
            {
                var points = runs.Select(r => (r.Row.At, Reading: r.Verdict.Readings.FirstOrDefault(x => x.Id == reading.Id), Expected: Expected(r.Row.Reference, reading.Id))).Where(p => p.Reading is not null).ToList();
                var forecast = Expected(newest.Row.Reference, reading.Id) is { } e
                    ? DriftForecast.Of(
                        [.. points.Where(p => p.Expected is not null).Select(p => new TimedReading((p.At - first).TotalHours, p.Reading!.Value - p.Expected!.Value))],
                        e.StandardDeviation, reading.Level - e.Value, newest.Verdict.Limit * reading.StandardDeviation, newest.Verdict.Readings.Count)
                    : null;
                return new RigCharacteristic(reading.Id, reading.Name, reading.Unit, [.. points.Select(p => new RigPoint(p.At.ToOffset(offset), p.Reading!.Value, p.Reading.Level, p.Reading.Sigma, p.Reading.Ewma, p.Reading.EwmaLimit))], forecast);
            })
            .OrderByDescending(x => Math.Max(Math.Abs(x.Last.Ewma) / x.Last.EwmaLimit, Math.Abs(x.Last.Sigma) / newest.Verdict.Limit)),
        ];
    }

    static List<string> Held(SqliteConnection c, string rig) =>
        c.Query<string>("select distinct unit from hold where cause = @cause and released_at is null order by unit", new { cause = TakeReferenceRun.Cause(rig) }).AsList();

    static List<ShippedUnit> Left(SqliteConnection c, string rig) => c.Query<ShippedUnit>(
        "select distinct u.unit Unit, u.serial Serial, u.customer Customer, u.box Box from rig_suspect s join unit u on u.unit = s.unit where s.rig = @rig and u.shipped_at is not null and not exists (select 1 from load_test l where l.unit = s.unit and l.step_sequence > s.run_sequence) order by u.unit",
        new { rig }).AsList();

    static RigComparisonView Compare(SqliteConnection c, RouteRevision revision)
    {
        var references = revision.Product.References!;
        var readings = RigsOf(revision).SelectMany(rig => Verdicts(ReferenceRow.Of(c, null, rig, RigBook.LastCalibration(c, null, rig))).SelectMany(r => r.Verdict.Readings.Select(x => (Rig: rig, r.Row.Reference, Reading: x)))).ToList();
        var (pairs, sds) = (new List<RigPair>(), new Dictionary<string, double?>(StringComparer.Ordinal));
        var rigs = RigsOf(revision).ToList();
        var (like, untold, judged) = LikeUnitQuery.Compare(c, revision, rigs);
        var asked = Math.Max(1, readings.DistinctBy(r => r.Reading.Id).Count() * rigs.Count * (rigs.Count - 1) / 2);
        foreach (var of in readings.GroupBy(r => r.Reading.Id))
        {
            var (name, unit) = (of.First().Reading.Name, of.First().Reading.Unit);
            var scatter = references.Sound.SelectMany(u => u.Expected).Where(e => e.Id == of.Key).Select(e => (double?)e.StandardDeviation).FirstOrDefault();
            var compared = RigComparison.Of([.. of.Select(r => new RigReading(r.Rig, r.Reference, r.Reading.Value))], scatter, asked);
            sds[of.Key] = compared.RigSd;
            var fromKnown = of.GroupBy(r => r.Rig).Select(g => (g.Key, Interval: FromKnown(asked, [.. g.Select(r => (r.Reference, r.Reading.Value))], id => references.Units.FirstOrDefault(u => u.Id == id)?.Expected.FirstOrDefault(e => e.Id == of.Key))))
                .Where(r => r.Interval is not null).ToDictionary(r => r.Key, r => r.Interval!, StringComparer.Ordinal);
            var weights = judged.Weigh(of.Key, [.. compared.Pairs.Select(p => (p.First, p.Second, p.Difference, p.Interval, p.Together))], fromKnown);
            pairs.AddRange(compared.Pairs.Zip(weights, (p, weight) => new RigPair(p.First, p.Second, of.Key, name, unit, p.Difference, p.Interval, p.Units, p.Differs, weight)));
        }

        return new(revision.Product.Id, pairs, sds, like, untold, LikeUnitQuery.Retests(c, revision, rigs));
    }

    /// <summary>How far a rig reads from the references' own values: the scatter of its runs, and how well those values are known.</summary>
    static Interval? FromKnown(int asked, IReadOnlyList<(string Reference, double Value)> runs, Func<string, ReferenceExpectation?> expected)
    {
        var of = runs.GroupBy(r => r.Reference).Select(g => (Expected: expected(g.Key), Mean: g.Average(r => r.Value), Runs: g.Count())).Where(r => r.Expected is not null).ToList();
        if (of.Count == 0) return null;
        var offset = of.Average(r => r.Mean - r.Expected!.Value);
        var u = Math.Sqrt(of.Sum(r => r.Expected!.StandardDeviation * r.Expected.StandardDeviation / r.Runs + r.Expected.StandardUncertainty * r.Expected.StandardUncertainty)) / of.Count;
        var confidence = Math.Pow(0.95, 1.0 / asked);
        var half = Normal.Quantile((1 + confidence) / 2) * u;
        return new(offset - half, offset + half, confidence);
    }

    // Of the newest run of each reference on each rig, the characteristic that moved farthest; its limit allows for all that was looked at in this plant.
    static List<ReferenceAgeingView> Ageing(SqliteConnection c, PlantContext plant)
    {
        var products = plant.Standing.Where(r => r.Product.References?.Sound.Skip(1).Any() == true)
            .Select(revision => (Revision: revision, Newest: RigsOf(revision).SelectMany(rig => Verdicts(ReferenceRow.Of(c, null, rig, RigBook.LastCalibration(c, null, rig))).GroupBy(r => r.Row.Reference).Select(g => (Rig: rig, Reference: g.Key, g.Last().Verdict))).ToList()))
            .Where(p => p.Newest.Count > 0).ToList();
        var looked = products.Sum(p => p.Newest.Sum(n => n.Verdict.Readings.Count));
        return products.ConvertAll(p =>
        {
            var farthest = p.Newest.SelectMany(n => n.Verdict.Readings).MaxBy(r => Math.Abs(r.Sigma))!;
            var name = (string id) => p.Revision.Product.References!.Units.FirstOrDefault(u => u.Id == id)?.Name ?? id;
            return new ReferenceAgeingView(p.Revision.Product.Id, farthest.Name,
                ReferenceAgeing.Of([.. p.Newest.SelectMany(n => n.Verdict.Readings.Where(r => r.Id == farthest.Id).Select(r => new ReferenceShift(n.Rig, name(n.Reference), r.Sigma)))], looked));
        });
    }

    static IEnumerable<string> RigsOf(RouteRevision revision) => revision.Line.Stations.Where(s => revision.StepOf(s.Step) is { Kind: StepKind.LoadTest }).Select(s => s.Id);
}
