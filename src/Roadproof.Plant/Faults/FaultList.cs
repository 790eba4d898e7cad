using Roadproof.Engineering.Drive;
using Roadproof.Engineering.LoadTest;
using Roadproof.Plant.Line;

namespace Roadproof.Plant.Faults;

/// <summary>One hidden fault: what it does to the unit, and how large that is beside the scatter of sound parts.</summary>
/// <param name="Change">What it makes of a sound unit of this plan.</param>
/// <param name="CanShow">The route has what the fault sits in; a line hides no fault that its unit cannot have.</param>
/// <param name="SizeSigma">Size over the standard deviation of what it moves; where it moves two things, the root of the sum of squares. Null where sound units do not scatter at all.</param>
public sealed record Fault(string Id, Func<Deviation, LoadTestPlan, Deviation> Change, Func<LineRoute, double?> SizeSigma, Func<LineRoute, bool> CanShow);

/// <summary>The faults that the plant's units may carry. Which unit carries which is the plant's secret; the kinds and sizes are not: the rates of the demo are predicted from them beforehand.</summary>
/// <remarks>
/// Sizes: the demo's own, of the order of common practice (no source), and for most faults those that the judge calls typical; <c>docs/guides/demo.md</c> says what follows from that.
/// Drag is sized by the drawing's tolerance: 0.010 N·m for the AF-85. A damaged tooth blows 12 m/s² at the shell at 50 N·m, some ten times the noise there.
/// </remarks>
public static class FaultList
{
    public const string WrongGear = "wrong-gear", Leak = "leak", CoverScrew = "cover-screw", GreaseMissing = "grease-missing", RotorLot = "rotor-lot";

    /// <summary>Torque of the loose screw beside the middle of its window.</summary>
    public const double LooseScrewShare = 0.6;

    /// <summary>A leaking unit beside the upper limit.</summary>
    public const double LeakShare = 2;

    /// <summary>Flux of every rotor of the weak lot beside a rotor as drawn.</summary>
    public const double WeakLotFlux = 0.97;

    /// <summary>A bearing that drags, beside what the drawing allows.</summary>
    const double DragOfTolerance = 2.5;

    public static readonly IReadOnlyList<Fault> All =
    [
        Moves("motor-drag", (d, p) => d with { AddedMotorDragNm = d.AddedMotorDragNm + DragOfTolerance * p.Tolerances.MotorDragNm }, (_, _) => 3 * DragOfTolerance),
        Moves("stiff-grease", (d, _) => d with { GearDragFactor = d.GearDragFactor * 1.8 }, (t, _) => 0.8 / (t.GearDragShare / 3)),
        Moves(GreaseMissing, (d, _) => d with { GearDragFactor = d.GearDragFactor * 0.6, MeshFactor = d.MeshFactor * 0.985 }, (t, _) => double.Hypot(0.4 / (t.GearDragShare / 3), 0.015 / (t.MeshShare / 3)), r => r.Reading("grease-mass")?.Lower is not null),
        Moves("crimp", (d, _) => d with { AddedResistanceOhm = d.AddedResistanceOhm + 0.010 }, (t, u) => 0.010 / u.Motor.PhaseResistance20Ohm / (t.ResistanceShare / 3)),
        Moves("magnet-missing", (d, p) => d with { FluxFactor = d.FluxFactor * (1 - 1.0 / Magnets(p.Unit)) }, (t, u) => 1.0 / Magnets(u) / (t.FluxShare / 3)),
        Moves("rotor-offset-20", (d, _) => d with { RotorOffsetRad = d.RotorOffsetRad + double.DegreesToRadians(20) }, (t, _) => 20 / (t.RotorOffsetDeg / 3)),
        Moves("rotor-offset-10", (d, _) => d with { RotorOffsetRad = d.RotorOffsetRad + double.DegreesToRadians(10) }, (t, _) => 10 / (t.RotorOffsetDeg / 3)),
        Moves("weak-flux", (d, _) => d with { FluxFactor = d.FluxFactor * 0.97 }, (t, _) => 0.03 / (t.FluxShare / 3)),
        Moves("mesh-loss", (d, _) => d with { MeshFactor = d.MeshFactor * 0.99 }, (t, _) => 0.01 / (t.MeshShare / 3)),
        Moves("current-gain", (d, _) => d with { CurrentGainFactor = d.CurrentGainFactor * 1.02 }, (t, _) => 0.02 / (t.CurrentGainShare / 3)),
        Moves("tooth-damage", (d, _) => d with { ToothBlowMPerS2 = 12 }, (_, _) => null),
        Moves("torque-sensor-zero", (d, _) => d with { TorqueSensorZeroNm = d.TorqueSensorZeroNm + 2.5 }, (t, _) => 2.5 / (t.TorqueSensorZeroNm / 3), r => r.LoadTest.Unit.TorqueSensor is not null),
        new(Leak, (d, _) => d, LeakSize, r => r.Reading(Leak)?.Upper is not null),
        new(CoverScrew, (d, _) => d, ScrewSize, r => r.CoverScrews is not null),
        new(WrongGear, (d, _) => d, _ => null, r => r.LookAlike is not null),
    ];

    /// <summary>Those that the units of a line can have.</summary>
    public static IReadOnlyList<Fault> Of(LineRoute route) => [.. All.Where(f => f.CanShow(route))];

    static Fault Moves(string id, Func<Deviation, LoadTestPlan, Deviation> change, Func<PartTolerances, DriveUnit, double?> sizeSigma, Func<LineRoute, bool>? canShow = null) =>
        new(id, change, route => sizeSigma(route.LoadTest.Tolerances, route.LoadTest.Unit), canShow ?? (_ => true));

    static int Magnets(DriveUnit unit) => 2 * unit.Motor.PolePairs;

    static double? LeakSize(LineRoute route)
    {
        var leak = route.Reading(Leak);
        return leak is { Upper: { } limit, UsualSpread: > 0 } ? (LeakShare * limit - leak.UsualValue) / leak.UsualSpread : null;
    }

    static double? ScrewSize(LineRoute route)
    {
        var cover = route.CoverScrews;
        return cover is null ? null : (1 - LooseScrewShare) * cover.MiddleNm / (cover.WindowNm * StepContent.TorqueSpreadShareOfWindow);
    }
}
