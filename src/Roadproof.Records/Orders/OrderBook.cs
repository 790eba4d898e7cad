using System.Globalization;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Orders;

/// <summary>A production order as it stands.</summary>
/// <param name="Variant">Null for a product without variants.</param>
/// <param name="State">open, running, interrupted (another one runs in its place), finished, ended (short).</param>
public sealed record OrderRow(string Order, string Product, string? Variant, int Quantity, string? Customer, DateTimeOffset? Due, string State, DateTimeOffset OpenedAt, DateTimeOffset? EndedAt, string? Reason)
{
    /// <summary>The order as a person would say it: "O-7 (EU, 25 km/h)".</summary>
    public string Said(RouteRevision revision) => Variant is null ? Order : $"{Order} ({revision.VariantName(Variant)})";
}

/// <summary>How far an order is.</summary>
/// <param name="Good">Units that are through their route and free.</param>
/// <param name="UnderWay">Units that have started and are neither.</param>
public sealed record OrderCount(int Good, int Scrapped, int UnderWay);

/// <summary>A time in which an order ran on its line.</summary>
public sealed record OrderRun(long Sequence, string Order, string Line, DateTimeOffset StartedAt, DateTimeOffset? EndedAt);

/// <summary>Questions about orders, inside a decision and outside.</summary>
static class OrderBook
{
    public const string Office = "office";

    const string Columns = "o.work_order, o.product, o.variant, o.quantity, o.customer, o.due_at, o.state, o.opened_at, o.ended_at, o.reason";

    public static OrderRow? Find(SqliteConnection c, SqliteTransaction? t, string code) => c.Rows($"select {Columns} from work_order o where o.work_order = @code", new { code }, t, Read).FirstOrDefault();

    /// <summary>The order that new units of a product take now; null where none runs.</summary>
    public static OrderRow? Running(SqliteConnection c, SqliteTransaction? t, string product) => c.Rows(
        $"select {Columns} from order_run r join work_order o on o.work_order = r.work_order where r.product = @product and r.ended_at is null order by r.sequence desc limit 1",
        new { product }, t, Read).FirstOrDefault();

    /// <summary>The order that ran at a time: a report that comes late is of the order that ran when it happened.</summary>
    public static OrderRow? RunningAt(SqliteConnection c, SqliteTransaction? t, string product, DateTimeOffset time) => c.Rows(
        $"""
        select {Columns} from order_run r join work_order o on o.work_order = r.work_order
        where r.product = @product and r.started_at <= @when and (r.ended_at is null or r.ended_at > @when) order by r.sequence desc limit 1
        """,
        new { product, when = Utc.Text(time) }, t, Read).FirstOrDefault();

    /// <summary>The last run of an order of a product, ended or not.</summary>
    public static OrderRun? LastRun(SqliteConnection c, SqliteTransaction? t, string product) => c.Rows(
        "select sequence, work_order, line, started_at, ended_at from order_run where product = @product order by sequence desc limit 1", new { product }, t,
        row => new OrderRun(row.GetInt64(0), row.GetString(1), row.GetString(2), Utc.Read(row.GetString(3)), Utc.ReadOrNull(row.Text(4)))).FirstOrDefault();

    public static OrderCount Count(SqliteConnection c, SqliteTransaction? t, string order) => c.Rows(
        """
        select coalesce(sum(next_step is null and state not in ('held', 'scrapped')), 0), coalesce(sum(state = 'scrapped'), 0), count(*) from unit where work_order = @order
        """,
        new { order }, t, row => new OrderCount((int)row.GetInt64(0), (int)row.GetInt64(1), (int)(row.GetInt64(2) - row.GetInt64(0) - row.GetInt64(1)))).Single();

    /// <summary>The order that a message is about: the unit's own; of a unit that has none yet, the one that it takes.</summary>
    public static OrderRow? Of(SqliteConnection c, SqliteTransaction? t, UnitRow? unit, StationMessage said, RouteRevision revision)
    {
        if (unit?.Order is { } own) return Find(c, t, own);
        // What was built before there were orders stays without; where variants are, nothing can be judged without one.
        if (unit is not null && revision.Product.Variants.Count == 0) return null;
        return said.Kind == "report" ? RunningAt(c, t, revision.Product.Id, said.OccurredAt) : Running(c, t, revision.Product.Id);
    }

    /// <summary>The order that a unit was built for, and its revision as that order's variant goes it; no order leaves both as they are.</summary>
    public static (OrderRow? Order, RouteRevision Revision) Built(SqliteConnection c, SqliteTransaction? t, UnitRow? unit, RouteRevision revision)
    {
        var order = unit?.Order is { } own ? Find(c, t, own) : null;
        return (order, revision.For(revision.VariantOf(order?.Variant)));
    }

    public static Refusal Unknown(string order) => new($"Order {order} is not known.", "Look at the order again, or open it first.", "an order that was opened", order);

    /// <returns>What is wrong with an order's code; null where nothing is.</returns>
    public static InputError? WrongCode(string source, int line, string? code) => code switch
    {
        _ when string.IsNullOrWhiteSpace(code) => new(source, line, "order", "nothing", "the order's code"),
        { Length: > SenderKey.Longest } => new(source, line, "order", $"{Text(code.Length)} characters", $"at most {Text(SenderKey.Longest)} characters"),
        _ when code.Any(char.IsControl) || code.AsSpan().IndexOfAny(" ;|/") >= 0 => new(source, line, "order", $"'{code}'", "a code without spaces, semicolons, bars and slashes"),
        _ => null,
    };

    public static string Text(long number) => number.ToString(CultureInfo.InvariantCulture);

    static OrderRow Read(SqliteDataReader row) => new(
        row.GetString(0), row.GetString(1), row.Text(2), (int)row.GetInt64(3), row.Text(4), Utc.ReadOrNull(row.Text(5)), row.GetString(6), Utc.Read(row.GetString(7)), Utc.ReadOrNull(row.Text(8)), row.Text(9));
}
