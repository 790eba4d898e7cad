using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Statistics;
using Roadproof.Plant.Faults;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Line;

/// <summary>One line or cell of the demo: its route, the places between its stations, its rigs, and the units it has started.</summary>
sealed class LineAtWork
{
    /// <summary>Places between two stations, and before the rigs.</summary>
    const int PlacesBetween = 2, PlacesBeforeRigs = 3, UnitsForOnePacked = 2;

    readonly Dictionary<string, RigErrors> _rigs;
    readonly Dictionary<string, int> _runs = new(StringComparer.Ordinal);
    readonly Dictionary<string, int> _referenceRuns = new(StringComparer.Ordinal);
    readonly Dictionary<string, DateTimeOffset> _referenceRanAt = new(StringComparer.Ordinal);
    readonly HashSet<string> _putRight = new(StringComparer.Ordinal);
    readonly ulong _secret;

    public LineAtWork(DemoDay day, LineRoute route, bool isMain)
    {
        (Day, Route) = (day, route);
        _secret = isMain ? day.Options.Seed : new SeededNoise(day.Options.Seed, route.Line.Id).NextBits();
        Before = [.. route.Steps.Select(s => new Places(s.Kind == "load-test" ? PlacesBeforeRigs : PlacesBetween, day.Time))];
        var rigs = route.Line.Stations.Where(s => route.Steps.First(r => r.Id == s.Step).Kind == "load-test").ToList();
        _rigs = rigs.ToDictionary(r => r.Id, r => RigErrors.Draw(route.LoadTest.Gauges, new SeededNoise(day.Options.Seed, r.Id).NextBits()), StringComparer.Ordinal);
        RigIds = [.. rigs.Select(r => r.Id)];
        Keepers = RigIds.ToDictionary(r => r, r => new RigKeeper(this, r), StringComparer.Ordinal);
        if (route.Product.Variants is { Count: > 0 } variants) Orders = new(this, variants);
    }

    public DemoDay Day { get; }
    public LineRoute Route { get; }
    public IReadOnlyList<string> RigIds { get; }

    /// <summary>Whoever keeps each rig in order.</summary>
    public IReadOnlyDictionary<string, RigKeeper> Keepers { get; }

    /// <summary>The places before each step, by its index; nobody waits before the first, its shells come off a trolley.</summary>
    public IReadOnlyList<Places> Before { get; }
    public List<UnitOnLine> Units { get; } = [];

    /// <summary>Null where the product has no variants: nothing is ordered, every unit is alike.</summary>
    public OrderDesk? Orders { get; }
    public int LoadTestsRun { get; private set; }

    /// <summary>The line builds units that are tested and shipped; one without a load test works for it, or by the way.</summary>
    public bool HasLoadTest => Route.Product.LoadTest is not null;

    /// <summary>As many as were asked for have been started: on a second line in proportion to what is due there.</summary>
    public bool IsLastStarted => Planned is { } planned && Units.Count >= planned;

    /// <summary>As many as will be started; null where nobody knows: without end, or as many as the lines take.</summary>
    public int? Planned => Day.Options.Units switch
    {
        { } units when this == Day.Main => units,
        { } units when HasLoadTest => (int)Math.Ceiling((double)units * Route.Line.DueToday / Day.Main.Route.Line.DueToday),
        { } units when !Day.Stock.ContainsKey(Route.Product.Id) => units / UnitsForOnePacked,
        _ => null,
    };

    public int Count(string end) => Units.Count(u => u.End == end);

    /// <summary>The next shell off the trolley; null when enough units have been started, or when a cell has as many finished as there is room for.</summary>
    public UnitOnLine? NextShell()
    {
        if (!HasLoadTest) return NextForStock();
        if (IsLastStarted || Orders is { HasPlace: false }) return null;
        var number = Units.Count + 1;
        var truth = UnitTruth.Draw(_secret, number, Route.LoadTest.Tolerances, FaultList.Of(Route), CheckFaults.Of(Route.Product.Id));
        var unit = new UnitOnLine(this, truth, this == Day.Main ? Names.Shell(number) : Names.Shell(Route, number), Orders?.Running);
        Units.Add(unit);
        if (this == Day.Main && Day.Options.Speed is { } speed && number > Day.Options.HeadStart) Day.Time.RunClock(speed);
        return unit;
    }

    // What nothing takes is packed: one for every two drive units.
    UnitOnLine? NextForStock()
    {
        var isAsked = Day.Stock.TryGetValue(Route.Product.Id, out var stock)
            ? stock.Count + Units.Count(u => u.End == "building") < Math.Min(FinishedParts.Room, Wanted())
            : Units.Count < Day.Main.Units.Count / UnitsForOnePacked;
        if (!isAsked || Orders is { HasPlace: false }) return null;
        var number = Units.Count + 1;
        var unit = new UnitOnLine(this, UnitTruth.DrawPart(Day.Options.Seed, number, Route.Product.Id, Day.Main.Route.LoadTest.Tolerances), Names.Shell(Route, number), Orders?.Running);
        Units.Add(unit);
        return unit;
    }

    /// <summary>As many as may still be taken: without end while drive units are started, then one for each on its way that has none.</summary>
    int Wanted()
    {
        if (!Day.Main.IsLastStarted) return int.MaxValue;
        var parts = Day.Main.Route.Parts.Where(p => p.Product == Route.Product.Id).Select(p => p.Id).ToList();
        return Day.Main.Units.Count(u => u.End == "building" && !parts.Exists(u.Inside.ContainsKey));
    }

    /// <summary>A run of a unit on a rig, with everything that fixes its captures.</summary>
    public RunOrder Order(UnitOnLine unit, string rig, int attempt, DateTimeOffset startedAt, bool cutShort)
    {
        _runs[rig] = _runs.GetValueOrDefault(rig) + 1;
        var drift = Drift(rig);
        unit.JudgedOnDriftingRig = drift > 0;
        if (drift > 0) unit.RanOnDriftingRig = true;

        // The hall warms by a few kelvin through the shift; a unit comes to the rig a little above it.
        var noise = new SeededNoise(unit.Truth.Seed, "hall");
        var ambientC = HallC(unit.Truth.Number) + 0.3 * noise.Normal();
        var conditions = new RunConditions { UnitSeed = unit.Truth.Seed, Attempt = attempt, AmbientC = ambientC, UnitStartC = ambientC + 0.5 + 0.3 * noise.Normal(), IdleH = unit.TurnedAt is { } turned ? (startedAt - turned).TotalHours : 0 };
        return new(new(unit.Code, rig, Route.Id, attempt, startedAt), Route.LoadTest, unit.AsBuilt(), ErrorsOf(rig), conditions, cutShort);
    }

    /// <summary>A run of a reference unit on a rig, in the hall as it is now.</summary>
    public RunOrder Order(ReferenceUnit unit, string rig, DateTimeOffset startedAt)
    {
        // Before its first run it stood in its rack over night.
        var idle = _referenceRanAt.TryGetValue(unit.Code, out var ranAt) ? startedAt - ranAt : TimeSpan.FromHours(14);
        _referenceRanAt[unit.Code] = startedAt;
        return RigKeeper.OrderOf(unit, Route, rig, ErrorsOf(rig), _referenceRuns[unit.Code] = _referenceRuns.GetValueOrDefault(unit.Code) + 1, HallC(Units.Count), startedAt, idle);
    }

    /// <summary>The rig's gauges are as they were before they drifted.</summary>
    public void PutRight(string rig) => _putRight.Add(rig);

    double Drift(string rig) => this == Day.Main && !_putRight.Contains(rig) ? Day.Truth.DriftShare(RigIds.ToList().IndexOf(rig), _runs.GetValueOrDefault(rig)) : 0;

    RigErrors ErrorsOf(string rig) => Drift(rig) is > 0 and var drift ? _rigs[rig].Drifted(drift) : _rigs[rig];

    static double HallC(int unit) => 22 + 2.5 * Math.Sin(2 * Math.PI * unit / 500);

    public void CountRun(UnitOnLine unit, int attempt)
    {
        LoadTestsRun++;
        Day.CountRun(unit, attempt);
    }

    /// <summary>The route is through: packed, or laid into the stock that the lines take from.</summary>
    public void Finish(UnitOnLine unit)
    {
        if (Day.Stock.TryGetValue(Route.Product.Id, out var stock)) stock.Put(unit);
        Day.Ended(unit, "shipped");
    }
}

/// <summary>Finished parts of one kind, first in, first out; a cell builds until there is no room for more.</summary>
sealed class FinishedParts(PlantTime time)
{
    public const int Room = 10;

    readonly Queue<UnitOnLine> _waiting = [];

    public Signal Came { get; } = new();
    public Signal Taken { get; } = new();
    public int Count => _waiting.Count;

    public void Put(UnitOnLine unit)
    {
        _waiting.Enqueue(unit);
        time.Raise(Came);
    }

    public UnitOnLine? Take()
    {
        if (!_waiting.TryDequeue(out var unit)) return null;
        time.Raise(Taken);
        return unit;
    }
}
