using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>What happens if the joint fails: danger to life, a stop on the road, a nuisance (after VDI/VDE 2862, from secondary summaries).</summary>
public enum HazardClass
{
    A,
    B,
    C,
}

/// <summary>What is required of one screw. A window that is null is not judged.</summary>
public sealed record TighteningWindow
{
    public required HazardClass Class { get; init; }
    public required TighteningGauge Gauge { get; init; }
    public FeatureWindow? FinalTorque { get; init; }

    /// <summary>Turn from the snug point, or from <see cref="AngleFromNm"/>.</summary>
    public FeatureWindow? FinalAngle { get; init; }

    /// <summary>Turn from the start to where the final angle is counted from: a head that seats early or late.</summary>
    public FeatureWindow? RundownAngle { get; init; }
    public FeatureWindow? Prevailing { get; init; }
    public FeatureWindow? Slope { get; init; }

    /// <summary>Threshold torque that the final angle is counted from; the snug point where it is null.</summary>
    public double? AngleFromNm { get; init; }

    /// <summary>A first pass has seated the screw before: its last pass has no run-down, and its angle needs a threshold to be counted from.</summary>
    public bool PrePassed { get; init; }

    /// <summary>Nominal diameter of a metal thread, for its preload; none where it is null.</summary>
    public double? DiameterM { get; init; }

    /// <summary>Classes A and B keep the guard band; class C takes the reading as it is.</summary>
    internal FeatureWindow? Guarded(FeatureWindow? window) => window is null ? null : window with { GuardFactor = Class == HazardClass.C ? 0 : Requirement.LeastSafetyGuardFactor };
}
