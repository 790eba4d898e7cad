namespace Roadproof.Records.Rides;

/// <summary>What is known of a kept ride beside its seconds; stands as YAML beside the table.</summary>
public sealed record RideFacts
{
    /// <summary>The first 16 hex digits of <see cref="Sha256"/>.</summary>
    public string Id { get; init; } = "";

    /// <summary>The file's name as it was sent, without folders.</summary>
    public string Name { get; init; } = "";

    /// <summary>What the original was: "FIT", "GPX track", "TCX activity" or "CSV".</summary>
    public string Format { get; init; } = "";

    /// <summary>Of the original's bytes, which are not kept: the same file again is known by it.</summary>
    public string Sha256 { get; init; } = "";

    /// <summary>Null when the original has no times of day.</summary>
    public DateTimeOffset? StartedAt { get; init; }

    public DateTimeOffset KeptAt { get; init; }

    /// <summary>An opaque key; empty where nobody said.</summary>
    public string SentBy { get; init; } = "";

    /// <summary>Along the way; 0 for a ride without a road.</summary>
    public double DistanceM { get; init; }

    /// <summary>On the heights as recorded, before their drift was taken off; null without heights.</summary>
    public double? AscentM { get; init; }

    /// <summary>From the first to the last time of the recording.</summary>
    public double ElapsedS { get; init; }

    /// <summary>"positions", "recorder" (its own count or speed) or "nothing", as the original told it.</summary>
    public string WayFrom { get; init; } = "";

    /// <summary>What was mended while reading and finding the way, one sentence each.</summary>
    public IReadOnlyList<string> Repaired { get; init; } = [];
}

/// <summary>What became of a ride that was sent.</summary>
/// <param name="New">False when the same file was there already.</param>
public sealed record KeptRide(RideFacts Ride, bool New);
