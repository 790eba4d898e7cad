using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Everything that a load test of one product is judged by; one approved route revision holds one of these and never changes it.</summary>
public sealed record LoadTestPlan
{
    public required DriveUnit Unit { get; init; }
    public required PartTolerances Tolerances { get; init; }
    public required LoadCycle Cycle { get; init; }
    public required RigGauges Gauges { get; init; }

    /// <summary>Requirement limits by characteristic id; a characteristic that the load test cannot compute is refused when the plan is approved.</summary>
    public required IReadOnlyList<RequirementLimit> Requirements { get; init; }

    /// <summary>What sound units look like where no model from first principles exists (vibration): mean and standard deviation over proven units.</summary>
    public required IReadOnlyList<PopulationExpectation> Population { get; init; }

    /// <summary>Where proven units were found to read otherwise than the model: their mean and scatter stand in its place, its correlations and what faults move stay.</summary>
    public IReadOnlyList<PopulationExpectation> Expected { get; init; } = [];

    /// <summary>Wrong alarms accepted per sound unit over all expectations together.</summary>
    public double FalseAlarm { get; init; } = 0.01;

    /// <summary>Rolling radius behind the rig's wheel speed channel, m.</summary>
    public required double WheelRadiusM { get; init; }

    /// <summary>What turns with the output between the unit and the rig's torque sensor (clamp, coupling, half the sensor), kg·m².</summary>
    public double CouplingInertiaKgM2 { get; init; }
}

/// <summary>A characteristic whose expectation comes from proven units.</summary>
public sealed record PopulationExpectation
{
    public required string Id { get; init; }

    /// <summary>Mean over proven units, in the characteristic's unit.</summary>
    public required double Mean { get; init; }

    /// <summary>Over proven units, reading noise included.</summary>
    public required double StandardDeviation { get; init; }

    /// <summary>How many units, from where, when.</summary>
    public required string Origin { get; init; }
}
