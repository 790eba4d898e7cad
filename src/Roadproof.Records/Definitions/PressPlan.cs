using Roadproof.Engineering.Checks;

namespace Roadproof.Records.Definitions;

/// <summary>What the force over distance of a press-in must show; the reading's own limits are those of the block force, or of the largest force where nothing blocks. An edge that is left out is not judged.</summary>
public sealed record PressPlan
{
    public double? EntryUpperN { get; init; }
    public double? SlopeLowerNPerMm { get; init; }
    public double? SlopeUpperNPerMm { get; init; }

    /// <summary>Of the force just before the part sits.</summary>
    public double? PressLowerN { get; init; }
    public double? PressUpperN { get; init; }

    /// <summary>Distance at which the part sits.</summary>
    public double? SeatLowerMm { get; init; }
    public double? SeatUpperMm { get; init; }

    /// <summary>Distance at which the ram turns round.</summary>
    public double? EndLowerMm { get; init; }
    public double? EndUpperMm { get; init; }

    /// <summary>Largest fall of the force within a slip.</summary>
    public double? SlipUpperN { get; init; }
    public IReadOnlyList<PressBand> Bands { get; init; } = [];

    /// <summary>Standard uncertainty of the force gauge, as a share.</summary>
    public double ForceUncertaintyShare { get; init; } = 0.005;

    /// <summary>Standard uncertainty of the distance.</summary>
    public double DistanceUncertaintyMm { get; init; } = 0.01;

    /// <summary>Everything that a stroke is judged by.</summary>
    public PressTest Test(StepReading reading)
    {
        var limits = new Dictionary<string, FeatureWindow>(StringComparer.Ordinal);
        Add(PressVerdict.EntryForce, null, EntryUpperN);
        Add(PressVerdict.Slope, SlopeLowerNPerMm, SlopeUpperNPerMm);
        Add(PressVerdict.PressForce, PressLowerN, PressUpperN);
        Add(PressVerdict.Seat, SeatLowerMm, SeatUpperMm);
        Add(PressVerdict.End, EndLowerMm, EndUpperMm);
        Add(PressVerdict.StickSlip, null, SlipUpperN);
        Add(PressVerdict.BlockForce, reading.Lower, reading.Upper);
        return new()
        {
            Limits = limits, ForceGainShare = ForceUncertaintyShare, DistanceUncertaintyM = DistanceUncertaintyMm / 1e3,
            Windows = [.. Bands.Select(b => new PressWindow(b.Id, b.FromMm / 1e3, b.ToMm / 1e3, b.LowerN, b.UpperN))],
        };

        void Add(string feature, double? lower, double? upper)
        {
            if ((lower ?? upper) is not null) limits[feature] = new(lower, upper, reading.Origin, reading.Guard);
        }
    }
}

/// <summary>From one distance to another the force stays between two edges.</summary>
public sealed record PressBand
{
    public required string Id { get; init; }
    public required double FromMm { get; init; }
    public required double ToMm { get; init; }
    public double? LowerN { get; init; }
    public double? UpperN { get; init; }
}
