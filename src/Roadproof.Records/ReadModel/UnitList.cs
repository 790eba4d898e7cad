using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;

namespace Roadproof.Records.ReadModel;

/// <summary>A page of units, newest first, and how many there are in all.</summary>
public sealed record UnitListView(int Total, IReadOnlyList<UnitLine> Units);

/// <summary>A unit in a list.</summary>
/// <param name="Word">Why it is on hold, where it went, or what comes next.</param>
public sealed record UnitLine(string Unit, string? Serial, string State, string? Station, string? NextStep, string Word, DateTimeOffset StartedAt, DateTimeOffset? EndedAt);

/// <summary>Finds units by state, and by anything that can be scanned: shell code, serial number, lot or part number.</summary>
public static class UnitList
{
    /// <param name="state">building, held, passed, shipped, scrapped; null for all.</param>
    /// <param name="product">Units of one product; null for all.</param>
    /// <param name="find">The beginning of a shell code or serial number, or a whole order, lot or part number; null for all.</param>
    public static UnitListView Run(SqliteConnection c, string? state = null, string? find = null, int from = 0, int count = 50, string? product = null)
    {
        const string where =
            """
            from unit u
            where (@state is null or u.state = @state) and (@product is null or u.product = @product)
              and (@find is null or u.unit in (
                select unit from unit where unit >= @find and unit < @until
                union select unit from unit where serial >= @find and serial < @until
                union select unit from unit where work_order = @find
                union select unit from part_use where lot = @find
                union select unit from part_use where serial = @find))
            """;
        var asked = new { state, product, find = string.IsNullOrWhiteSpace(find) ? null : find.Trim(), until = find?.Trim() + "\uffff", from, count };
        var rows = c.Query<Row>(
            $"""
            select u.unit Unit, u.serial Serial, u.state State, s.station Station, u.next_step NextStep, u.customer Customer, u.scrap_reason ScrapReason, u.started_at StartedAt,
              coalesce(u.scrapped_at, u.shipped_at) EndedAt,
              (select reason from hold h where h.unit = u.unit and h.released_at is null order by h.id limit 1) Reason
            {where.Replace("from unit u", "from unit u left join station_state s on s.unit = u.unit", StringComparison.Ordinal)}
            order by u.started_at desc, u.unit desc limit @count offset @from
            """,
            asked);
        return new(c.ExecuteScalar<int>($"select count(*) {where}", asked), rows.Select(Line).ToList());
    }

    static UnitLine Line(Row r) => new(r.Unit, r.Serial, r.State, r.Station, r.NextStep, Word(r), Utc.Read(r.StartedAt), Utc.ReadOrNull(r.EndedAt));

    static string Word(Row r) => r.State switch
    {
        "held" => r.Reason ?? "",
        "shipped" => r.Customer ?? "",
        "scrapped" => r.ScrapReason ?? "",
        _ => r.Station ?? r.NextStep ?? "",
    };

    sealed record Row
    {
        public string Unit { get; init; } = "";
        public string? Serial { get; init; }
        public string State { get; init; } = "";
        public string? Station { get; init; }
        public string? NextStep { get; init; }
        public string? Customer { get; init; }
        public string? ScrapReason { get; init; }
        public string StartedAt { get; init; } = "";
        public string? EndedAt { get; init; }
        public string? Reason { get; init; }
    }
}
