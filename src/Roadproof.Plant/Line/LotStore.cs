using System.Globalization;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Line;

/// <summary>A lot as the plant knows it.</summary>
sealed record Lot(string Code, string Part, int Quantity, DateTimeOffset? ExpiresAt, int Number);

/// <summary>What lies at the stations and in the store: one open lot of each part, the next one already received, and a few lots that nobody should take.</summary>
/// <remarks>
/// Lots are used first in, first out; the next is opened when the open one no longer holds enough or is put aside. The first grease drum was opened nearly three days before and passes its 72 h during
/// the first hour; nobody at the bench looks at the date, the scan finds it.
/// </remarks>
sealed class LotStore(PlantTime time, LineDoor door, IReadOnlyList<LinePart> parts, ulong seed)
{
    static readonly TimeSpan GreaseLeft = TimeSpan.FromMinutes(50), GreaseLife = TimeSpan.FromDays(60);
    static readonly string[] HeldSinceGoodsIn = ["gasket", "clutch"];

    static readonly Dictionary<string, Supply> Supplies = new(StringComparer.Ordinal)
    {
        ["stator"] = new("S", 48), ["rotor"] = new("R", 60), ["controller"] = new("C", 40), ["gear-set"] = new("G", 80), ["gear-set-339"] = new("GX", 80),
        ["carrier-screw"] = new("SC", 1200), ["cover-screw"] = new("SV", 1600), ["thermal-paste"] = new("TP", 60, TimeSpan.FromDays(270)), ["grease"] = new("D", 400, GreaseLife),
        ["clutch"] = new("K", 100), ["gasket"] = new("GK", 150), ["label"] = new("L", 500),
        ["magnet"] = new("M", 60), ["bearing"] = new("BR", 220), ["magnet-adhesive"] = new("MA", 300, TimeSpan.FromDays(90)), ["wire"] = new("W", 90), ["terminal"] = new("T", 1000), ["resin"] = new("RS", 200, TimeSpan.FromDays(120)),
        ["potting"] = new("PC", 150, TimeSpan.FromDays(180)), ["display-glass"] = new("DG", 120),
        ["axle-stator"] = new("AS", 48), ["magnet-ring"] = new("MR", 60), ["planet-carrier"] = new("PL", 80), ["planet-carrier-1585"] = new("PLX", 80), ["axle-cable"] = new("AC", 200),
        ["side-seal"] = new("SL", 150), ["side-screw"] = new("SM", 1200),
        ["hall-sensor"] = new("HS", 250), ["lever"] = new("LV", 120), ["lever-right"] = new("LVR", 120), ["throttle-label"] = new("TL", 300), ["throttle-label-right"] = new("TLR", 300),
    };

    readonly Dictionary<string, Shelf> _shelves = new(StringComparer.Ordinal);
    readonly Dictionary<string, Lot> _leftover = new(StringComparer.Ordinal), _held = new(StringComparer.Ordinal);
    int _receipts, _acts;

    /// <summary>The lot that is in use; lots of a part are numbered in the order in which they are opened.</summary>
    public Lot Open(string part) => _shelves[part].Open;

    public bool HasLeftover(string part) => _leftover.ContainsKey(part);

    public bool HasHeld(string part) => _held.ContainsKey(part);

    public Lot Leftover(string part) => _leftover[part];

    public Lot Held(string part) => _held[part];

    /// <summary>A lot of another part that may be scanned by mistake: the other variant of the same thing where there is one.</summary>
    public Lot Wrong(string part)
    {
        var other = parts.FirstOrDefault(parts.First(o => o.Id == part).IsLike)
            ?? parts.First(p => p.Id != part && _shelves.ContainsKey(p.Id));
        return _shelves[other.Id].Open;
    }

    /// <summary>Goods-in before the shift: two lots of every part, leftovers past their date, and what was put on hold on arrival.</summary>
    public async Task Fill(string person)
    {
        foreach (var part in parts.Where(p => p is { Shell: false, Product: null }))
        {
            var shelf = new Shelf(NumberFrom(part.Id));
            _shelves[part.Id] = shelf;
            var isGrease = part.Id == "grease";
            shelf.Open = await Receive(Make(part.Id, shelf, 1, isGrease ? time.Now + GreaseLeft : null), person);
            shelf.Next = await Receive(Make(part.Id, shelf, 2, null), person);

            if (SupplyOf(part.Id).ShelfLife is not null)
                _leftover[part.Id] = await Receive(Make(part.Id, shelf, -1, null) with { Quantity = 7, ExpiresAt = time.Now.AddDays(-1) }, person);
            if (HeldSinceGoodsIn.Contains(part.Id))
            {
                var held = await Receive(Make(part.Id, shelf, -2, null), person);
                _held[part.Id] = held;
                await door.HoldLot(Names.Key("goods-in", ++_acts), held.Code, "burrs found at goods-in, waits for the supplier's answer", time.Now, person);
            }
        }
    }

    /// <summary>Takes pieces of the open lot; opens the next where it holds too few.</summary>
    public async Task<SaidPart> Take(string part, int quantity, string person)
    {
        var shelf = _shelves[part];
        if (shelf.Open.Quantity - shelf.Used < quantity) await OpenNext(shelf, person);
        shelf.Used += quantity;
        var serial = parts.First(p => p.Id == part).Serialised ? string.Create(CultureInfo.InvariantCulture, $"{shelf.Open.Code}-{shelf.Used:000}") : null;
        return new(part, shelf.Open.Code, serial);
    }

    /// <summary>Takes a lot off its shelf for good; the next is opened. A lot that lies on no shelf stays where it is.</summary>
    public async Task PutAside(string lot, string person)
    {
        foreach (var shelf in _shelves.Values)
        {
            if (shelf.Next?.Code == lot) shelf.Next = await Receive(Make(shelf.Next.Part, shelf, shelf.Next.Number + 1, null), person);
            if (shelf.Open.Code == lot) await OpenNext(shelf, person);
        }
    }

    async Task OpenNext(Shelf shelf, string person)
    {
        shelf.Open = shelf.Next!;
        shelf.Used = 0;
        shelf.Next = await Receive(Make(shelf.Open.Part, shelf, shelf.Open.Number + 1, null), person);
    }

    Lot Make(string part, Shelf shelf, int number, DateTimeOffset? expiresAt)
    {
        var supply = SupplyOf(part);
        var code = string.Create(CultureInfo.InvariantCulture, $"{supply.Letters}-{shelf.From + number:0000}");
        return new(code, part, supply.Quantity, expiresAt ?? (supply.ShelfLife is { } life ? time.Now + life : null), number);
    }

    async Task<Lot> Receive(Lot lot, string person)
    {
        await door.ReceiveLot(Names.Key("lot", ++_receipts), lot, time.Now, person);
        return lot;
    }

    int NumberFrom(string part) => 300 + (int)(new SeededNoise(seed, "lot numbers of " + part).Share() * 500);

    static Supply SupplyOf(string part) => Supplies.TryGetValue(part, out var supply) ? supply : new(part.ToUpperInvariant(), 100);

    sealed record Supply(string Letters, int Quantity, TimeSpan? ShelfLife = null);

    sealed class Shelf(int from)
    {
        public int From { get; } = from;
        public Lot Open { get; set; } = null!;
        public Lot? Next { get; set; }
        public int Used { get; set; }
    }
}
