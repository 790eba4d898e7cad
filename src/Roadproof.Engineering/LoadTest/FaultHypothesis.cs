using Roadproof.Engineering.Drive;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>A fault that one number describes, so that its signature can be computed.</summary>
/// <param name="Id">As in verdicts and files.</param>
/// <param name="Unit">Of the size.</param>
/// <param name="At">A unit with the fault of that size and parts as drawn.</param>
/// <param name="Typical">Size when it happens, in <paramref name="Unit"/>; either sign where <paramref name="EitherSign"/>.</param>
/// <param name="Spread">Standard deviation of that size over the faults that happen.</param>
/// <param name="Prior">Share of units that have it before anything is read. Common practice, no source: a plant replaces these by its repair history.</param>
/// <param name="LookFirst">The record or part to look at before the unit is opened.</param>
/// <param name="NextMeasurement">The cheapest measurement that parts it from what it cannot be told from.</param>
sealed record FaultHypothesis(
    string Id, string Name, string Unit, Func<double, Deviation> At, double Typical, double Spread, bool EitherSign, double Prior, string LookFirst, string NextMeasurement)
{
    /// <summary>The largest size that is computed: five times the typical one; there is no more than all of the grease, and a little for the drags' own scatter.</summary>
    public double Largest => (Id == "grease-missing" ? 2 : 5) * Typical;
}

/// <summary>The faults that a load test is asked about. What they move is computed; sizes, shares and advice are common practice, no source.</summary>
static class FaultHypotheses
{
    public const double PriorOfSound = 0.96;
    public const double PriorOfUnknown = 0.003;

    const double Deg = Math.PI / 180;

    /// <summary>Those of one product: how many magnets and how much grease it has stands in its definition.</summary>
    public static IReadOnlyList<FaultHypothesis> Of(DriveUnit unit) =>
    [
        new("motor-drag", "Dry, over-pressed or rubbing motor bearing", "N·m", x => new() { AddedMotorDragNm = x }, 0.010, 0.006, false, 0.005,
            "The rotor's insertion curve at its station (a high or early force), then the bearing lot.",
            "Turn the rotor alone, gears out, and time its spin-down; or compare the vibration between 2 and 6 kHz with a sound unit."),
        new("stiff-grease", "Gear drag too high: wrong or stiff grease", "%", x => new() { GearDragFactor = 1 + x / 100 }, 60, 40, false, 0.004,
            "The grease lot and the mass dispensed when the gears went in.",
            "Repeat the run without load on the warm unit: stiff grease loosens, a bearing does not; or time the rotor's spin-down with the gears out."),
        new("grease-missing", "Grease missing or far too little", "share", x => new() { GearDragFactor = 1 - 0.4 * x, MeshFactor = 1 - 0.015 * x }, 1, 0.3, false, 0.003,
            "The grease mass recorded when the gears went in, and the unit's weight.",
            Invariant($"Weigh the unit: the grease is {1000 * unit.GearDrag.GreaseMassKg:0.#} g in {unit.MassKg:0.0} kg, so use a scale that reads a tenth of the grease.")),
        new("crimp", "Contact resistance in the phases: crimp, weld or phase screw", "mΩ", x => new() { AddedResistanceOhm = x / 1000 }, 10, 6, false, 0.004,
            "The torque and angle of the phase screws, then the stator's joining record and terminal lot.",
            "Measure the three resistances between the phases with four wires at a known part temperature: one bad joint shows in two of them."),
        new("weak-flux", "Magnets too weak or too strong", "%", x => new() { FluxFactor = 1 - x / 100 }, 3, 2, true, 0.005,
            "The rotor lot and its flux scan; ask whether other units of the lot read alike.",
            "Turn the motor from outside and read its open-circuit voltage at a known magnet temperature."),
        new("magnet-missing", "A magnet missing or reversed", "magnets", x => new() { FluxFactor = 1 - x / (2 * unit.Motor.PolePairs) }, 1, 0.1, false, 0.002,
            "The rotor's flux scan and the camera picture of its magnets.",
            "Turn the motor slowly and look at the voltage over one rotor turn: a missing magnet leaves a gap once per turn."),
        new("rotor-offset", "Stored rotor angle wrong", "° el.", x => new() { RotorOffsetRad = x * Deg }, 12, 8, true, 0.005,
            "The rotor-angle record of the firmware station and its repeatability, then the position magnet.",
            "Search the rotor angle again and compare it with the stored one."),
        new("mesh-loss", "Gear loss too high: burr, wrong or eccentric gear", "%", x => new() { MeshFactor = 1 - x / 100 }, 1, 0.7, false, 0.004,
            "The gear lots and cavity numbers, and the backlash of the functional check.",
            "Repeat a loaded point on another rig: a wrong torque reading stays with the rig, a bad gear with the unit."),
        new("current-gain", "Controller reads its phase currents wrong", "%", x => new() { CurrentGainFactor = 1 + x / 100 }, 2, 1, true, 0.004,
            "The controller's lot and its current-sensor record at the firmware station.",
            "Send a known direct current through two phases and read what the controller says."),
        new("tooth-damage", "Damaged tooth on the first wheel", "m/s²", x => new() { ToothBlowMPerS2 = x }, 40, 25, false, 0.003,
            "The gear lot and the picture of the gear set before it went in; ask for dropped parts.",
            "Turn the unit slowly by hand under a light brake and feel for a place that comes once per turn of the wheel."),
        .. unit.TorqueSensor is null ? [] : (FaultHypothesis[])[new("torque-sensor-zero", "Crank torque sensor off zero", "N·m", x => new() { TorqueSensorZeroNm = x }, 2.5, 1.5, true, 0.004,
            "The sensor's zero in the functional check, and the seat of the bearing beside it.",
            "Read the zero at four crank angles at rest: a bent shaft changes it with the angle, a wrong zero does not.")],
    ];
}
