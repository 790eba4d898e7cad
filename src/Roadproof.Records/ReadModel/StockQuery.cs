using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;
using Roadproof.Records.Lots;
using Roadproof.Records.Messages;

namespace Roadproof.Records.ReadModel;

/// <summary>A page of lots, by part and then in the order in which they are used up, and how many there are in all.</summary>
public sealed record LotListView(int Total, IReadOnlyList<LotLine> Lots);

/// <summary>A lot in a list.</summary>
/// <param name="State">held (by itself or through a lot that went into it), used-up, expired, open: the first that holds.</param>
/// <param name="Left">Pieces by the count; never below none.</param>
/// <param name="Station">Where it lies; null in the store.</param>
/// <param name="Reason">Why it is on hold.</param>
public sealed record LotLine(
    string Lot, string Part, string PartName, string State, int Left, int Quantity, DateTimeOffset? ExpiresAt, DateTimeOffset ReceivedAt, string? Station, string? Reason);

/// <summary>What there is of every part, and where it lies.</summary>
public static class StockQuery
{
    const string Columns = "s.lot Lot, s.part Part, s.state State, s.quantity Quantity, s.used Used, s.expires_at ExpiresAt, s.received_at ReceivedAt, s.station Station, s.reason Reason";

    static readonly string Rows =
        $"""
        {LotFamily.Held}, stock as (
          select l.lot, l.part, l.quantity, l.used, l.expires_at, l.received_at, l.station, l.reason,
            case when l.lot in (select lot from held) then 'held' when l.used >= l.quantity then 'used-up' when l.expires_at < @now then 'expired' else 'open' end state
          from lot l)
        """;

    /// <param name="state">held, used-up, expired, open; null for all.</param>
    /// <param name="part">A part's id; null for all.</param>
    /// <param name="find">The beginning of a lot's code; null for all.</param>
    public static LotListView Run(SqliteConnection c, PlantContext plant, DateTimeOffset now, string? state = null, string? part = null, string? find = null, int from = 0, int count = 50)
    {
        const string where = "from stock s where (@state is null or s.state = @state) and (@part is null or s.part = @part) and (@find is null or (s.lot >= @find and s.lot < @until))";
        var asked = new { now = Utc.Text(now), state, part, find, until = find + "\uffff", from, count };
        var rows = c.Query<Row>($"{Rows} select {Columns} {where} order by s.part, {FirstOut.Order("s")} limit @count offset @from", asked);
        return new(c.ExecuteScalar<int>($"{Rows} select count(*) {where}", asked), [.. rows.Select(r => Line(r, c, plant))]);
    }

    /// <summary>Whether a scanned code is a lot's and no unit's.</summary>
    public static bool IsLot(SqliteConnection c, string code) =>
        c.ExecuteScalar<bool>("select exists (select 1 from lot where lot = @code) and not exists (select 1 from unit where unit = @code or serial = @code)", new { code });

    /// <summary>Lots that lie at a station. One that is used up is named while no other of its part lies there: the next has to be brought.</summary>
    public static IReadOnlyList<StationStock> At(SqliteConnection c, PlantContext plant, string station, DateTimeOffset now)
    {
        var asked = new { now = Utc.Text(now), station };
        var rows = c.Query<Row>($"{Rows} select {Columns} from stock s where s.station = @station order by s.part, {FirstOut.Order("s")}", asked).AsList();
        var stock =
            from row in rows
            where row.State != "used-up" || rows.All(r => r.Part != row.Part || r.State == "used-up")
            let first = rows.Find(r => r.Part == row.Part && r.State == "open")?.Lot == row.Lot
            select new StationStock(row.Part, plant.PartName(row.Part), row.Lot, row.Left, Utc.ReadOrNull(row.ExpiresAt), row.State, first, first ? FirstOut.EarlierInStore(c, null, row.Lot, asked.now) : null);
        return stock.ToList();
    }

    static LotLine Line(Row r, SqliteConnection c, PlantContext plant) => new(
        r.Lot, r.Part, plant.PartName(r.Part), r.State, r.Left, (int)r.Quantity, Utc.ReadOrNull(r.ExpiresAt), Utc.Read(r.ReceivedAt), r.Station,
        r.State != "held" ? null : r.Reason ?? LotFamily.HeldSources(c, null, r.Lot).Select(s => $"{s.Lot}: {s.Reason}").FirstOrDefault());

    sealed record Row
    {
        public string Lot { get; init; } = "";
        public string Part { get; init; } = "";
        public string State { get; init; } = "";
        public long Quantity { get; init; }
        public long Used { get; init; }
        public string? ExpiresAt { get; init; }
        public string ReceivedAt { get; init; } = "";
        public string? Station { get; init; }
        public string? Reason { get; init; }

        public int Left => (int)Math.Max(0, Quantity - Used);
    }
}
