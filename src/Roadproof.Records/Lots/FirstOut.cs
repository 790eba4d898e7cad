using Dapper;
using Microsoft.Data.Sqlite;

namespace Roadproof.Records.Lots;

/// <summary>The order in which lots of a part are used up: first expired, first out; of those that do not expire, or expire together, first in, first out.</summary>
static class FirstOut
{
    public static string Order(string lot) => $"coalesce({lot}.expires_at, '9999'), {lot}.received_at, {lot}.lot";

    /// <summary>The first of the open lots in the store that should have been used up before this one; null where there is none.</summary>
    public static string? EarlierInStore(SqliteConnection c, SqliteTransaction? t, string lot, string now) => c.QueryFirstOrDefault<string>(
        $"""
        {LotFamily.Held}
        select o.lot from lot own join lot o on o.part = own.part
        where own.lot = @lot and o.station is null and o.used < o.quantity and (o.expires_at is null or o.expires_at >= @now) and o.lot not in (select lot from held)
          and ({Order("o")}) < ({Order("own")})
        order by {Order("o")} limit 1
        """,
        new { lot, now }, t);
}
