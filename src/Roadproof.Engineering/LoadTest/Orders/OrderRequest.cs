using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What of a capture is to be read over the angle, and how.</summary>
/// <param name="Channel">The channel that is read.</param>
public sealed record OrderRequest(string Channel)
{
    /// <summary>Channel that says how the shaft turns: an angle in rad, a speed in rad/s or rpm, or a tacho; null for the first of ours that is there.</summary>
    public string? Angle { get; init; }

    /// <summary>The angle channel is a tacho with so many pulses a turn.</summary>
    public int? PulsesPerTurn { get; init; }

    /// <summary>Only rows from here on; null from the first.</summary>
    public double? FromS { get; init; }

    /// <summary>Only rows up to here; null up to the last.</summary>
    public double? ToS { get; init; }

    /// <summary>Turns in one block, a power of two: two lines nearer than about two over it flow together; null for as many as leave some blocks to average.</summary>
    public int? TurnsPerBlock { get; init; }
    public Window Window { get; init; } = Window.Hann;

    /// <summary>Band whose swings are read, Hz; null for the one with the sharpest blows.</summary>
    public (double FromHz, double ToHz)? Band { get; init; }
}
