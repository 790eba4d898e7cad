using Microsoft.Data.Sqlite;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;

namespace Roadproof.Records.ReadModel;

/// <summary>A way in which other units are alike to one: all of the product, the same rig, the same order, the same lot of a part.</summary>
/// <param name="Id">all, rig, order, or the id of a part.</param>
/// <param name="Word">Such as "rig rig2" or "Stator S-12".</param>
/// <param name="Passed">Units with a run at hand that passed.</param>
/// <param name="Units">Units with a judged run at hand, passed or stopped.</param>
public sealed record Likeness(string Id, string Word, int Passed, int Units);

/// <summary>A judged run of another unit whose captures are at hand.</summary>
/// <param name="Revision">The route revision that the unit is built by.</param>
/// <param name="Windows">Its steady windows.</param>
/// <param name="Captures">Files at hand.</param>
public sealed record RunAlike(string Unit, int Attempt, string Rig, DateTimeOffset At, string Revision, IReadOnlyList<SteadyPoint> Windows, IReadOnlyList<UnitCapture> Captures);

/// <summary>Runs of other units of a product that one run is held against. Only runs whose captures are still at hand are looked at: as many as the plant's rule keeps.</summary>
public static class RunsAlike
{
    public const string All = "all", Rig = "rig", Order = "order";

    sealed record Run(string Unit, int Attempt, string Rig, DateTimeOffset At, bool Passed, long Step, long Sequence, string? Order);

    /// <summary>What there is to choose from, the nearest kinship first.</summary>
    public static IReadOnlyList<Likeness> Kinds(SqliteConnection c, RouteRevision revision, string unit, string rig)
    {
        var runs = AtHand(c, revision.Product.Id, unit);
        var shared = RunsBeside.SharedLots(c, revision, unit, runs.Select(r => r.Unit).Distinct(StringComparer.Ordinal));
        var order = OrderOf(c, unit);
        return
        [
            .. shared.OrderBy(s => s.StepNumber).GroupBy(s => (s.Part, s.Name, s.Lot)).Select(lot => Counted(lot.Key.Part, $"{lot.Key.Name} {lot.Key.Lot}", runs.Where(r => lot.Any(s => s.Unit == r.Unit)))),
            .. order is null ? [] : (Likeness[])[Counted(Order, $"order {order}", runs.Where(r => r.Order == order))],
            Counted(Rig, rig, runs.Where(r => r.Rig == rig)),
            Counted(All, revision.Product.Name, runs),
        ];
    }

    static Likeness Counted(string id, string word, IEnumerable<Run> runs)
    {
        var units = runs.ToLookup(r => r.Unit, StringComparer.Ordinal);
        return new(id, word, units.Count(u => u.Any(r => r.Passed)), units.Count);
    }

    /// <summary>One run of each other unit that is alike, those nearest in time to the run first.</summary>
    /// <param name="likeness">One of <see cref="Kinds"/>.</param>
    /// <param name="stoppedToo">Also of units whose runs were all stopped; else only runs that passed.</param>
    public static IReadOnlyList<RunAlike> Of(SqliteConnection c, RouteRevision revision, string unit, string rig, DateTimeOffset at, string likeness, bool stoppedToo, int most)
    {
        var runs = AtHand(c, revision.Product.Id, unit).Where(r => r.Passed || stoppedToo);
        runs = likeness switch
        {
            All => runs,
            Rig => runs.Where(r => r.Rig == rig),
            Order => OrderOf(c, unit) is { } order ? runs.Where(r => r.Order == order) : [],
            _ => runs.ToList() is var found && RunsBeside.SharedLots(c, revision, unit, found.Select(r => r.Unit)).Where(s => s.Part == likeness).Select(s => s.Unit).ToHashSet(StringComparer.Ordinal) is var with ? found.Where(r => with.Contains(r.Unit)) : [],
        };
        var nearest = runs.OrderByDescending(r => r.Attempt).DistinctBy(r => r.Unit).OrderBy(r => (r.At - at).Duration()).ThenBy(r => r.Sequence).Take(most).ToList();

        var judged = c.Rows(
            "select l.sequence, l.judgement -> '$.windows', u.revision from load_test l join unit u on u.unit = l.unit where l.sequence in (select value from json_each(@sequences))",
            new { sequences = RecordJson.Text(nearest.Select(r => r.Sequence)) }, null, row => (Sequence: row.GetInt64(0), Windows: row.GetString(1), Revision: row.GetString(2))).ToDictionary(j => j.Sequence);
        var files = c.Rows(
            "select r.sequence, r.sha256, r.name, r.state from capture_ref r where r.state = 'kept' and r.sequence in (select value from json_each(@steps)) order by r.name",
            new { steps = RecordJson.Text(nearest.Select(r => r.Step)) }, null, row => (Step: row.GetInt64(0), Capture: new UnitCapture(row.GetString(1), row.GetString(2), row.GetString(3), 0))).ToLookup(f => f.Step, f => f.Capture);
        return [.. nearest.Select(r => new RunAlike(r.Unit, r.Attempt, r.Rig, r.At, judged[r.Sequence].Revision, RecordJson.Read<IReadOnlyList<SteadyPoint>>(judged[r.Sequence].Windows), [.. files[r.Step]]))];
    }

    // The index of kept captures is as small as the plant's rule, however many runs there were. A run that was judged anew counts by its last judgement.
    static List<Run> AtHand(SqliteConnection c, string product, string unit) => c.Rows(
        """
        select l.unit, l.attempt, l.rig, l.at, s.verdict = 'pass', l.step_sequence, max(l.sequence), u.work_order
        from (select distinct unit, step, attempt from capture_ref indexed by capture_ref_kept where state = 'kept') r
        join unit_step s on s.unit = r.unit and s.step = r.step and s.attempt = r.attempt
        join load_test l on l.step_sequence = s.sequence join unit u on u.unit = l.unit
        where u.product = @product and l.unit <> @unit and l.state = 'judged' and l.judgement is not null group by l.step_sequence
        """,
        new { product, unit }, null,
        row => new Run(row.GetString(0), row.GetInt32(1), row.GetString(2), Utc.Read(row.GetString(3)), row.GetBoolean(4), row.GetInt64(5), row.GetInt64(6), row.Text(7)));

    static string? OrderOf(SqliteConnection c, string unit) => c.Rows("select work_order from unit where unit = @unit", new { unit }, null, row => row.Text(0)).FirstOrDefault();
}
