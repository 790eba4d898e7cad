using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>What a rig can do, and what a cycle on it may do to the unit.</summary>
public sealed record RigLimits
{
    /// <summary>Largest torque at the unit's output, N·m; null for the unit's own.</summary>
    public double? MaximumTorqueNm { get; init; }

    /// <summary>Slowest and fastest speed of the output under torque, rad/s; null for a third and seven fifths of the unit's rated speed.</summary>
    public double? SlowestRadPerS { get; init; }
    public double? FastestRadPerS { get; init; }

    /// <summary>Winding's highest temperature, °C; null for 10 K below the start of derating.</summary>
    public double? WindingC { get; init; }

    public double AmbientC { get; init; } = 23;

    /// <summary>Air over the unit, m/s: 0 for none, 5.56 for a fan like 20 km/h. At most 6, so that no unit takes it for the end of assistance.</summary>
    public double AirMps { get; init; } = 4;

    /// <summary>No point is held for less, s: torque and speed need it to settle.</summary>
    public double ShortestHoldS { get; init; } = 2;

    /// <summary>At the end of derating the unit gives no torque any more: a limit above it holds nothing.</summary>
    internal static IEnumerable<InputError> TooHot(double? windingC, DriveUnit unit) => windingC > unit.Motor.DeratingEndC
        ? [new("rig limits", 0, "windingC", Invariant($"{windingC} °C"), Invariant($"at most {unit.Motor.DeratingEndC:0.#} °C, at which the unit's winding has derated to no torque"))]
        : [];
}
