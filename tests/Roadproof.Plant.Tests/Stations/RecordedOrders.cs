using System.Text.Json;
using Roadproof.Plant.Line;

namespace Roadproof.Plant.Tests.Stations;

/// <summary>The order side of <see cref="RecordingServer"/>, small: which order runs, which unit took which, what each station is set up for and which lots lie there.</summary>
sealed class RecordedOrders
{
    readonly List<Order> _orders = [];
    readonly Dictionary<string, Order> _taken = new(StringComparer.Ordinal), _setUp = new(StringComparer.Ordinal);
    readonly Dictionary<string, (string Station, string Variant)> _lying = new(StringComparer.Ordinal);

    Order? Running => _orders.Find(o => o.State == "running");

    public object List() => new { orders = _orders.Select(o => new { o.Code, order = o.Code, o.Product, o.Variant, o.Quantity, o.Customer, o.State, o.Good, o.Scrapped, underWay = Taken(o) - o.Good - o.Scrapped, toStart = o.Quantity - Taken(o) + o.Scrapped }) };

    public object Open(string body)
    {
        var said = JsonDocument.Parse(body).RootElement;
        string Word(string name) => said.GetProperty(name).GetString()!;
        _orders.Add(new() { Code = Word("order"), Product = Word("product"), Variant = Word("variant"), Customer = Word("customer"), Quantity = said.GetProperty("quantity").GetInt32() });
        return new { };
    }

    public bool Act(string code, string act, string body)
    {
        var (order, said) = (_orders.First(o => o.Code == code), JsonDocument.Parse(body).RootElement);
        var why = said.TryGetProperty(act == "start" ? "instead" : "reason", out var word) ? word.GetString() : null;
        if (act == "start")
        {
            if (Running?.Code != why) return false;
            Running?.State = "interrupted";
            order.State = "running";
            return true;
        }

        if (order.Good < order.Quantity && why is null) return false;
        order.State = order.Good < order.Quantity ? "ended" : "finished";
        return true;
    }

    public object Station(string station, string code)
    {
        var variant = _orders.First(o => o.Code == code).Variant;
        return _setUp.TryGetValue(station, out var set) && set.Variant != variant
            ? new { clearing = new { lots = _lying.Where(l => l.Value.Station == station && l.Value.Variant != variant).Select(l => new { lot = l.Key, left = 1 }) } } : new { };
    }

    public bool CarriedBack(string lot) => _lying.Remove(lot);

    public bool Clear(string station, string body)
    {
        var order = _orders.First(o => o.Code == JsonDocument.Parse(body).RootElement.GetProperty("order").GetString());
        if (_lying.Values.Any(l => l.Station == station && l.Variant != order.Variant)) return false;
        _setUp[station] = order;
        return true;
    }

    /// <returns>Why a unit is not built here now; null where nothing is against it.</returns>
    public string? Refuses(string shell, string station, LineStep step)
    {
        if (!_taken.TryGetValue(shell, out var order))
        {
            if (Running is not { } running) return "No order runs.";
            if (Taken(running) - running.Scrapped >= running.Quantity) return $"Order {running.Code} is full.";
            order = running;
        }

        if (step.AsksVariant && _setUp.TryAdd(station, order) is false && _setUp[station].Variant != order.Variant) return $"{station} is not cleared for order {order.Code}.";
        _taken[shell] = order;
        return null;
    }

    public string VariantOf(string shell) => _taken[shell].Variant;

    /// <summary>A lot of the variant lies from now on where it was used.</summary>
    public void Used(string station, string shell, LineStep step, Saying said)
    {
        foreach (var part in said.Parts?.Where(p => p.Lot is not null && step.AsksVariant) ?? []) _lying[part.Lot!] = (station, VariantOf(shell));
    }

    public void Ended(string shell, string state)
    {
        if (!_taken.TryGetValue(shell, out var order)) return;
        if (state == "shipped") order.Good++;
        if (state == "scrapped") order.Scrapped++;
    }

    int Taken(Order order) => _taken.Values.Count(o => o == order);

    sealed class Order
    {
        public string Code { get; init; } = "";
        public string Product { get; init; } = "";
        public string Variant { get; init; } = "";
        public string Customer { get; init; } = "";
        public int Quantity { get; init; }
        public string State { get; set; } = "open";
        public int Good { get; set; }
        public int Scrapped { get; set; }
    }
}
