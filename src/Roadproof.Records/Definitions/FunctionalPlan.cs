using Roadproof.Engineering.Checks.Functional;
using Roadproof.Engineering.LoadTest;

namespace Roadproof.Records.Definitions;

/// <summary>A step whose readings come from one capture of slow turning; their limits are those of the step's readings of the same ids.</summary>
public sealed record FunctionalPlan
{
    /// <summary>The name by which a station sends the capture.</summary>
    public const string CheckId = "functional";

    /// <summary>Ids of the step's readings that the capture gives.</summary>
    public required IReadOnlyList<string> Readings { get; init; }

    /// <summary>Speed at which the servo turns.</summary>
    public required double TurnDegPerS { get; init; }

    /// <summary>Torque to which the clutch is loaded, unless it lets go.</summary>
    public required double RampToNm { get; init; }

    /// <summary>Standard uncertainty of the servo's torque, as a share.</summary>
    public double TorqueUncertaintyShare { get; init; } = 0.005;

    /// <summary>Standard uncertainty of its zero.</summary>
    public double TorqueZeroUncertaintyNm { get; init; } = 0.003;

    /// <summary>Standard uncertainty of an angle between two places.</summary>
    public double AngleUncertaintyDeg { get; init; } = 0.05;

    /// <summary>Everything that the capture is judged by.</summary>
    public FunctionalTest Test(RouteStep step, LoadTestPlan product)
    {
        var limits = FunctionalVerdict.UsualLimits(product.Unit);
        foreach (var reading in step.Readings.Where(r => Readings.Contains(r.Id) && (r.Lower ?? r.Upper) is not null)) limits[reading.Id] = new(reading.Lower, reading.Upper, reading.Origin, reading.Guard);
        return new()
        {
            Unit = product.Unit, Tolerances = product.Tolerances, FalseAlarm = product.FalseAlarm, Limits = limits,
            TorqueGainShare = TorqueUncertaintyShare, TorqueZeroNm = TorqueZeroUncertaintyNm, AngleDeg = AngleUncertaintyDeg,
        };
    }
}
