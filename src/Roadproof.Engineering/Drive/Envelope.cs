using System.Globalization;

namespace Roadproof.Engineering.Drive;

/// <summary>The most torque at a speed, and what ends it.</summary>
/// <param name="TorqueNm">At the output, N·m; 0 where the unit cannot even turn free at that speed.</param>
/// <param name="Binding">The limit that stands at that torque.</param>
/// <param name="MoreNm">A little more torque, N·m.</param>
/// <param name="More">What that would need.</param>
public readonly record struct TorqueLimit(double TorqueNm, DriveLimits Binding, double MoreNm, OperatingPoint More)
{
    /// <summary>What a little more torque would need, with numbers.</summary>
    public string Reason => string.Create(CultureInfo.InvariantCulture, $"{MoreNm:F1} N·m {More.Reason}");
}

/// <summary>The edges of what a unit can do: torque at standstill and at speed, and speed without load.</summary>
public static class Envelope
{
    /// <summary>Torque at the output with the rotor locked and the phase current at its limit, N·m; drags count against it.</summary>
    /// <remarks>A locked unit heats one phase more than the others and fast: this is a moment's torque, not one to hold.</remarks>
    public static double StallTorqueNm(DriveUnit unit, Deviation deviation, double magnetC = 20) =>
        CurrentLimitedTorqueNm(unit, deviation, new(0, 0) { MagnetC = magnetC });

    /// <summary>Highest output speed without load that needs no field weakening, rad/s; 0 where the unit cannot even break loose.</summary>
    /// <param name="busV">Bus voltage, V; null for nominal.</param>
    public static double NoLoadSpeedRadPerS(DriveUnit unit, Deviation deviation, double? busV = null, double windingC = 25, double magnetC = 25)
    {
        var request = new PointRequest(0, 0) { BusV = busV, WindingC = windingC, MagnetC = magnetC };

        if (!OperatingPoints.Solve(unit, deviation, request).Reachable) return 0;

        // The back-EMF alone fills the voltage here; drag current only brings the speed down from it.
        var usableV = unit.Inverter.UsableVoltageShare * (busV ?? unit.Supply.NominalV) / Math.Sqrt(3);
        var (lower, upper) = (0.0, usableV / (unit.Motor.FluxLinkageWb(magnetC) * deviation.FluxFactor * unit.Motor.PolePairs * unit.Ratio));
        while (upper - lower > 1e-12 * upper)
        {
            var middle = (lower + upper) / 2;
            var point = OperatingPoints.Solve(unit, deviation, request with { SpeedRadPerS = middle });
            if (point.Reachable && !point.FieldWeakening) lower = middle;
            else upper = middle;
        }

        return lower;
    }

    /// <summary>The most torque that a unit reaches at a speed and conditions, and the limit that binds.</summary>
    /// <param name="conditions">Speed, temperatures and supply; its torque is not looked at.</param>
    /// <remarks>Within 1e-9 of the torque. One solution where the phase current binds, some thirty otherwise.</remarks>
    public static TorqueLimit MaximumTorque(DriveUnit unit, Deviation deviation, in PointRequest conditions)
    {
        var free = At(0, conditions);
        if (!free.Reachable) return new(0, free.Beyond, 0, free);

        // The q current alone ends here; reluctance torque in the weakened field may lift the edge a little above.
        var (lower, upper) = (0.0, CurrentLimitedTorqueNm(unit, deviation, conditions));
        if (At(upper, conditions).Reachable) (lower, upper) = (upper, upper * (1 + 1e-9) + 1e-9);
        while (At(upper, conditions).Reachable) (lower, upper) = (upper, upper * 1.1);
        while (upper - lower > 1e-9 * (1 + upper))
        {
            var middle = (lower + upper) / 2;
            if (At(middle, conditions).Reachable) lower = middle;
            else upper = middle;
        }

        var moreNm = lower * 1.01 + 0.05;
        return new(lower, At(lower + 1e-6 * (1 + lower), conditions).Beyond, moreNm, At(moreNm, conditions));

        OperatingPoint At(double torqueNm, in PointRequest where) => OperatingPoints.Solve(unit, deviation, where with { TorqueNm = torqueNm });
    }

    static double CurrentLimitedTorqueNm(DriveUnit unit, Deviation deviation, in PointRequest conditions)
    {
        var motor = unit.Motor;
        var share = 1 / deviation.CurrentGainFactor;
        var limitA = motor.PhaseCurrentLimitPeakA * share;
        var fluxWb = motor.FluxLinkageWb(conditions.MagnetC) * deviation.FluxFactor * (1 - motor.SaturationAtCurrentLimit * share * share);
        var airGapNm = Math.Cos(deviation.RotorOffsetRad) * DqEquations.TorqueNm(motor.PolePairs, fluxWb, motor.InductanceDH, motor.InductanceQH, 0, limitA);
        var dragNm = OperatingPoints.Solve(unit, deviation, conditions with { TorqueNm = 0 }).RotorDragNm;
        return Math.Max(0, (airGapNm - dragNm) * unit.Ratio * unit.MeshEfficiency * deviation.MeshFactor);
    }
}
