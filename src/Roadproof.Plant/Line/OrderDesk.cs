using System.Globalization;

namespace Roadproof.Plant.Line;

/// <summary>The orders of a line whose product has variants: opened one for each variant, started one after the other, ended when their units are through; and the stations cleared in between.</summary>
/// <remarks>How the orders stand is read from the server on each round: where pages are open, a visitor may start and end orders too, and the line builds what runs.</remarks>
sealed class OrderDesk(LineAtWork line, IReadOnlyList<LineVariant> variants)
{
    /// <summary>Where nobody knows how many will be built, each order is for so many.</summary>
    const int UnitsPerOrder = 20;

    /// <summary>Looking through a station, and carrying one lot back to the store (common practice, no source).</summary>
    const double LookThroughS = 25, CarryBackS = 15;

    readonly HashSet<string> _cleared = new(StringComparer.Ordinal);
    int _opened;

    /// <summary>What new units are built for; null where nothing runs.</summary>
    public SeenOrder? Running { get; private set; }

    /// <summary>The running order takes one more unit.</summary>
    public bool HasPlace => Running is { } order && !IsFull(order);

    /// <summary>Every order has ended, and no other comes.</summary>
    public bool IsDone { get; private set; }

    DemoDay Day => line.Day;

    /// <summary>Something of another order was carried away from the station.</summary>
    public bool HasCleared(string station) => _cleared.Contains(station);

    /// <summary>The shift lead looks at the orders: starts the next where the running one is full, and ends what is through.</summary>
    public async Task Round()
    {
        var orders = await Look();
        if (Running is null || (IsFull(Running) && !IsAnyBeforeItsFirstStep(Running)))
        {
            if (Next(orders) is null && await OpenMore()) orders = await Look();
            if (Next(orders) is { } next && !Day.IsMainDone) await Day.Door.StartOrder(Key(), next.Order, Running?.Order, Day.Time.Now, Day.Crew.ShiftLead);
        }

        foreach (var order in orders.Where(o => !HasEnded(o) && IsThrough(o)))
            await Day.Door.EndOrder(Key(), order.Order, WhyShort(order), Day.Time.Now, Day.Crew.ShiftLead);
        orders = await Look();
        IsDone = (_opened > 0 || line.Planned == 0) && orders.All(HasEnded);
    }

    /// <summary>Before the first unit of another order: what that order does not take is carried back to the store, and whoever works here says that the station is clear.</summary>
    public async IAsyncEnumerable<Pause> MakeReady(Workplace at, UnitOnLine unit)
    {
        if (unit.Order is not { } order || !at.Step.AsksVariant || await Day.Door.Clearing(at.Id, order.Order) is not { } clearing) yield break;
        yield return Pause.Seconds(LookThroughS);
        foreach (var lot in clearing.Lots)
        {
            await Day.Door.BackToStore(Key(), lot, Day.Time.Now, at.Person);
            yield return Pause.Seconds(CarryBackS);
        }

        if (await Day.Door.Clear(Day.Key(at.Id), at.Id, order.Order, Day.Time.Now, at.Person)) _cleared.Add(at.Id);
    }

    async Task<IReadOnlyList<SeenOrder>> Look()
    {
        var orders = (await Day.Door.Orders()).Where(o => o.Product == line.Route.Product.Id).OrderBy(o => o.Order, StringComparer.Ordinal).ToList();
        Running = orders.Find(o => o.State == "running");
        return orders;
    }

    SeenOrder? Next(IReadOnlyList<SeenOrder> orders) => orders.FirstOrDefault(o => o.State is "open" or "interrupted" && !IsFull(o));

    /// <summary>One order for each variant: of all that will be built, or of the next that are built without end.</summary>
    async Task<bool> OpenMore()
    {
        if (Day.IsMainDone || (line.Planned is not null && _opened > 0)) return false;
        for (var i = 0; i < variants.Count; i++)
        {
            var quantity = line.Planned is { } planned ? (planned + variants.Count - 1 - i) / variants.Count : UnitsPerOrder;
            if (quantity == 0) break;
            var number = ++_opened;
            var prefix = line.Route.Line.SerialPrefix is { Length: > 0 } letters ? letters : line.Route.Line.Id;
            var customers = line.Route.Plant.Customers;
            var code = string.Create(CultureInfo.InvariantCulture, $"{prefix}-{number:000}");
            await Day.Door.OpenOrder(Key(), code, line.Route.Product.Id, variants[i].Id, quantity, customers[(number - 1) % customers.Count], Day.Time.Now, Day.Crew.ShiftLead);
        }

        return _opened > 0;
    }

    // A scrapped unit is not replaced: the order then ends short, with the reason.
    bool IsFull(SeenOrder order) => order.ToStart == 0 || Of(order).Count() >= order.Quantity;

    /// <summary>Its last unit has been fetched, and the server knows nothing of it yet.</summary>
    bool IsAnyBeforeItsFirstStep(SeenOrder order) => Of(order).Any(u => u is { Next: 0, End: "building" });

    /// <summary>No unit of it is on its way any more, and none will come.</summary>
    bool IsThrough(SeenOrder order) =>
        (Day.IsMainDone || IsFull(order)) && Of(order).All(u => u.End != "building") && Day.Rack.Places.All(p => p.Stays || p.Unit.Order?.Order != order.Order);

    IEnumerable<UnitOnLine> Of(SeenOrder order) => line.Units.Where(u => u.Order?.Order == order.Order);

    static bool HasEnded(SeenOrder order) => order.State is "finished" or "ended";

    static string? WhyShort(SeenOrder order) => order.Good >= order.Quantity
        ? null : string.Create(CultureInfo.InvariantCulture, $"{order.Scrapped} scrapped, {order.UnderWay} on hold, {order.Quantity - order.Good - order.Scrapped - order.UnderWay} not started; nothing is built in their place in this shift.");

    string Key() => Day.Key("orders");
}
