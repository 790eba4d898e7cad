using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What a reading of a route measures of the unit, where the model knows how a fault moves it.</summary>
public enum MeasuredQuantity
{
    /// <summary>Grease in the unit, g.</summary>
    GreaseMass,

    /// <summary>The whole unit, g.</summary>
    UnitMass,

    /// <summary>The crank torque sensor's reading at no torque, N·m.</summary>
    TorqueSensorZero,

    /// <summary>Of one phase at 20 °C with its contacts, mΩ.</summary>
    PhaseResistance,

    /// <summary>Between two terminals of a star at 20 °C, mΩ.</summary>
    PairResistance,

    /// <summary>Of the magnets through one phase at 20 °C, mWb.</summary>
    FluxLinkage,

    /// <summary>Of the magnets, beside those as drawn, %.</summary>
    FluxShare,

    /// <summary>Stored rotor angle less the true one, electrical degrees.</summary>
    RotorAngle,

    /// <summary>The controller's current reading over the true current, %.</summary>
    CurrentGain,

    /// <summary>Of the rotor alone, gears out, N·m.</summary>
    RotorDrag,
}

/// <summary>How faults move what can be measured of a unit beside the load test.</summary>
public static class MeasuredQuantities
{
    /// <summary>The unit in which a reading of a quantity is given.</summary>
    public static string UnitOf(MeasuredQuantity quantity) => quantity switch
    {
        MeasuredQuantity.GreaseMass or MeasuredQuantity.UnitMass => "g",
        MeasuredQuantity.TorqueSensorZero or MeasuredQuantity.RotorDrag => "N·m",
        MeasuredQuantity.PhaseResistance or MeasuredQuantity.PairResistance => "mΩ",
        MeasuredQuantity.FluxLinkage => "mWb",
        MeasuredQuantity.RotorAngle => "° el.",
        MeasuredQuantity.CurrentGain or MeasuredQuantity.FluxShare => "%",
        _ => throw new InvalidOperationException($"Bug in Roadproof: {quantity} has no unit."),
    };

    /// <summary>What a fault of a size moves, in the quantity's unit; 0 where it moves nothing of it.</summary>
    internal static double Change(MeasuredQuantity quantity, DriveUnit unit, FaultHypothesis fault, double size)
    {
        var d = fault.At(size);
        return quantity switch
        {
            // The model knows grease by its drag; how much of it is there is the size of this one fault.
            MeasuredQuantity.GreaseMass or MeasuredQuantity.UnitMass => fault.Id == "grease-missing" ? -1000 * unit.GearDrag.GreaseMassKg * size : 0,
            MeasuredQuantity.TorqueSensorZero => d.TorqueSensorZeroNm,
            MeasuredQuantity.PhaseResistance => 1000 * (unit.Motor.PhaseResistance20Ohm * (d.ResistanceFactor - 1) + d.AddedResistanceOhm),
            MeasuredQuantity.PairResistance => 2000 * (unit.Motor.PhaseResistance20Ohm * (d.ResistanceFactor - 1) + d.AddedResistanceOhm),
            MeasuredQuantity.FluxShare => 100 * (d.FluxFactor - 1),
            MeasuredQuantity.FluxLinkage => 1000 * unit.Motor.FluxLinkage20Wb * (d.FluxFactor - 1),
            MeasuredQuantity.RotorAngle => d.RotorOffsetRad * 180 / Math.PI,
            MeasuredQuantity.CurrentGain => 100 * (d.CurrentGainFactor - 1),
            MeasuredQuantity.RotorDrag => d.AddedMotorDragNm,
            _ => throw new InvalidOperationException($"Bug in Roadproof: no fault is known to move {quantity}."),
        };
    }
}
