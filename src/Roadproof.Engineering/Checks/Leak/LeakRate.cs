using Roadproof.Engineering.Quantities;

namespace Roadproof.Engineering.Checks;

/// <summary>Units in which leaks are written.</summary>
public enum LeakUnit
{
    /// <summary>Volume at reference conditions, m³/s.</summary>
    M3PerS,

    /// <summary>Volume at reference conditions, cm³/min.</summary>
    Cm3PerMin,

    /// <summary>Pressure times volume per time at the gas's own temperature, Pa·m³/s.</summary>
    PaM3PerS,

    /// <summary>The same in mbar·l/s: a tenth of a Pa·m³/s.</summary>
    MbarLPerS,
}

/// <summary>Pressure and temperature at which a volume of gas is stated.</summary>
public sealed record GasConditions(double PressurePa, double TemperatureK)
{
    /// <summary>101 325 Pa and 0 °C (DIN 1343, "sccm"; from memory).</summary>
    public static readonly GasConditions Normal = new(101_325, ZeroCelsiusK);

    /// <summary>101 325 Pa and 20 °C: the one that Roadproof's limits are stated at.</summary>
    public static readonly GasConditions Room = new(101_325, ZeroCelsiusK + ReferenceConditions.TemperatureC);

    /// <summary>100 kPa and 20 °C (ISO 8778, "ANR"; from memory).</summary>
    public static readonly GasConditions Pneumatic = new(100_000, ZeroCelsiusK + ReferenceConditions.TemperatureC);

    /// <summary>0 °C, K.</summary>
    public const double ZeroCelsiusK = 273.15;
}

/// <summary>Leaks of a closed volume from its pressure decay, and their units.</summary>
/// <remarks>Ideal gas, n = p·V/(R·T). Method and sources: <c>docs/methods/leak.md</c>.</remarks>
public static class LeakRate
{
    public const double StandardPressurePa = 101_325;
    public const double Cm3PerMinPerM3PerS = 60e6;

    /// <summary>m³/s at reference conditions that one Pa/s of decay in 1 m³ of gas stands for: T_ref/(p_ref·T).</summary>
    public static double PerPaM3(GasConditions reference, double gasK) => reference.TemperatureK / (reference.PressurePa * gasK);

    /// <summary>The same leak in another unit.</summary>
    /// <param name="gasK">Temperature of the gas whose p·V is counted; parts the two kinds of unit.</param>
    public static double Convert(double value, LeakUnit from, LeakUnit to, GasConditions reference, double gasK) =>
        value * InPaM3PerS(from, reference, gasK) / InPaM3PerS(to, reference, gasK);

    static double InPaM3PerS(LeakUnit unit, GasConditions reference, double gasK) => unit switch
    {
        LeakUnit.M3PerS => 1 / PerPaM3(reference, gasK),
        LeakUnit.Cm3PerMin => 1 / PerPaM3(reference, gasK) / Cm3PerMinPerM3PerS,
        LeakUnit.PaM3PerS => 1,
        LeakUnit.MbarLPerS => 0.1,
        _ => throw new ArgumentOutOfRangeException(nameof(unit), unit, "A leak is written in one of the units of LeakUnit."),
    };
}
