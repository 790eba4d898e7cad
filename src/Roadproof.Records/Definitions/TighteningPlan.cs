using Roadproof.Engineering.Checks;
using Roadproof.Engineering.Checks.Tightening;

namespace Roadproof.Records.Definitions;

/// <summary>What a group's torque-angle curves must show beside final torque and angle. An edge that is left out is not judged.</summary>
public sealed record TighteningPlan
{
    /// <summary>Standard uncertainty of an angle, wind-up of spindle and bit among it.</summary>
    public double StandardUncertaintyDeg { get; init; } = 1;

    /// <inheritdoc cref="TighteningWindow.AngleFromNm"/>
    public double? AngleFromNm { get; init; }

    /// <inheritdoc cref="TighteningWindow.PrePassed"/>
    public bool PrePassed { get; init; }
    public double? RundownLowerDeg { get; init; }
    public double? RundownUpperDeg { get; init; }
    public double? PrevailingLowerNm { get; init; }
    public double? PrevailingUpperNm { get; init; }
    public double? SlopeLowerNmPerDeg { get; init; }
    public double? SlopeUpperNmPerDeg { get; init; }

    /// <summary>Nominal diameter of a metal thread, for its preload.</summary>
    public double? DiameterMm { get; init; }

    /// <summary>Numbers of the screws in the order in which they are tightened; empty where any order will do.</summary>
    public IReadOnlyList<int> Order { get; init; } = [];

    /// <summary>The first screw is turned on by a few degrees after the last: what it has lost by then is judged.</summary>
    public bool FirstScrewRecheck { get; init; }

    /// <summary>Everything that one screw of the group is judged by.</summary>
    public TighteningWindow Window(ScrewGroup group) => new()
    {
        Class = Enum.Parse<HazardClass>(group.Class),
        Gauge = new(group.StandardUncertaintyNm, StandardUncertaintyDeg),
        FinalTorque = new(group.TorqueLowerNm, group.TorqueUpperNm, group.Origin),
        FinalAngle = new(group.AngleLowerDeg, group.AngleUpperDeg, group.Origin),
        RundownAngle = Edges(RundownLowerDeg, RundownUpperDeg, group),
        Prevailing = Edges(PrevailingLowerNm, PrevailingUpperNm, group),
        Slope = Edges(SlopeLowerNmPerDeg, SlopeUpperNmPerDeg, group),
        AngleFromNm = AngleFromNm,
        PrePassed = PrePassed,
        DiameterM = DiameterMm / 1000,
    };

    /// <summary>The order that is required; any order with each screw once, where none is.</summary>
    public TighteningPattern Pattern(IReadOnlyList<int> driven, int count) => new(Order.Count > 0 ? Order : [.. driven.Where(n => n <= count).Concat(Enumerable.Range(1, count)).Distinct()], FirstScrewRecheck);

    static FeatureWindow? Edges(double? lower, double? upper, ScrewGroup group) => (lower ?? upper) is null ? null : new(lower, upper, group.Origin);
}
