using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;
using Roadproof.Records.Orders;

namespace Roadproof.Records.ReadModel;

/// <summary>Production orders, what runs on each line, and where a changeover stands.</summary>
public static class OrderQuery
{
    const int ShownEnded = 50;

    /// <summary>The lines with what runs on them, and the orders: running and interrupted ones, open ones by due date, the last that ended.</summary>
    public static OrderListView Run(SqliteConnection c, PlantContext plant, string? state = null)
    {
        var codes = c.Query<string>(
            """
            select work_order from work_order where (@state is null or state = @state)
            order by case state when 'running' then 0 when 'interrupted' then 1 when 'open' then 2 else 3 end, case when state in ('finished', 'ended') then 0 else 1 end,
              case when state in ('finished', 'ended') then -sequence end, due_at is null, due_at, sequence
            """,
            new { state }).AsList();
        var orders = codes.Select(code => Of(c, plant, code)!).ToList();
        var ended = orders.Where(o => o.EndedAt is not null).Skip(ShownEnded).ToHashSet();
        return new([.. plant.Standing.Select(r => OfLine(c, plant, r))], [.. orders.Where(o => !ended.Contains(o))]);
    }

    /// <returns>Null where no order has that code.</returns>
    public static OrderLine? Of(SqliteConnection c, PlantContext plant, string code)
    {
        if (OrderBook.Find(c, null, code) is not { } o) return null;
        var revision = plant.Standing.FirstOrDefault(r => r.Product.Id == o.Product);
        var count = OrderBook.Count(c, null, code);
        var (line, started) = c.QueryFirstOrDefault<(string?, string?)>("select line, started_at from order_run where work_order = @code order by sequence limit 1", new { code });
        return new(
            o.Order, o.Product, revision?.Product.Name ?? o.Product, revision?.Line.Id ?? line, o.Variant, o.Variant is null ? null : revision?.VariantName(o.Variant) ?? o.Variant, o.Quantity, o.Customer, o.Due, o.State,
            count.Good, count.Scrapped, count.UnderWay, o.OpenedAt, Utc.ReadOrNull(started), o.EndedAt, o.Reason);
    }

    /// <summary>The order that new units of a line take; null where none runs.</summary>
    public static OrderLine? Running(SqliteConnection c, PlantContext plant, RouteRevision revision) =>
        OrderBook.Running(c, null, revision.Product.Id) is { } running ? Of(c, plant, running.Order) : null;

    public static LineOrders OfLine(SqliteConnection c, PlantContext plant, RouteRevision revision) => new(
        revision.Line.Id, revision.Line.Name, revision.Product.Id, revision.Product.Name, revision.Product.Variants.Count > 0, Running(c, plant, revision), Changeover(c, revision));

    /// <summary>The stations that have to be cleared for the running order, and those that have been since it was started.</summary>
    public static IReadOnlyList<ChangeoverStation> Changeover(SqliteConnection c, RouteRevision revision)
    {
        if (OrderBook.LastRun(c, null, revision.Product.Id) is not { } run || OrderBook.Find(c, null, run.Order) is not { } order) return [];
        var stations =
            from station in revision.Line.Stations
            let step = revision.StepOf(station.Step)
            where step is not null && step.AsksVariant()
            let setup = StationSetup.Last(c, null, station.Id)
            // A station that came with a later revision is set up for nothing yet.
            let toClear = setup is null ? run.EndedAt is null : setup.Asked is not null
            where toClear || (setup?.Person is not null && setup.Since >= run.StartedAt)
            orderby step.Number, station.Id
            select new ChangeoverStation(station.Id, step.Number, station.Name, toClear ? "to-clear" : "cleared", setup?.Order, setup?.Person, setup?.Since ?? run.StartedAt,
                !toClear ? 0 : LeftOver.At(c, null, station.Id, revision.For(revision.VariantOf(order.Variant)).StepOf(step.Id)!).Count);
        return [.. stations];
    }

    /// <summary>What is to be done at a station before it takes a unit of an order; null where it takes one.</summary>
    /// <param name="code">The order; null takes the one that the station has to be cleared for.</param>
    public static StationClearing? Clearing(SqliteConnection c, PlantContext plant, RouteRevision revision, string station, string stepId, string? code = null)
    {
        if (revision.StepOf(stepId) is not { } step || !step.AsksVariant()) return null;
        var setup = StationSetup.Last(c, null, station);
        var wanted = code ?? (setup is null ? OrderBook.Running(c, null, revision.Product.Id)?.Order : setup.Asked);
        if (wanted is not { } asked || OrderBook.Find(c, null, asked) is not { } order || order.Product != revision.Product.Id || !StationSetup.IsNotFor(setup, order, revision, stepId)) return null;
        if (order.State != "running" && OrderBook.Count(c, null, asked).UnderWay == 0) return null;

        var (before, variant) = (revision.VariantOf(setup?.Variant), revision.VariantOf(order.Variant));
        var left = LeftOver.At(c, null, station, revision.For(variant).StepOf(stepId)!).Select(l => new LotToClear(l.Lot, plant.PartSaid(l.Part), l.Left)).ToList();
        var bring = step.Parts.Where(p => p.OfVariant).Select(p => (Before: before?.Takes(p.Part), Now: variant?.Takes(p.Part) ?? p.Part)).Where(p => p.Before != p.Now).Select(p => plant.PartSaid(p.Now)).ToList();
        var texts = step.Readings.Where(r => r.OfVariant is { } text && before?.TextOf(text) != variant?.TextOf(text)).Select(r => $"{r.Name}: {variant?.TextOf(r.OfVariant!.Value)}").ToList();
        var from = setup?.Order is { } last && OrderBook.Find(c, null, last) is { } row ? row.Said(revision) : null;
        return new(order.Order, order.Said(revision), from, left, bring, texts);
    }
}
