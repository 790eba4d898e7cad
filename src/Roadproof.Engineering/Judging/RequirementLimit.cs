namespace Roadproof.Engineering.Judging;

/// <summary>An edge that rider, law or customer sets; judged with a guard band because measuring is uncertain.</summary>
/// <remarks>Source: JCGM 106:2012. An edge that is null does not exist.</remarks>
public sealed record RequirementLimit
{
    /// <summary>The characteristic that is limited.</summary>
    public required string Id { get; init; }
    public required string Name { get; init; }

    /// <summary>Unit as written on pages: N·m, A, s, km/h, cm³/min …</summary>
    public required string Unit { get; init; }
    public double? Lower { get; init; }
    public double? Upper { get; init; }

    /// <summary>Standard uncertainty that no reading brings along: all of it where readings bring none, else what their own leaves out. Added in squares; in the unit of the limit.</summary>
    public double StandardUncertainty { get; init; }

    /// <summary>Guard band as a multiple of the standard uncertainty; 1.64 leaves at most 5 % consumer's risk at the edge.</summary>
    public double GuardFactor { get; init; } = 1.64;

    /// <summary>A safety function: never retested without repair.</summary>
    public bool Safety { get; init; }

    /// <summary>Never retested without repair although it is no safety function: a clutch that slipped, insulation.</summary>
    public bool NoRetest { get; init; }

    /// <summary>Where the edge comes from: a clause, a customer, "common practice, no source".</summary>
    public required string Origin { get; init; }
}
