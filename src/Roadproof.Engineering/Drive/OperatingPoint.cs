using System.Globalization;

namespace Roadproof.Engineering.Drive;

/// <summary>What is asked of a unit: torque and speed at its output, and the conditions around it.</summary>
/// <param name="TorqueNm">Drive torque at the output, N·m; without the rider's share. Negative when the output drives the motor.</param>
/// <param name="SpeedRadPerS">Speed of the output, rad/s; 0 or more.</param>
public readonly record struct PointRequest(double TorqueNm, double SpeedRadPerS)
{
    public double WindingC { get; init; } = 20;
    public double MagnetC { get; init; } = 20;

    /// <summary>Open-circuit voltage of the supply, V; null for the unit's nominal voltage.</summary>
    public double? BusV { get; init; }

    /// <summary>Battery and cable resistance, Ω; 0 is a stiff supply.</summary>
    public double SourceOhm { get; init; }
}

/// <summary>Where the input power goes that does not reach the output, W.</summary>
/// <param name="CopperW">Windings, with added contact resistance.</param>
/// <param name="IronW">Hysteresis and eddy currents.</param>
/// <param name="FrictionW">Motor bearings, and what rubs in the motor.</param>
/// <param name="InverterW">Standing, conduction and switching loss.</param>
/// <param name="GearsW">Meshes and gear drag.</param>
public readonly record struct Losses(double CopperW, double IronW, double FrictionW, double InverterW, double GearsW)
{
    public double TotalW => CopperW + IronW + FrictionW + InverterW + GearsW;
}

/// <summary>A limit that a point goes beyond, or that ends a unit's torque.</summary>
[Flags]
public enum DriveLimits
{
    None = 0,
    PhaseCurrent = 1,
    PhaseVoltage = 2,
    BusCurrent = 4,

    /// <summary>The battery behind its resistance cannot give the power at any current.</summary>
    SupplyPower = 8,
}

/// <summary>A unit in steady running at one torque and speed.</summary>
/// <remarks>
/// A point that is not <see cref="Reachable"/> still carries the values that it would need; <see cref="Reason"/> holds them against the limits.
/// Where no d current fits the voltage, the d current is the one that needs the least voltage; where the supply collapses, the values are
/// those at half its voltage, where it gives its most.
/// </remarks>
public readonly record struct OperatingPoint
{
    public double PhaseCurrentPeakA { get; init; }

    /// <summary>Current along the magnets' axis, A peak; below 0 where the field is weakened.</summary>
    public double IdA { get; init; }

    /// <summary>Current that the controller sends across the magnets' axis, A peak.</summary>
    public double IqA { get; init; }
    public double VdV { get; init; }
    public double VqV { get; init; }

    /// <summary>At the unit's terminals, V; below the supply's by what its resistance takes.</summary>
    public double BusVoltageV { get; init; }
    public double BusCurrentA { get; init; }
    public double BusPowerW { get; init; }

    /// <summary>At the output, W.</summary>
    public double ShaftPowerW { get; init; }

    /// <summary>Output power by bus power; 0 where the unit delivers none.</summary>
    public double Efficiency { get; init; }
    public Losses Losses { get; init; }
    public double RotorSpeedRadPerS { get; init; }
    public double ElectricalHz { get; init; }
    public double ElectromagneticTorqueNm { get; init; }

    /// <summary>Part of the electromagnetic torque that friction, iron and gear drag take at the rotor, N·m.</summary>
    public double RotorDragNm { get; init; }

    /// <summary>Largest phase current that the controller lets flow, A peak.</summary>
    public double PhaseCurrentLimitPeakA { get; init; }

    /// <summary>Largest phase voltage that the modulator can make from the bus, V peak.</summary>
    public double PhaseVoltageLimitV { get; init; }
    public double BusCurrentLimitA { get; init; }

    /// <summary>Largest power that the supply can give at any current, W; infinite for a stiff supply.</summary>
    public double SupplyPowerLimitW { get; init; }

    /// <summary>Every limit that the point goes beyond.</summary>
    public DriveLimits Beyond { get; init; }

    public bool FieldWeakening => IdA < 0;
    public bool Reachable => Beyond == DriveLimits.None;
    public double PhaseVoltageV => Math.Sqrt(VdV * VdV + VqV * VqV);

    /// <summary>Why the point cannot be reached, in one sentence with numbers; empty if it can.</summary>
    public string Reason
    {
        get
        {
            if (Reachable) return "";
            var parts = new List<string>(4);
            if (Beyond.HasFlag(DriveLimits.PhaseCurrent)) parts.Add(Needs(PhaseCurrentPeakA, PhaseCurrentLimitPeakA, "A peak in a phase"));
            if (Beyond.HasFlag(DriveLimits.PhaseVoltage)) parts.Add(Needs(PhaseVoltageV, PhaseVoltageLimitV, "V of phase voltage"));
            if (Beyond.HasFlag(DriveLimits.BusCurrent)) parts.Add(Needs(BusCurrentA, BusCurrentLimitA, "A from the bus"));
            if (Beyond.HasFlag(DriveLimits.SupplyPower)) parts.Add(Needs(BusPowerW, SupplyPowerLimitW, "W from the supply"));
            return string.Join("; ", parts);
        }
    }

    static string Needs(double value, double limit, string what)
    {
        // Just beyond a limit both would read the same: write as many digits as tell them apart.
        for (var digits = 1; ; digits++)
        {
            var (needed, allowed) = (Text(value, digits), Text(limit, digits));
            if (needed != allowed || digits == 9) return $"needs {needed} {what}, the limit is {allowed} {what.Split(' ')[0]}";
        }
    }

    static string Text(double value, int digits) => value.ToString("F" + digits.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
}
