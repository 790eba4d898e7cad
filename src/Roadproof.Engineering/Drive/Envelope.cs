namespace Roadproof.Engineering.Drive;

/// <summary>The most torque at a speed, and what ends it.</summary>
/// <param name="TorqueNm">At the output, N·m; 0 where the unit cannot even turn free at that speed.</param>
/// <param name="Binding">The limit that the next newton metre would break.</param>
/// <param name="Reason">What a little more torque would need, with numbers.</param>
public readonly record struct TorqueLimit(double TorqueNm, DriveLimits Binding, string Reason);

/// <summary>The edges of what a unit can do: torque at standstill and at speed, and speed without load.</summary>
public static class Envelope
{
    /// <summary>Torque at the output with the rotor locked and the phase current at its limit, N·m; drags count against it.</summary>
    /// <remarks>A locked unit heats one phase more than the others and fast: this is a moment's torque, not one to hold.</remarks>
    public static double StallTorqueNm(DriveUnit unit, Deviation deviation, double magnetC = 20) =>
        CurrentLimitedTorqueNm(unit, deviation, new(0, 0) { MagnetC = magnetC });

    /// <summary>Highest output speed without load that needs no field weakening, rad/s.</summary>
    /// <param name="busV">Bus voltage, V; null for nominal.</param>
    public static double NoLoadSpeedRadPerS(DriveUnit unit, Deviation deviation, double? busV = null, double windingC = 25, double magnetC = 25)
    {
        var request = new PointRequest(0, 0) { BusV = busV, WindingC = windingC, MagnetC = magnetC };

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
        var free = OperatingPoints.Solve(unit, deviation, conditions with { TorqueNm = 0 });
        if (!free.Reachable) return new(0, free.Beyond, free.Reason);

        var byCurrentNm = CurrentLimitedTorqueNm(unit, deviation, conditions);
        var atCurrentLimit = OperatingPoints.Solve(unit, deviation, conditions with { TorqueNm = byCurrentNm });
        var (lower, upper) = atCurrentLimit.Reachable
            ? (byCurrentNm, byCurrentNm * (1 + 1e-8))
            : (0, byCurrentNm);

        // Reluctance torque in the weakened field may lift the edge above the torque of the q current alone.
        if (atCurrentLimit is { Reachable: true, FieldWeakening: true })
        {
            while (OperatingPoints.Solve(unit, deviation, conditions with { TorqueNm = upper }).Reachable) (lower, upper) = (upper, upper * 1.1);
        }

        while (upper - lower > 1e-9 * upper)
        {
            var middle = (lower + upper) / 2;
            if (OperatingPoints.Solve(unit, deviation, conditions with { TorqueNm = middle }).Reachable) lower = middle;
            else upper = middle;
        }

        var beyond = OperatingPoints.Solve(unit, deviation, conditions with { TorqueNm = upper * (1 + 1e-6) + 1e-9 });
        return new(lower, beyond.Beyond, beyond.Reason);
    }

    static double CurrentLimitedTorqueNm(DriveUnit unit, Deviation deviation, in PointRequest conditions)
    {
        var motor = unit.Motor;
        var limitA = motor.PhaseCurrentLimitPeakA / deviation.CurrentGainFactor;
        var share = Math.Min(1, limitA / motor.PhaseCurrentLimitPeakA);
        var fluxWb = motor.FluxLinkageWb(conditions.MagnetC) * deviation.FluxFactor * (1 - motor.SaturationAtCurrentLimit * share * share);
        var airGapNm = Math.Cos(deviation.RotorOffsetRad) * DqEquations.TorqueNm(motor.PolePairs, fluxWb, motor.InductanceDH, motor.InductanceQH, 0, limitA);
        var dragNm = OperatingPoints.Solve(unit, deviation, conditions with { TorqueNm = 0 }).RotorDragNm;
        return Math.Max(0, (airGapNm - dragNm) * unit.Ratio * unit.MeshEfficiency * deviation.MeshFactor);
    }
}
