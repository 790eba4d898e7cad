using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;

namespace Roadproof.Records.ReadModel;

/// <summary>One line at one look.</summary>
public static class LineQuery
{
    static readonly TimeSpan BeatWindow = TimeSpan.FromHours(1);

    /// <param name="now">The plant clock in the plant's own offset: a day is the plant's day.</param>
    public static LineView Run(SqliteConnection connection, PlantContext plant, RouteRevision revision, DateTimeOffset now)
    {
        var product = revision.Product.Id;
        var today = Utc.Text(new DateTimeOffset(now.Date, now.Offset));
        var head = LedgerRows.Head(connection);
        var stations = revision.Line.Stations
            .Select(s => (Station: s, Step: revision.StepOf(s.Step)))
            .Where(s => s.Step is not null)
            .OrderBy(s => s.Step!.Number)
            .Select(s => Station(connection, product, s.Station, s.Step!, today))
            .ToList();
        return new(revision.Plant.Name, revision.Line.Name, revision.Product.Name, now, revision.Line.TaktS, revision.Line.DueToday,
            stations, Figures(connection, revision, now, today), NotesQuery.Run(connection, plant, now), head.Size, head.RootHash)
        {
            Order = OrderQuery.Running(connection, plant, revision),
            Changeover = OrderQuery.Changeover(connection, revision),
        };
    }

    static StationState Station(SqliteConnection c, string product, StationDefinition station, RouteStep step, string today)
    {
        var at = c.QueryFirstOrDefault<StationRow>("select unit, since from station_state where station = @Id", new { station.Id });
        var last = c.QueryFirstOrDefault<StepRow>(
            "select began_at BeganAt, verdict, stands, word from unit_step where station = @Id and ended_at is not null order by ended_at desc limit 1", new { station.Id });
        var waiting = c.ExecuteScalar<int>(
            "select count(*) from unit where next_step = @Id and product = @product and state in ('building', 'passed') and unit not in (select unit from station_state where unit is not null)", new { step.Id, product });
        var done = c.ExecuteScalar<int>("select count(*) from unit_step where station = @Id and ended_at >= @today", new { station.Id, today });
        var beats = StationBeat.Last(c, station.Id);
        return new(station.Id, step.Number, station.Name, step.Id, State(at?.Unit, last), at?.Unit, Utc.ReadOrNull(at?.Since),
            ReadModel.Figures.Median(beats), last?.BeganAt is not null ? beats[0] : null, waiting, done, last?.Word ?? "");
    }

    // What is there now, else how the last one went.
    static string State(string? unit, StepRow? last) => unit is not null ? "running" : last?.Verdict switch
    {
        null or "waiting" => "waiting",
        "hold" when last.Stands == 1 => "pass",
        var verdict => verdict,
    };

    static LineFigures Figures(SqliteConnection c, RouteRevision revision, DateTimeOffset now, string today)
    {
        // What is not packed is done when its route is through.
        var packs = revision.Steps[^1].Kind == StepKind.Pack;
        var product = revision.Product.Id;
        var done = packs ? "shipped_at" : "case when next_step is null and scrapped_at is null then ready_since end";
        var counts = c.QueryFirst<Counts>(
            $"""
            with own as (select *, {done} done_at from unit where product = @product)
            select
              (select count(*) from own where started_at >= @today) Started,
              (select count(*) from own where done_at >= @today) Shipped,
              (select count(*) from own where state in ('building', 'held', 'passed') and next_step is not null) InProgress,
              (select count(*) from own where state = 'held') OnHold,
              (select count(*) from refusal where at >= @today and station in @stations) Refusals,
              (select count(*) from own where scrapped_at >= @today) Scrapped,
              (select count(*) from own where done_at >= @today and stopped_at is null) FirstPass,
              (select count(*) from own where (done_at >= @today and stopped_at is null) or stopped_at >= @today
                or (scrapped_at >= @today and stopped_at is null and done_at is null)) Ended
            """,
            new { today, product, stations = revision.Line.Stations.Select(s => s.Id) });
        var ended = (int)counts.Ended;
        var interval = ended > 0 ? ReadModel.Figures.ShareInterval((int)counts.FirstPass, ended) : default((double Lower, double Upper)?);
        return new((int)counts.Started, (int)counts.Shipped, (int)counts.InProgress, ended > 0 ? (double)counts.FirstPass / ended : null, interval?.Lower, interval?.Upper, ended,
            Beat(c, revision, now), (int)counts.OnHold, Holds(c, product), (int)counts.Refusals, (int)counts.Scrapped);
    }

    static double? Beat(SqliteConnection c, RouteRevision revision, DateTimeOffset now)
    {
        var done = c.Query<string>(
                "select e.ended_at from unit_step e join unit u on u.unit = e.unit where u.product = @product and e.step = @last and e.stands = 1 and e.ended_at >= @from order by e.ended_at",
                new { product = revision.Product.Id, last = revision.Steps[^1].Id, from = Utc.Text(now - BeatWindow) })
            .Select(Utc.Read).ToList();
        return ReadModel.Figures.Median(done.Zip(done.Skip(1), (a, b) => (b - a).TotalSeconds));
    }

    static List<HoldGroup> Holds(SqliteConnection c, string product) => c
        .Query<(string Reason, long Units)>(
            """
            select h.reason, count(distinct h.unit) units from hold h join unit u on u.unit = h.unit
            where h.released_at is null and u.state = 'held' and u.product = @product group by h.reason order by units desc, h.reason
            """,
            new { product })
        .Select(g => new HoldGroup(g.Reason, (int)g.Units))
        .ToList();

    sealed record StationRow(string? Unit, string Since);

    sealed record StepRow(string? BeganAt, string? Verdict, long Stands, string Word);

    sealed record Counts(long Started, long Shipped, long InProgress, long OnHold, long Refusals, long Scrapped, long FirstPass, long Ended);
}
