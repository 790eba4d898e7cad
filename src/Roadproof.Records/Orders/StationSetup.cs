using Microsoft.Data.Sqlite;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;

namespace Roadproof.Records.Orders;

/// <summary>What a station is set up for: the order and variant whose parts, firmware and label are there.</summary>
/// <param name="Order">Null where it was never set up for one.</param>
/// <param name="Asked">The order for which it has to be cleared; until then it takes no unit of that order.</param>
/// <param name="Person">Who cleared it; null where an order's start left it as it was.</param>
sealed record StationSetup(string Station, string? Order, string? Variant, string? Asked, DateTimeOffset Since, string? Person)
{
    /// <param name="at">For what happened earlier: what stood then.</param>
    public static StationSetup? Last(SqliteConnection c, SqliteTransaction? t, string station, DateTimeOffset? at = null) => c.Rows(
        "select work_order, variant, asked, since, person from station_setup where station = @station and since <= @until order by sequence desc limit 1",
        new { station, until = at is { } time ? Utc.Text(time) : "9" }, t,
        row => new StationSetup(station, row.Text(0), row.Text(1), row.Text(2), Utc.Read(row.GetString(3)), row.Text(4))).FirstOrDefault();

    /// <summary>The station's own step does not fit a unit of an order before it has been cleared for it.</summary>
    public static bool IsNotFor(StationSetup? setup, OrderRow order, RouteRevision revision, string step) =>
        setup is null || setup.Asked == order.Order || revision.Differs(step, setup.Variant, order.Variant);
}

/// <summary>A lot that lies where nothing takes it.</summary>
/// <param name="Left">By the count; counts drift, and an empty tray may hold a piece.</param>
public sealed record LotLeftOver(string Lot, string Part, int Left);

/// <summary>The lots at a station that a step does not take: what the order before has left there.</summary>
static class LeftOver
{
    /// <param name="step">As a unit of the order goes it.</param>
    public static IReadOnlyList<LotLeftOver> At(SqliteConnection c, SqliteTransaction? t, string station, RouteStep step)
    {
        // A lot lies where it was used last, unless it was carried away since.
        var there = c.Rows(
            """
            select l.lot, l.part, max(0, l.quantity - l.used), max(coalesce(o.sequence, 0), coalesce(l.moved, 0)) last from lot l left join lot_opening o on o.lot = l.lot
            where case when o.sequence > coalesce(l.moved, 0) then o.station else l.station end = @station order by l.part, l.lot
            """,
            new { station }, t, row => (Lot: new LotLeftOver(row.GetString(0), row.GetString(1), (int)row.GetInt64(2)), Last: row.GetInt64(3)));
        return
        [
            .. from of in there.Where(l => step.Parts.All(p => p.Part != l.Lot.Part)).GroupBy(l => l.Lot.Part)
               from lot in of
               // Of those that are used up by the count only the tray that was worked from last can still be there.
               where lot.Lot.Left > 0 || (of.All(o => o.Lot.Left == 0) && lot.Last == of.Max(o => o.Last))
               select lot.Lot,
        ];
    }
}
