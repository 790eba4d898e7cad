namespace Roadproof.Engineering.Formats;

/// <summary>What a rig recorded in one run: one table for each sample rate.</summary>
/// <param name="Header">Which unit, rig and attempt; from the files' metadata.</param>
/// <param name="Tables">At least one; a channel may stand in several tables at different rates.</param>
public sealed record Capture(CaptureHeader Header, IReadOnlyList<CaptureTable> Tables);

/// <summary>Which unit, rig, route revision and attempt a capture belongs to; a field is null where the file does not say.</summary>
public sealed record CaptureHeader(string? Item, string? Rig, string? Revision, int? Attempt, DateTimeOffset? StartedAt)
{
    /// <summary>How long the unit had stood when the run began, where the rig knows it, s.</summary>
    public double? IdleS { get; init; }

    public static readonly CaptureHeader Unknown = new(null, null, null, null, null);
}

/// <summary>One file of a capture: rows of samples that share their times.</summary>
/// <param name="Source">The file's name, for errors.</param>
/// <param name="TimeS">Seconds since the start of the run, strictly rising, shape [n]; a gap divides windows.</param>
/// <param name="Channels">Samples by channel name (with its unit in the name), each of shape [n]; NaN where a sample is missing.</param>
public sealed record CaptureTable(string Source, double[] TimeS, IReadOnlyDictionary<string, float[]> Channels);
