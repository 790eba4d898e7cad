using Roadproof.Engineering.Drive;

namespace Roadproof.Plant.Faults;

/// <summary>One hidden fault: what it does to the unit, and how large that is beside the scatter of sound parts.</summary>
/// <param name="Change">What it makes of a sound unit.</param>
/// <param name="SizeSigma">Size over the standard deviation of what it moves; where it moves two things, the root of the sum of squares. Null where sound units do not scatter at all.</param>
public sealed record Fault(string Id, Func<Deviation, Deviation> Change, Func<PartTolerances, double?> SizeSigma);

/// <summary>The plant's secret: which faults its units may carry. Nothing outside the plant reads this list; what the tool finds it finds in the messages.</summary>
/// <remarks>Sizes: the demo's own, of the order of the trade's defect table (common practice, no source); a damaged tooth blows 12 m/s² at the shell at 50 N·m, some ten times the noise there.</remarks>
public static class FaultList
{
    public const string WrongGear = "wrong-gear", Leak = "leak", CoverScrew = "cover-screw", GreaseMissing = "grease-missing", RotorLot = "rotor-lot";

    /// <summary>Torque of the loose screw beside the middle of its window.</summary>
    public const double LooseScrewShare = 0.6;

    /// <summary>A leaking unit beside the upper limit.</summary>
    public const double LeakShare = 2;

    /// <summary>Flux of every rotor of the weak lot beside a rotor as drawn.</summary>
    public const double WeakLotFlux = 0.97;

    const double SoundLeakSpread = 0.4, SoundLeak = 1.2, LeakLimit = 5, SoundScrewSpreadShare = 0.011;

    public static readonly IReadOnlyList<Fault> All =
    [
        new("motor-drag", d => d with { AddedMotorDragNm = d.AddedMotorDragNm + 0.010 }, t => 0.010 / (t.MotorDragNm / 3)),
        new("stiff-grease", d => d with { GearDragFactor = d.GearDragFactor * 1.8 }, t => 0.8 / (t.GearDragShare / 3)),
        new(GreaseMissing, d => d with { GearDragFactor = d.GearDragFactor * 0.6, MeshFactor = d.MeshFactor * 0.985 }, t => double.Hypot(0.4 / (t.GearDragShare / 3), 0.015 / (t.MeshShare / 3))),
        new("crimp", d => d with { AddedResistanceOhm = d.AddedResistanceOhm + 0.010 }, t => 0.010 / 0.055 / (t.ResistanceShare / 3)),
        new("magnet-missing", d => d with { FluxFactor = d.FluxFactor * 13 / 14 }, t => 1.0 / 14 / (t.FluxShare / 3)),
        new("rotor-offset-20", d => d with { RotorOffsetRad = d.RotorOffsetRad + double.DegreesToRadians(20) }, t => 20 / (t.RotorOffsetDeg / 3)),
        new("rotor-offset-10", d => d with { RotorOffsetRad = d.RotorOffsetRad + double.DegreesToRadians(10) }, t => 10 / (t.RotorOffsetDeg / 3)),
        new("weak-flux", d => d with { FluxFactor = d.FluxFactor * 0.97 }, t => 0.03 / (t.FluxShare / 3)),
        new("mesh-loss", d => d with { MeshFactor = d.MeshFactor * 0.99 }, t => 0.01 / (t.MeshShare / 3)),
        new("current-gain", d => d with { CurrentGainFactor = d.CurrentGainFactor * 1.02 }, t => 0.02 / (t.CurrentGainShare / 3)),
        new("tooth-damage", d => d with { ToothBlowMPerS2 = 12 }, _ => null),
        new("torque-sensor-zero", d => d with { TorqueSensorZeroNm = d.TorqueSensorZeroNm + 2.5 }, t => 2.5 / (t.TorqueSensorZeroNm / 3)),
        new(Leak, d => d, _ => (LeakShare * LeakLimit - SoundLeak) / SoundLeakSpread),
        new(CoverScrew, d => d, _ => (1 - LooseScrewShare) / SoundScrewSpreadShare),
        new(WrongGear, d => d, _ => null),
    ];
}
