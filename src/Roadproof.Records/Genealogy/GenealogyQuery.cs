using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;
using Roadproof.Records.Lots;

namespace Roadproof.Records.Genealogy;

/// <summary>A unit that contains a lot or a part, and where it is now.</summary>
/// <param name="At">When it went in.</param>
/// <param name="Replaced">The part has come out again.</param>
/// <param name="OutAt">When it came out; null while it is in the unit.</param>
/// <param name="Place">Where a part that a repair took out is now: scrap, stock or hold; null for any other.</param>
public sealed record UnitWith(
    string Unit, string? UnitSerial, string State, string Part, string? Lot, string? PartSerial, string Where, string? Customer, string? Box, DateTimeOffset At, bool Replaced, DateTimeOffset? OutAt = null, string? Place = null);

/// <summary>A part that is, or was, in a unit.</summary>
/// <param name="At">When it went in.</param>
/// <param name="OutAt">When it came out; null while it is in the unit.</param>
/// <param name="Place">Where a part that a repair took out is now: scrap, stock or hold; null for any other.</param>
/// <param name="Why">Why the repair took it out.</param>
public sealed record PartOf(string Part, string? Lot, string? Serial, string Step, DateTimeOffset At, bool Replaced, DateTimeOffset? OutAt = null, string? Place = null, string? Why = null)
{
    /// <summary>It was in the unit at that time.</summary>
    public bool WasIn(DateTimeOffset at) => At <= at && !(OutAt <= at);
}

/// <summary>What went into what, both ways.</summary>
public static class GenealogyQuery
{
    const string Forward =
        """
        select u.unit, u.serial, u.state, p.part, p.lot, p.serial, coalesce(s.station, u.next_step, ''), u.customer, u.box, p.used_at, p.replaced is not null, p.out_at, o.place
        from part_use p join unit u on u.unit = p.unit left join station_state s on s.unit = u.unit left join part_out o on o.sequence = p.replaced
        """;

    /// <summary>Forward: the units with some of a lot, by itself or through lots that were split off it or poured together with it, in the order in which it went in.</summary>
    public static IReadOnlyList<UnitWith> UnitsWithLot(SqliteConnection connection, string lot, int from = 0, int count = int.MaxValue) =>
        Units(connection, $"{LotFamily.Touched} {Forward} where p.lot in (select lot from touched) order by p.sequence, p.part limit @count offset @from", lot, from, count, "@Lot");

    /// <summary>Forward: the units with one serialised part; more than one where it came out of the first.</summary>
    public static IReadOnlyList<UnitWith> UnitsWithPart(SqliteConnection connection, string serial) =>
        Units(connection, $"{Forward} where p.serial = @code order by p.sequence, p.part limit @count offset @from", serial, 0, int.MaxValue);

    /// <summary>Backward: everything that went into a unit, in order.</summary>
    /// <param name="code">Shell code or serial number.</param>
    public static IReadOnlyList<PartOf> PartsOf(SqliteConnection connection, string code) => connection.Rows(
        """
        select p.part, p.lot, p.serial, p.step, p.used_at, p.replaced is not null, p.out_at, o.place, o.reason
        from part_use p left join part_out o on o.sequence = p.replaced
        where p.unit = coalesce((select unit from unit where unit = @code), (select unit from unit where serial = @code)) order by p.sequence, p.part
        """,
        new { code }, null,
        row => new PartOf(row.GetString(0), Text(row, 1), Text(row, 2), row.GetString(3), Utc.Read(row.GetString(4)), row.GetBoolean(5), Utc.ReadOrNull(Text(row, 6)), Text(row, 7), Text(row, 8)));

    static List<UnitWith> Units(SqliteConnection connection, string sql, string code, int from, int count, string name = "@code")
    {
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.Parameters.AddWithValue(name, code);
        command.Parameters.AddWithValue("@from", from);
        command.Parameters.AddWithValue("@count", count);
        using var row = command.ExecuteReader();
        var units = new List<UnitWith>();
        while (row.Read())
        {
            units.Add(new(row.GetString(0), Text(row, 1), row.GetString(2), row.GetString(3), Text(row, 4), Text(row, 5), row.GetString(6), Text(row, 7), Text(row, 8),
                Utc.Read(row.GetString(9)), row.GetBoolean(10), Utc.ReadOrNull(Text(row, 11)), Text(row, 12)));
        }

        return units;
    }

    static string? Text(SqliteDataReader row, int column) => row.IsDBNull(column) ? null : row.GetString(column);
}
