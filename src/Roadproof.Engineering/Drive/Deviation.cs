namespace Roadproof.Engineering.Drive;

/// <summary>How one real unit differs from its drawing: part scatter and faults speak the same language.</summary>
/// <remarks>The default is a unit exactly as drawn. Factors are 1 and additions 0 for "as drawn".</remarks>
public sealed record Deviation
{
    public static readonly Deviation None = new();

    public double FluxFactor { get; init; } = 1;
    public double ResistanceFactor { get; init; } = 1;

    /// <summary>Contact resistance in every phase, Ω.</summary>
    public double AddedResistanceOhm { get; init; }

    /// <summary>Added Coulomb drag at the rotor, N·m.</summary>
    public double AddedMotorDragNm { get; init; }
    public double GearDragFactor { get; init; } = 1;
    public double MeshFactor { get; init; } = 1;

    /// <summary>Error of the stored rotor angle, rad electrical.</summary>
    public double RotorOffsetRad { get; init; }

    /// <summary>The controller's current reading divided by the true current.</summary>
    public double CurrentGainFactor { get; init; } = 1;

    /// <summary>The crank torque sensor's reading at no torque, N·m.</summary>
    public double TorqueSensorZeroNm { get; init; }

    /// <summary>Size of the blow that one damaged tooth of the stage-1 wheel gives once per wheel turn, m/s² at the shell; 0 for sound gears.</summary>
    public double ToothBlowMPerS2 { get; init; }

    /// <summary>Both deviations in one unit: factors multiply, additions add.</summary>
    public Deviation With(Deviation other) => new()
    {
        FluxFactor = FluxFactor * other.FluxFactor,
        ResistanceFactor = ResistanceFactor * other.ResistanceFactor,
        AddedResistanceOhm = AddedResistanceOhm + other.AddedResistanceOhm,
        AddedMotorDragNm = AddedMotorDragNm + other.AddedMotorDragNm,
        GearDragFactor = GearDragFactor * other.GearDragFactor,
        MeshFactor = MeshFactor * other.MeshFactor,
        RotorOffsetRad = RotorOffsetRad + other.RotorOffsetRad,
        CurrentGainFactor = CurrentGainFactor * other.CurrentGainFactor,
        TorqueSensorZeroNm = TorqueSensorZeroNm + other.TorqueSensorZeroNm,
        ToothBlowMPerS2 = ToothBlowMPerS2 + other.ToothBlowMPerS2,
    };
}
