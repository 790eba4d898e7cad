using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Orders;

/// <summary>Lays out what happened to an order and to the stations that it runs over.</summary>
static class OrderRecord
{
    public static void Opened(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var said = RecordJson.Read<OrderOpenedBody>(record.Body).Said;
        c.Run(
            """
            insert into work_order (work_order, product, variant, quantity, customer, due_at, state, opened_at, sequence)
            values (@Order, @Product, @Variant, @Quantity, @Customer, @due, 'open', @opened, @Sequence)
            """,
            new { said.Order, said.Product, said.Variant, said.Quantity, said.Customer, due = said.Due is { } due ? Utc.Text(due) : null, opened = Utc.Text(record.OccurredAt), record.Sequence }, t);
    }

    public static void Started(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var d = RecordJson.Read<OrderStartedBody>(record.Body).Decided;
        var started = Utc.Text(record.OccurredAt);
        if (d.Replaced is { } replaced)
        {
            EndRun(c, t, replaced, started);
            c.Run("update work_order set state = 'interrupted' where work_order = @replaced", new { replaced }, t);
        }

        c.Run("insert into order_run (sequence, work_order, product, line, started_at) values (@Sequence, @Order, @Product, @Line, @started)", new { record.Sequence, d.Order, d.Product, d.Line, started }, t);
        c.Run("update work_order set state = 'running' where work_order = @Order", new { d.Order }, t);
        foreach (var station in d.Kept) SetUp(c, t, record, new(station, d.Order, d.Variant, null, record.OccurredAt, null));
        foreach (var station in d.Clear)
        {
            var before = StationSetup.Last(c, t, station);
            SetUp(c, t, record, new(station, before?.Order, before?.Variant, d.Order, record.OccurredAt, null));
        }
    }

    public static void Ended(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var (said, d) = RecordJson.Read<OrderEndedBody>(record.Body);
        var ended = Utc.Text(record.OccurredAt);
        EndRun(c, t, d.Order, ended);
        c.Run("update work_order set state = @State, ended_at = @ended, reason = @Reason where work_order = @Order", new { d.State, ended, said.Reason, d.Order }, t);
    }

    public static void Cleared(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var d = RecordJson.Read<StationClearedBody>(record.Body).Decided;
        SetUp(c, t, record, new(d.Station, d.Order, d.Variant, d.Asked, record.OccurredAt, record.Person));
    }

    static void EndRun(SqliteConnection c, SqliteTransaction t, string order, string ended) =>
        c.Run("update order_run set ended_at = @ended where work_order = @order and ended_at is null", new { order, ended }, t);

    static void SetUp(SqliteConnection c, SqliteTransaction t, LedgerRecord record, StationSetup setup) => c.Run(
        "insert into station_setup (station, sequence, work_order, variant, asked, since, person) values (@Station, @Sequence, @Order, @Variant, @Asked, @from, @Person)",
        new { setup.Station, record.Sequence, setup.Order, setup.Variant, setup.Asked, from = Utc.Text(setup.Since), setup.Person }, t);
}
