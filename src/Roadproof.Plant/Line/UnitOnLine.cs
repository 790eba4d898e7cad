using Roadproof.Engineering.Drive;
using Roadproof.Plant.Faults;

namespace Roadproof.Plant.Line;

/// <summary>One unit on its way, as the plant knows it.</summary>
sealed class UnitOnLine(LineAtWork line, UnitTruth truth, string shell, SeenOrder? order = null)
{
    readonly Dictionary<int, int> _attempts = [];

    public LineAtWork Line => line;
    public UnitTruth Truth => truth;
    public string Shell => shell;

    /// <summary>What it is built for; null where its product has no variants.</summary>
    public SeenOrder? Order => order;
    public LineVariant? Variant { get; } = line.Route.Product.Variants?.FirstOrDefault(v => v.Id == order?.Variant);
    public string? Serial { get; set; }

    /// <summary>What is scanned: the mark where there is one.</summary>
    public string Code => Serial ?? shell;

    /// <summary>Index of the step that comes next.</summary>
    public int Next { get; set; }

    /// <summary>shipped, scrapped, held; building on the way.</summary>
    public string End { get; set; } = "building";

    /// <summary>The fault that is still inside; a repair takes it out.</summary>
    public Fault? FaultInside { get; private set; } = truth.Fault;
    public bool Repaired { get; private set; }

    /// <summary>The fault for a check that is still inside.</summary>
    public CheckFault? CheckFaultInside { get; private set; } = truth.CheckFault;

    /// <summary>The magnets inside are of the weak lot.</summary>
    public bool HasWeakMagnets { get; set; }

    /// <summary>Parts of the cells that are inside, by the part they are.</summary>
    public Dictionary<string, UnitOnLine> Inside { get; } = new(StringComparer.Ordinal);

    /// <summary>A verdict stopped it, or its wrong part was refused.</summary>
    public bool Found { get; set; }
    public bool HeldForLot { get; set; }
    public bool RanOnDriftingRig { get; set; }

    /// <summary>Its last run was on a rig that had drifted.</summary>
    public bool JudgedOnDriftingRig { get; set; }

    /// <summary>The rig that judged it read its reference wrong; it is run again.</summary>
    public string? HeldForRig { get; set; }

    /// <summary>When its gears were turned last, by a check or a run.</summary>
    public DateTimeOffset? TurnedAt { get; set; }

    /// <summary>A station that was off line has still to report its last step.</summary>
    public bool ReportOutstanding { get; set; }
    public bool FirstPass { get; set; } = true;
    public List<string> Reasons { get; } = [];

    /// <summary>The last verdict that stopped it: fail, hold, or unreadable.</summary>
    public string StoppedAs { get; set; } = "";

    /// <summary>The step whose verdict stopped it.</summary>
    public int StoppedAt { get; set; } = -1;

    public bool IsSound => truth.Fault is null && truth.CheckFault is null && !HasWeakMagnets;
    public string? Secret => HasWeakMagnets && line.Route.Product.LoadTest is not null ? FaultList.RotorLot : truth.Fault?.Id ?? truth.CheckFault?.Id;

    /// <summary>The unit as the load test meets it.</summary>
    public Deviation AsBuilt()
    {
        var parts = truth.Parts;
        if (Inside.TryGetValue("rotor", out var rotor)) parts = parts with { FluxFactor = rotor.Truth.Parts.FluxFactor };
        if (Inside.TryGetValue("stator", out var stator)) parts = parts with { ResistanceFactor = stator.Truth.Parts.ResistanceFactor };
        if (Inside.TryGetValue("controller", out var controller)) parts = parts with { CurrentGainFactor = controller.Truth.Parts.CurrentGainFactor };
        var built = FaultInside?.Change(parts, line.Route.LoadTest) ?? parts;
        return HasWeakMagnets ? built with { FluxFactor = built.FluxFactor * FaultList.WeakLotFlux } : built;
    }

    public int Attempt(int step) => _attempts[step] = _attempts.GetValueOrDefault(step) + 1;

    public void TakeFaultOut() => FaultInside = null;

    public void Repair() => (FaultInside, CheckFaultInside, Repaired) = (null, null, true);
}

/// <summary>The places before a step: a few between two stations, and beside them what people bring back by hand.</summary>
sealed class Places(int capacity, PlantTime time)
{
    readonly Queue<UnitOnLine> _waiting = [], _brought = [];

    public Signal Arrived { get; } = new();
    public Signal Freed { get; } = new();
    public bool HasFree => _waiting.Count < capacity;
    public UnitOnLine? First => _waiting.TryPeek(out var unit) ? unit : null;

    /// <exception cref="InvalidOperationException">There is no free place.</exception>
    public void Put(UnitOnLine unit)
    {
        if (!HasFree) throw new InvalidOperationException($"Bug in Roadproof: {unit.Shell} is put where no place is free.");
        _waiting.Enqueue(unit);
        time.Raise(Arrived);
    }

    /// <summary>A person brings a unit back from the rack; it stands beside the line and is taken first.</summary>
    public void Bring(UnitOnLine unit)
    {
        _brought.Enqueue(unit);
        time.Raise(Arrived);
    }

    public UnitOnLine? Take()
    {
        if (_brought.TryDequeue(out var brought)) return brought;
        if (!_waiting.TryDequeue(out var unit)) return null;
        time.Raise(Freed);
        return unit;
    }
}
