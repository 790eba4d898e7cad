using Roadproof.Plant.Faults;

namespace Roadproof.Plant.Line;

/// <summary>Everything that the people and machines of one demo share: lines, lots, people, the rack, finished parts, and the plant's secret truth.</summary>
sealed class DemoDay
{
    readonly Dictionary<string, int> _keys = new(StringComparer.Ordinal);
    readonly IProgress<DemoProgress>? _progress;
    readonly DateTimeOffset _from;
    string? _weakLot;
    int _weakTested;
    int? _weakTestedUntilReported;

    public DemoDay(DemoOptions options, PlantTime time, LineDoor door, IReadOnlyList<LineRoute> routes, IProgress<DemoProgress>? progress)
    {
        (Options, Time, Door, _progress, _from) = (options, time, door, progress, time.Now);
        Lots = new(time, door, routes[0].Parts, options.Seed);
        Crew = new(options.Seed, routes, time.Now);
        Stock = routes.SelectMany(r => r.Parts).Where(p => p.Product is not null).Select(p => p.Product!).Distinct(StringComparer.Ordinal).ToDictionary(p => p, _ => new FinishedParts(time), StringComparer.Ordinal);
        var main = routes.First(r => r.Product.LoadTest is not null);
        Lines = [.. routes.Select(r => new LineAtWork(this, r, r == main))];
        Main = Lines.First(l => l.Route == main);
        Truth = LineTruth.Draw(options.Seed, options.Units, Main.RigIds.Count);
    }

    public DemoOptions Options { get; }
    public PlantTime Time { get; }
    public LineDoor Door { get; }
    public LotStore Lots { get; }
    public Crew Crew { get; }
    public LineTruth Truth { get; }
    public IReadOnlyList<LineAtWork> Lines { get; }

    /// <summary>The first line with a load test; the cells work for it.</summary>
    public LineAtWork Main { get; }

    /// <summary>What the cells have finished and nobody has taken yet, by product.</summary>
    public IReadOnlyDictionary<string, FinishedParts> Stock { get; }
    public HoldRack Rack { get; } = new();
    public SlipBook Slips { get; } = new();
    public List<string> Surprises { get; } = [];
    public IEnumerable<UnitOnLine> Units => Lines.SelectMany(l => l.Units);

    /// <summary>All that was asked for has been started.</summary>
    public bool IsLastStarted => Lines.Where(l => l.HasLoadTest).All(l => l.IsLastStarted);

    /// <summary>No unit of the main line is on its way any more, and none will come.</summary>
    public bool IsMainDone => Main.IsLastStarted && Main.Units.TrueForAll(u => u.End != "building");

    public string Key(string place) => Names.Key(place, _keys[place] = _keys.GetValueOrDefault(place) + 1);

    public void CountRun(UnitOnLine unit, int attempt)
    {
        if (unit.HasWeakMagnets && attempt == 1) _weakTested++;
    }

    /// <summary>Magnets, or a rotor that is bought whole, have been taken: of the weak lot or not.</summary>
    public void CountMagnets(UnitOnLine unit, Lot lot)
    {
        unit.HasWeakMagnets = lot.Number == Truth.WeakRotorLot;
        if (unit.HasWeakMagnets) _weakLot = lot.Code;
    }

    public void Reported(string lot)
    {
        if (lot == _weakLot) _weakTestedUntilReported ??= _weakTested;
    }

    /// <summary>A rig read its reference wrong: what the line has stopped for it is set aside to be run again.</summary>
    public async Task RigStopped(LineAtWork line, string rig)
    {
        var held = await Door.HeldForRig(rig);
        foreach (var unit in line.Units.Where(u => held.Contains(u.Shell))) unit.HeldForRig = rig;
        foreach (var place in Rack.Places.Where(p => p.Unit.HeldForRig == rig)) place.Stays = false;
    }

    public void Surprise(string sentence) => Surprises.Add(sentence);

    public void Ended(UnitOnLine unit, string end)
    {
        unit.End = end;
        if (unit.Line == Main) _progress?.Report(new(Time.Now, Main.Units.Count, Main.Count("shipped"), Main.Count("held"), Main.Count("scrapped"), Options.Units));
    }

    public DemoResult Result()
    {
        var units = Main.Units;
        var ended = units.Where(u => u.End != "building").ToList();
        var sound = ended.Where(u => u.IsSound).ToList();
        var soundStopped = sound.Where(u => u.End != "shipped").ToList();
        return new(
            units.Count, Main.Count("shipped"), Main.Count("held"), Main.Count("scrapped"),
            ended.Count == 0 ? null : (double)ended.Count(u => u.FirstPass && u.End == "shipped") / ended.Count,
            Main.LoadTestsRun, (Time.Now - _from).TotalSeconds,
            sound.Count, soundStopped.Count, soundStopped.Count(u => u.JudgedOnDriftingRig || u.HeldForRig is not null || (u.HeldForLot && !u.Found)),
            Faults(ended), WeakLot(ended), DriftingRig(), Slips.Counts, [.. Lines.Where(l => l != Main).Select(Other)],
            [.. Units.Select(u => new UnitResult(u.Line.Route.Product.Id, u.Shell, u.Serial, u.Secret, u.End != "building" && IsStopped(u), u.End, u.Reasons))], Surprises);
    }

    static bool IsStopped(UnitOnLine unit) => unit.End is "held" or "scrapped" || (!unit.IsSound && unit.Found);

    List<FaultCount> Faults(List<UnitOnLine> ended)
    {
        var counts = FaultList.Of(Main.Route).Select(f => (f.Id, Size: f.SizeSigma(Main.Route))).ToList();
        if (Truth.WeakRotorLot is not null) counts.Add((FaultList.RotorLot, (1 - FaultList.WeakLotFlux) / (Main.Route.LoadTest.Tolerances.FluxShare / 3)));
        return [.. counts.Select(f => new FaultCount(f.Id, f.Size, ended.Count(u => u.Secret == f.Id), ended.Count(u => u.Secret == f.Id && IsStopped(u))))];
    }

    static OtherLineResult Other(LineAtWork line)
    {
        var ended = line.Units.Where(u => u.End != "building").ToList();
        var sound = ended.Where(u => u.IsSound).ToList();
        var faults = (line.HasLoadTest ? FaultList.Of(line.Route) : []).Select(f => (f.Id, Size: f.SizeSigma(line.Route))).Concat(CheckFaults.Of(line.Route.Product.Id).Select(f => (f.Id, Size: f.SizeSigma(line.Route))));
        return new(
            line.Route.Line.Id, line.Route.Product.Id, line.Units.Count, line.Count("shipped"), line.Count("held"), line.Count("scrapped"), sound.Count, sound.Count(u => IsStopped(u) && !u.HeldForLot),
            [.. faults.Select(f => new FaultCount(f.Id, f.Size, ended.Count(u => u.Secret == f.Id), ended.Count(u => u.Secret == f.Id && IsStopped(u))))]);
    }

    WeakLotResult? WeakLot(List<UnitOnLine> ended) => _weakLot is null ? null : new(_weakLot, ended.Count(u => u.HasWeakMagnets), _weakTestedUntilReported);

    DriftingRigResult? DriftingRig() =>
        Truth.DriftingRig is { } rig ? new(Main.RigIds[rig], LineTruth.DriftFromRun, Main.Units.Count(u => u.RanOnDriftingRig)) : null;
}
