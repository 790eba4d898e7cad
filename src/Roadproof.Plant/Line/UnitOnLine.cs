using Roadproof.Engineering.Drive;
using Roadproof.Plant.Faults;

namespace Roadproof.Plant.Line;

/// <summary>One unit on its way, as the plant knows it.</summary>
/// <param name="drawn">The drive unit as its drawing has it.</param>
sealed class UnitOnLine(UnitTruth truth, string shell, DriveUnit drawn)
{
    readonly Dictionary<int, int> _attempts = [];

    public UnitTruth Truth => truth;
    public string Shell => shell;
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

    /// <summary>The rotor that is inside is of the weak lot.</summary>
    public bool HasWeakRotor { get; set; }

    /// <summary>A verdict stopped it, or its wrong part was refused.</summary>
    public bool Found { get; set; }
    public bool HeldForLot { get; set; }
    public bool RanOnDriftingRig { get; set; }

    /// <summary>A station that was off line has still to report its last step.</summary>
    public bool ReportOutstanding { get; set; }
    public bool FirstPass { get; set; } = true;
    public List<string> Reasons { get; } = [];

    /// <summary>The last verdict that stopped it: fail, hold, or unreadable.</summary>
    public string StoppedAs { get; set; } = "";

    /// <summary>The step whose verdict stopped it.</summary>
    public int StoppedAt { get; set; } = -1;

    public bool IsSound => truth.Fault is null && !HasWeakRotor;
    public string? Secret => HasWeakRotor ? FaultList.RotorLot : truth.Fault?.Id;

    /// <summary>The unit as the load test meets it.</summary>
    public Deviation AsBuilt()
    {
        var built = FaultInside?.Change(truth.Parts, drawn) ?? truth.Parts;
        return HasWeakRotor ? built with { FluxFactor = built.FluxFactor * FaultList.WeakLotFlux } : built;
    }

    public int Attempt(int step) => _attempts[step] = _attempts.GetValueOrDefault(step) + 1;

    public void TakeFaultOut() => FaultInside = null;

    public void Repair() => (FaultInside, Repaired) = (null, true);
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
