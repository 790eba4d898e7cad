namespace Roadproof.Engineering.LoadTest;

/// <summary>What a rig's instruments are trusted to: one gauge for each channel it measures.</summary>
public sealed record RigGauges
{
    public required IReadOnlyList<Gauge> Gauges { get; init; }

    /// <exception cref="ArgumentException">The channel has no gauge.</exception>
    public Gauge Of(string channel) => Gauges.FirstOrDefault(g => g.Channel == channel)
        ?? throw new ArgumentException($"No gauge is defined for channel {channel}.", nameof(channel));
}

/// <summary>A channel's instrument: standard uncertainties of its gain (a share) and zero (in the channel's unit), which stay for a rig until it is
/// calibrated again,
/// and the noise of one sample (rms, in the channel's unit).</summary>
public sealed record Gauge
{
    public required string Channel { get; init; }
    public required double GainShare { get; init; }
    public required double Zero { get; init; }
    public required double NoiseRms { get; init; }

    /// <summary>Smallest step that it shows, in the channel's unit; 0 where its noise is wider than its steps, so that a mean is not bound to them.</summary>
    public double Resolution { get; init; }

    /// <summary>The sensor sits in the unit and changes with it (a winding sensor), not with the rig.</summary>
    public bool InUnit { get; init; }
}
