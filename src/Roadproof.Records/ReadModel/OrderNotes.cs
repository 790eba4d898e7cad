using System.Globalization;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Messages;
using Roadproof.Records.Orders;

namespace Roadproof.Records.ReadModel;

/// <summary>What keeps a line from building the next unit for somebody: no order, a full one, a station that is not cleared; and an order that is late.</summary>
static class OrderNotes
{
    const string Page = "/orders";

    public static IEnumerable<Note> Of(SqliteConnection c, PlantContext plant, DateTimeOffset now)
    {
        foreach (var line in plant.Standing.Select(r => OrderQuery.OfLine(c, plant, r)))
        {
            if (line.Running is not { } order)
            {
                if (line.HasVariants) yield return new("order", 65, $"No order runs on {line.LineName}", "No new unit starts on it: nobody knows as which variant.", null, null, null, OrderBook.LastRun(c, null, line.Product)?.EndedAt ?? now, "Start an order", Page);
                continue;
            }

            var toClear = line.Changeover.Where(s => s.State == "to-clear").ToList();
            if (toClear is [var first, ..])
                yield return new("changeover", 68, $"{string.Join(", ", toClear.Select(s => s.Station))} {(toClear.Count == 1 ? "is" : "are")} to be cleared for order {order.Said}", "Until then no unit of it is taken there.",
                    first.Station, null, null, toClear.Min(s => s.Since), "Clear the station", $"/stations/{Uri.EscapeDataString(first.Station)}");
            if (order.ToStart == 0)
                yield return new("order", 46, $"Order {order.Said} has all its units under way or done", "The next shell is refused until another order is started.", null, null, null, now, "Start the next order", Page);
            if (order.Due is { } due && due < now && order.Good < order.Quantity)
                yield return new("order", 44, $"Order {order.Order} was due on {due.ToOffset(now.Offset).ToString("d MMM HH:mm", CultureInfo.InvariantCulture)}", $"{Figures.Count(order.Good)} of {Figures.Count(order.Quantity)} units are good.", null, null, null, due, "See the orders", Page);
        }
    }
}
