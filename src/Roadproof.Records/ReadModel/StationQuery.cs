using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Marking;
using Roadproof.Records.Messages;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.ReadModel;

/// <summary>One station, as the person at it sees it.</summary>
public static class StationQuery
{
    const int ShownNext = 10;

    /// <returns>Null where the plant has no such station.</returns>
    /// <param name="clear">An order that the station is to be cleared for; null takes the one that it has to be.</param>
    public static StationView? Run(SqliteConnection c, PlantContext plant, string station, DateTimeOffset now, string? clear = null)
    {
        var at = c.QueryFirstOrDefault<(string? Unit, string? Revision, string Since, long Accepted, string? Order)>(
            "select s.unit, u.revision, s.since, s.accepted_sequence, u.work_order from station_state s left join unit u on u.unit = s.unit where s.station = @station", new { station });
        // A unit that is here is built by its own revision; the next one by the standing one.
        var here = plant.At(station);
        var revision = at.Revision is null || plant.RevisionOf(at.Revision) is var own && own.StepOf((own.StationOf(station) ?? here?.StationOf(station))?.Step ?? "") is null ? here : own;
        if (revision is null || (revision.StationOf(station) ?? here?.StationOf(station)) is not { } definition || revision.StepOf(definition.Step) is not { } asked) return null;
        var order = at.Order is { } worked ? OrderQuery.Of(c, plant, worked) : at.Unit is null || revision.Product.Variants.Count > 0 ? OrderQuery.Running(c, plant, revision) : null;
        var step = revision.For(revision.VariantOf(order?.Variant)).StepOf(asked.Id)!;
        var next = c.Query<string>(
            """
            select unit from unit where next_step = @step and product = @product and state in ('building', 'passed') and unit not in (select unit from station_state where unit is not null)
            order by ready_since, unit limit @ShownNext
            """,
            new { step = step.Id, product = revision.Product.Id, ShownNext }).AsList();
        var today = Utc.Text(new DateTimeOffset(now.Date, now.Offset));
        return new(station, step.Number, definition.Name, step.Id, step.Instruction, revision.Product.Name, revision.Line.TaktS,
            at.Unit, at.Unit is null ? null : Utc.Read(at.Since), Needs(revision, step, Number(c, step, at.Unit), order), next, LastRefusal(c, station, at.Accepted),
            c.ExecuteScalar<int>("select count(*) from unit_step where station = @station and ended_at >= @today", new { station, today }),
            Figures.Median(StationBeat.Last(c, station)), step.Caution, step.Qualification is not null || definition.Zone is not null)
        {
            Stock = StockQuery.At(c, plant, station, now),
            Order = order,
            Rig = RigBook.Standing(c, null, plant, station, now),
            Clearing = at.Unit is null ? OrderQuery.Clearing(c, plant, revision, station, asked.Id, clear) : null,
        };
    }

    /// <summary>The serial number issued to the unit that is to be marked; empty elsewhere.</summary>
    static string Number(SqliteConnection c, RouteStep step, string? unit) => step.Kind == StepKind.Mark && unit is not null ? SerialBook.OfUnit(c, unit)?.Serial ?? "" : "";

    static List<StationNeed> Needs(RouteRevision revision, RouteStep step, string number, OrderLine? order)
    {
        var parts = from p in step.Parts
                    let part = revision.Parts.FirstOrDefault(d => d.Id == p.Part)
                    select new StationNeed("part", p.Part, p.Say, p.OfVariant && order is not null && part is not null ? $"{order.Said} takes {Orders.PartSaid.Of(part)}." : p.Hint, "", null, null, 1, part?.Serialised == true, part?.Shell == true);
        var screws = step.Screws.Select(g => new StationNeed(
            "screws", g.Id, $"Tighten the {Wording.Screws(g.Name)}", $"In the order of the pattern; class {g.Class}", "N·m", g.TorqueLowerNm, g.TorqueUpperNm, g.Count, false));
        var curves = step.Readings.Where(r => r.HasOwnCurve).Select(r => new StationNeed("capture", r.Id, $"Measure {Wording.Lower(r.Name)}", "The station sends the curve by itself", r.Unit, r.Lower, r.Upper, 1, false));
        var readings = step.Readings.Where(r => !step.IsFromCurve(r)).Select(r => new StationNeed("reading", r.Id, r.Text ? r.Name : $"Read {Wording.Lower(r.Name)}", HintOf(step, r, number, order, revision.VariantOf(order?.Variant)?.Label), r.Unit, r.Lower, r.Upper, 1, false));
        var capture = step.Kind == StepKind.LoadTest ? [new StationNeed("capture", "run", "Run the load test", "The rig sends the captures by itself", "", null, null, 1, false)] : Array.Empty<StationNeed>();
        var turning = step.Functional is null ? Array.Empty<StationNeed>() : [new StationNeed("capture", FunctionalPlan.CheckId, "Turn the unit slowly", "The station sends the capture by itself", "", null, null, 1, false)];
        return [.. parts, .. screws, .. curves, .. turning, .. readings, .. capture];
    }

    static string HintOf(RouteStep step, StepReading r, string number, OrderLine? order, string? label) => r switch
    {
        { Id: MarkReadings.ReadBack } => number,
        { Equal: { } equal } => equal,
        { Id: PackReadings.Customer } when step.Kind == StepKind.Pack => string.Join(" ", new[] { order?.Customer is { } customer ? $"{customer}." : "", label is null ? "" : $"The label says {label}." }.Where(s => s.Length > 0)),
        _ => "",
    };

    static StationRefusal? LastRefusal(SqliteConnection c, string station, long accepted)
    {
        var row = c.QueryFirstOrDefault<RefusalRow>(
            "select at, item, reason, remedy, needed, found from refusal where station = @station and sequence > @accepted order by sequence desc limit 1", new { station, accepted });
        return row is null ? null : new(Utc.Read(row.At), row.Item, row.Reason, row.Remedy, row.Needed, row.Found);
    }

    sealed record RefusalRow(string At, string Item, string Reason, string Remedy, string Needed, string Found);
}
