namespace Roadproof.Engineering.Drive;

/// <summary>How far the parts of sound units scatter, each as three standard deviations of a normal distribution.</summary>
public sealed record PartTolerances
{
    public required double FluxShare { get; init; }
    public required double ResistanceShare { get; init; }
    public required double MotorDragNm { get; init; }
    public required double GearDragShare { get; init; }
    public required double MeshShare { get; init; }
    public required double RotorOffsetDeg { get; init; }
    public required double CurrentGainShare { get; init; }

    /// <summary>0 for a unit without a torque sensor.</summary>
    public double TorqueSensorZeroNm { get; init; }

    /// <summary>Of the drags at the crank (seals, overrunning clutches), each by itself; null where nobody knows.</summary>
    public double? CrankDragShare { get; init; }

    /// <summary>Of the angle that the drive train turns before it takes up; null where nobody knows.</summary>
    public double? TakeUpDeg { get; init; }
}
