using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.Checks.Functional;

/// <summary>What a functional check is read and judged by.</summary>
public sealed record FunctionalTest
{
    /// <summary>As drawn; has a crank side.</summary>
    public required DriveUnit Unit { get; init; }
    public required PartTolerances Tolerances { get; init; }

    /// <summary>Requirement limits by feature id (<see cref="FunctionalVerdict"/>).</summary>
    public required IReadOnlyDictionary<string, FeatureWindow> Limits { get; init; }

    /// <summary>Wrong alarms accepted per sound unit over all expectations together.</summary>
    public double FalseAlarm { get; init; } = 0.01;

    /// <summary>Standard uncertainty of the servo's torque: gain as a share, and zero. Common practice, no source.</summary>
    public double TorqueGainShare { get; init; } = 0.005;
    public double TorqueZeroNm { get; init; } = 0.003;

    /// <summary>Standard uncertainty of an angle between two places.</summary>
    public double AngleDeg { get; init; } = 0.05;

    /// <summary>Standard uncertainty of one phase's current beside the others, as a share.</summary>
    public double PhaseGainShare { get; init; } = 0.002;

    /// <summary>How far the drags of the drawing are trusted, as a share: one standard deviation, the same for all units. Common practice, no source.</summary>
    public double DragTrustShare { get; init; } = 0.03;

    /// <summary>Change of grease and seal drag that a kelvin away from 20 °C may make, as a share. Common practice, no source.</summary>
    public double DragSharePerK { get; init; } = 0.01;

    /// <summary>Standard uncertainty of the part's temperature where it was not recorded, K from 20 °C. Common practice, no source.</summary>
    public double UnknownTemperatureK { get; init; } = 4;

    public CrankSide Crank => Unit.CrankSide ?? throw new InvalidOperationException("Bug in Roadproof: a unit without a crank has no functional check by the crank.");
}
