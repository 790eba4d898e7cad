using Microsoft.Data.Sqlite;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.ReadModel;

/// <summary>How the rigs of a product read the ordinary units that each was given, and how many of those passed only on retest.</summary>
static class LikeUnitQuery
{
    // A few days of a line: older units were made of other lots, and the rigs have moved since.
    const int NewestUnits = 400;

    const int NewestRuns = 5_000;

    sealed record FirstRun(string Unit, string Rig, IReadOnlyDictionary<string, double> Sigmas, long Sequence);

    public static (IReadOnlyList<LikeUnitsPair> Pairs, IReadOnlyList<UntoldPair> Untold, JudgedReadings Judged) Compare(SqliteConnection c, RouteRevision revision, IReadOnlyList<string> rigs)
    {
        var runs = Runs(c, revision);
        var (pairs, untold) = (new List<(Engineering.Judging.ExpectationReading Of, LikeUnitsDifference Difference)>(), new List<UntoldPair>());
        var judged = new JudgedReadings(c, runs.Count == 0 ? null : runs[0].Sequence, [.. runs.Select(r => (r.Rig, r.Sigmas))]);
        var asked = Math.Max(1, judged.Count * rigs.Count * (rigs.Count - 1) / 2);
        var (known, lots) = (runs.Count == 0 ? [] : Known(c, runs[0]), Lots(c, revision, runs));
        var since = rigs.ToDictionary(r => r, r => RigBook.LastCalibration(c, null, r), StringComparer.Ordinal);
        foreach (var (first, second) in from i in Enumerable.Range(0, rigs.Count) from j in Enumerable.Range(i + 1, rigs.Count - i - 1) select (rigs[i], rigs[j]))
        {
            // The same time for both: since the later of the two was put right.
            var both = runs.FindAll(r => (r.Rig == first || r.Rig == second) && r.Sequence > Math.Max(since[first], since[second]));
            var found = known.Select(e => (Of: e, Difference: LikeUnits.Compare(first, second, [.. both.Where(r => r.Sigmas.ContainsKey(e.Id)).Select(r => new LikeUnit(r.Rig, lots[r.Unit], e.StandardDeviation * r.Sigmas[e.Id]))], asked)))
                .Where(d => d.Difference is not null).Select(d => (d.Of, d.Difference!)).ToList();
            if (found.Count == 0) untold.Add(new(first, second, both.Count(r => r.Rig == first), both.Count(r => r.Rig == second)));
            pairs.AddRange(found);
        }

        return ([.. pairs.GroupBy(p => p.Of.Id).SelectMany(g => g.Zip(
            judged.Weigh(g.Key, [.. g.Select(p => (p.Difference.First, p.Difference.Second, p.Difference.Difference, p.Difference.Interval, p.Difference.Together))], new Dictionary<string, Engineering.Quantities.Interval>()),
            (p, weight) => new LikeUnitsPair(p.Of.Id, p.Of.Name, p.Of.Unit, p.Difference, weight)))], untold, judged);
    }

    /// <summary>Of the newest first runs of each rig: how many were not passed, and passed when tried again without a repair.</summary>
    public static IReadOnlyList<RigRetests> Retests(SqliteConnection c, RouteRevision revision, IReadOnlyList<string> rigs)
    {
        var step = revision.Steps.First(s => s.Kind == StepKind.LoadTest).Id;
        return [.. rigs.Select(rig =>
        {
            var (runs, stopped, passed) = c.Rows(
                """
                select count(*), coalesce(sum(verdict <> 'pass'), 0), coalesce(sum(verdict <> 'pass' and exists (
                    select 1 from unit_step m where m.unit = n.unit and m.step = n.step and m.attempt > 1 and m.verdict = 'pass'
                      and not exists (select 1 from unit_step b where b.unit = n.unit and b.step = n.step and b.attempt < m.attempt and b.repaired = 1))), 0)
                from (select * from unit_step f where f.station = @rig and f.step = @step and f.attempt = 1 and f.verdict in ('pass', 'fail', 'hold')
                    and exists (select 1 from load_test l where l.step_sequence = f.sequence and l.state = 'judged') order by f.ended_at desc limit @NewestRuns) n
                """,
                new { rig, step, NewestRuns }, null, row => (row.GetInt32(0), row.GetInt32(1), row.GetInt32(2)))[0];
            if (runs == 0) return new RigRetests(rig, 0, 0, 0, null);
            var (lower, upper) = Figures.ShareInterval(passed, runs);
            return new(rig, runs, stopped, passed, new(lower, upper, 0.95));
        })];
    }

    /// <returns>The newest first.</returns>
    static List<FirstRun> Runs(SqliteConnection c, RouteRevision revision) => c.Rows(
        """
        select l.unit, l.rig, r.sigmas, l.sequence from load_test l join unit_residual r on r.unit = l.unit and r.rig = l.rig join unit u on u.unit = l.unit
        where l.attempt = 1 and l.state = 'judged' and u.product = @product order by l.sequence desc limit @NewestUnits
        """,
        new { product = revision.Product.Id, NewestUnits }, null,
        row => new FirstRun(row.GetString(0), row.GetString(1), RecordJson.Read<Dictionary<string, double>>(row.GetString(2)), row.GetInt64(3))).DistinctBy(r => r.Unit).ToList();

    // Names, units and scatter of the characteristics, as the newest run was judged.
    static IReadOnlyList<Engineering.Judging.ExpectationReading> Known(SqliteConnection c, FirstRun newest) =>
        RecordJson.Read<LoadTestVerdict>(c.Rows("select judgement from load_test where sequence = @Sequence", new { newest.Sequence }, null, row => row.GetString(0))[0]).Expectations;

    // What was in the unit when it ran, in the parts that were built for it too.
    static Dictionary<string, IReadOnlyDictionary<string, string>> Lots(SqliteConnection c, RouteRevision revision, List<FirstRun> runs)
    {
        var watched = revision.Parts.Where(p => p.Moves.Count > 0 && p.Product is null).Select(p => p.Id).ToHashSet(StringComparer.Ordinal);
        var found = c.Rows(
            """
            with run(unit, ran) as (select json_extract(value, '$.unit'), json_extract(value, '$.sequence') from json_each(@runs)),
              inside(owner, unit, ran) as (select unit, unit, ran from run union select r.unit, p.built_unit, r.ran from run r join part_use p on p.unit = r.unit where p.built_unit is not null and p.sequence < r.ran and (p.replaced is null or p.replaced > r.ran))
            select distinct i.owner, p.part, p.lot from inside i join part_use p on p.unit = i.unit where p.lot is not null and p.sequence < i.ran and (p.replaced is null or p.replaced > i.ran) order by 1, 2, 3
            """,
            new { runs = RecordJson.Text(runs.Select(r => new { r.Unit, r.Sequence })) }, null, row => (Unit: row.GetString(0), Part: row.GetString(1), Lot: row.GetString(2)))
            .Where(l => watched.Contains(l.Part)).ToLookup(l => l.Unit, StringComparer.Ordinal);
        return runs.ToDictionary(
            r => r.Unit, IReadOnlyDictionary<string, string> (r) => found[r.Unit].GroupBy(l => l.Part, StringComparer.Ordinal).ToDictionary(g => g.Key, g => string.Join('+', g.Select(l => l.Lot)), StringComparer.Ordinal), StringComparer.Ordinal);
    }
}
