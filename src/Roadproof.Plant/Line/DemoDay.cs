using Roadproof.Engineering.Statistics;
using Roadproof.Plant.Faults;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Line;

/// <summary>Everything that the people and machines of one demo share: the route, the places, the lots, the rack, and the plant's secret truth.</summary>
sealed class DemoDay
{
    /// <summary>Places between two stations, and before the rigs.</summary>
    const int PlacesBetween = 2, PlacesBeforeRigs = 3;

    readonly Dictionary<string, int> _keys = new(StringComparer.Ordinal);
    readonly Dictionary<string, RigErrors> _rigs;
    readonly Dictionary<string, int> _runs = new(StringComparer.Ordinal);
    readonly IProgress<DemoProgress>? _progress;
    readonly DateTimeOffset _from;
    string? _weakLot;
    int _weakTested;
    int? _weakTestedUntilReported;

    public DemoDay(DemoOptions options, PlantTime time, LineDoor door, LineRoute route, IProgress<DemoProgress>? progress)
    {
        (Options, Time, Door, Route, _progress, _from) = (options, time, door, route, progress, time.Now);
        Lots = new(time, door, route, options.Seed);
        Crew = new(options.Seed, route.Line.Stations.Count, time.Now);
        Before = [.. route.Steps.Select(s => new Places(s.Kind == "load-test" ? PlacesBeforeRigs : PlacesBetween, time))];
        var rigs = route.Line.Stations.Where(s => route.Steps.First(r => r.Id == s.Step).Kind == "load-test").ToList();
        _rigs = rigs.ToDictionary(r => r.Id, r => RigErrors.Draw(route.Product.LoadTest.Gauges, new SeededNoise(options.Seed, r.Id).NextBits()), StringComparer.Ordinal);
        RigIds = [.. rigs.Select(r => r.Id)];
        Truth = LineTruth.Draw(options.Seed, options.Units, rigs.Count);
    }

    public DemoOptions Options { get; }
    public PlantTime Time { get; }
    public LineDoor Door { get; }
    public LineRoute Route { get; }
    public LotStore Lots { get; }
    public Crew Crew { get; }
    public LineTruth Truth { get; }
    public IReadOnlyList<string> RigIds { get; }

    /// <summary>The places before each step, by its index; nobody waits before the first, its shells come off a trolley.</summary>
    public IReadOnlyList<Places> Before { get; }
    public HoldRack Rack { get; } = new();
    public SlipBook Slips { get; } = new();
    public List<string> Surprises { get; } = [];
    public List<UnitOnLine> Units { get; } = [];
    public int LoadTestsRun { get; private set; }

    public string Key(string place) => Names.Key(place, _keys[place] = _keys.GetValueOrDefault(place) + 1);

    /// <summary>The next shell off the trolley; null when enough units have been started.</summary>
    public UnitOnLine? NextShell()
    {
        if (Units.Count >= Options.Units) return null;
        var number = Units.Count + 1;
        var unit = new UnitOnLine(UnitTruth.Draw(Options.Seed, number, Route.Product.LoadTest.Tolerances), Names.Shell(number), Route.Product.LoadTest.Unit);
        Units.Add(unit);
        if (Options.Speed is { } speed && number > Options.HeadStart) Time.RunClock(speed);
        return unit;
    }

    /// <summary>A run of a unit on a rig, with everything that fixes its captures.</summary>
    public RunOrder Order(UnitOnLine unit, string rig, int attempt, DateTimeOffset startedAt, bool cutShort)
    {
        var run = _runs[rig] = _runs.GetValueOrDefault(rig) + 1;
        var index = RigIds.ToList().IndexOf(rig);
        var drift = Truth.DriftShare(index, run);
        if (drift > 0) unit.RanOnDriftingRig = true;

        // The hall warms by a few kelvin through the shift; a unit comes to the rig a little above it.
        var noise = new SeededNoise(unit.Truth.Seed, "hall");
        var ambientC = 22 + 2.5 * Math.Sin(2 * Math.PI * unit.Truth.Number / 500) + 0.3 * noise.Normal();
        var conditions = new RunConditions { UnitSeed = unit.Truth.Seed, Attempt = attempt, AmbientC = ambientC, UnitStartC = ambientC + 0.5 + 0.3 * noise.Normal() };
        return new(new(unit.Code, rig, Route.Id, attempt, startedAt), Route.Product.LoadTest, unit.AsBuilt(), drift > 0 ? _rigs[rig].Drifted(drift) : _rigs[rig], conditions, cutShort);
    }

    public void CountRun(UnitOnLine unit, int attempt)
    {
        LoadTestsRun++;
        if (unit.HasWeakRotor && attempt == 1) _weakTested++;
    }

    /// <summary>A rotor has been taken: of the weak lot or not.</summary>
    public void CountRotor(UnitOnLine unit, Lot lot)
    {
        unit.HasWeakRotor = lot.Number == Truth.WeakRotorLot;
        if (unit.HasWeakRotor) _weakLot = lot.Code;
    }

    public void Reported(string lot)
    {
        if (lot == _weakLot) _weakTestedUntilReported ??= _weakTested;
    }

    public void Surprise(string sentence) => Surprises.Add(sentence);

    public void Ended(UnitOnLine unit, string end)
    {
        unit.End = end;
        _progress?.Report(new(Time.Now, Units.Count, Count("shipped"), Count("held"), Count("scrapped"), Options.Units));
    }

    public DemoResult Result()
    {
        var ended = Units.Where(u => u.End != "building").ToList();
        var sound = ended.Where(u => u.IsSound).ToList();
        var soundStopped = sound.Where(u => u.End != "shipped").ToList();
        return new(
            Units.Count, Count("shipped"), Count("held"), Count("scrapped"),
            ended.Count == 0 ? null : (double)ended.Count(u => u.FirstPass && u.End == "shipped") / ended.Count,
            LoadTestsRun, (Time.Now - _from).TotalSeconds,
            sound.Count, soundStopped.Count, soundStopped.Count(u => u.RanOnDriftingRig || (u.HeldForLot && !u.Found)),
            Faults(ended), RotorLot(ended), DriftingRig(), Slips.Counts,
            [.. Units.Select(u => new UnitResult(u.Shell, u.Serial, u.Secret, u.End != "building" && IsStopped(u), u.End, u.Reasons))], Surprises);
    }

    int Count(string end) => Units.Count(u => u.End == end);

    static bool IsStopped(UnitOnLine unit) => unit.End != "shipped" || (!unit.IsSound && unit.Found);

    List<FaultCount> Faults(List<UnitOnLine> ended)
    {
        var counts = FaultList.All.Select(f => (f.Id, Size: f.SizeSigma(Route))).ToList();
        if (Truth.WeakRotorLot is not null) counts.Add((FaultList.RotorLot, (1 - FaultList.WeakLotFlux) / (Route.Product.LoadTest.Tolerances.FluxShare / 3)));
        return [.. counts.Select(f => new FaultCount(f.Id, f.Size, ended.Count(u => u.Secret == f.Id), ended.Count(u => u.Secret == f.Id && IsStopped(u))))];
    }

    RotorLotResult? RotorLot(List<UnitOnLine> ended) => _weakLot is null ? null : new(_weakLot, ended.Count(u => u.HasWeakRotor), _weakTestedUntilReported);

    DriftingRigResult? DriftingRig() =>
        Truth.DriftingRig is { } rig ? new(RigIds[rig], LineTruth.DriftFromRun, Units.Count(u => u.RanOnDriftingRig)) : null;
}

/// <summary>Where stopped units stand until a person decides.</summary>
sealed class HoldRack
{
    public sealed class Place(UnitOnLine unit, DateTimeOffset since)
    {
        public UnitOnLine Unit => unit;
        public DateTimeOffset Since => since;

        /// <summary>A person has looked and leaves it there.</summary>
        public bool Stays { get; set; }
    }

    public List<Place> Places { get; } = [];

    public void Put(UnitOnLine unit, DateTimeOffset now) => Places.Add(new(unit, now));
}
