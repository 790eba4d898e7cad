namespace Roadproof.Engineering.Checks;

/// <summary>What a press-in is read and judged by.</summary>
public sealed record PressTest
{
    /// <summary>By feature id (<see cref="PressVerdict"/>); a feature without a window is told, not judged.</summary>
    public IReadOnlyDictionary<string, FeatureWindow> Limits { get; init; } = new Dictionary<string, FeatureWindow>();

    /// <summary>Bands that the force must keep between two distances.</summary>
    public IReadOnlyList<PressWindow> Windows { get; init; } = [];

    /// <summary>Length after first touch in which the part finds its way in; the entry force is the highest there, the line of the press force begins behind it. Common practice, no source.</summary>
    public double EntryM { get; init; } = 1e-3;

    /// <summary>So many times steeper than before, the part sits. Common practice, no source.</summary>
    public double SeatSteepening { get; init; } = 4;

    /// <summary>Longest slip between sticking and sticking again, m. Common practice, no source.</summary>
    public double SlipM { get; init; } = 0.5e-3;

    /// <summary>Standard uncertainty of the force gauge's gain, as a share, and of its zero, N.</summary>
    public double ForceGainShare { get; init; } = 0.005;
    public double ForceZeroN { get; init; } = 5;

    /// <summary>Standard uncertainty of the distance, m: gauge, frame and fixture.</summary>
    public double DistanceUncertaintyM { get; init; } = 10e-6;
}

/// <summary>From one distance to another the force stays between two edges; an edge that is null does not exist.</summary>
public sealed record PressWindow(string Id, double FromM, double ToM, double? LowerN, double? UpperN);

/// <summary>A recorded press-in.</summary>
/// <param name="DistanceM">Of the ram, rising to the end of the stroke and back at most once, shape [n].</param>
/// <param name="ForceN">Shape [n].</param>
public sealed record PressCurve(double[] DistanceM, double[] ForceN);
