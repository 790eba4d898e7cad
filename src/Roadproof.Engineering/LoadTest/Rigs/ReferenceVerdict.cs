namespace Roadproof.Engineering.LoadTest.Rigs;

/// <summary>What earlier runs of reference units on one rig left, since the rig was put right last.</summary>
/// <param name="Runs">How many good ones, of whichever sound reference.</param>
/// <param name="Mean">How far the rig read from the references' own values, on average, by characteristic.</param>
/// <param name="Ewma">Moving average of their deviations, by characteristic.</param>
public sealed record RigLevel(int Runs, IReadOnlyDictionary<string, double> Mean, IReadOnlyDictionary<string, double> Ewma)
{
    /// <summary>Nothing is known but the reference's own values and what the rig's gauges are trusted to.</summary>
    public static readonly RigLevel None = new(0, new Dictionary<string, double>(StringComparer.Ordinal), new Dictionary<string, double>(StringComparer.Ordinal));
}

/// <summary>One characteristic of a reference run.</summary>
/// <param name="Level">What this rig was expected to read.</param>
/// <param name="StandardDeviation">Of a deviation from it: the run's own scatter and how well the level is known.</param>
/// <param name="Sigma">The deviation in these.</param>
/// <param name="Ewma">Moving average of the deviations.</param>
public sealed record ReferenceReading(string Id, string Name, string Unit, double Value, double Level, double StandardDeviation, double Sigma, double Ewma, double EwmaLimit);

/// <summary>What the rig reads where it should read nothing.</summary>
public sealed record ZeroReading(string Name, double Value, double Limit, string Unit)
{
    public bool IsGood => Math.Abs(Value) <= Limit;
}

/// <summary>The gauge along which a reference run has moved farthest.</summary>
/// <param name="Size">Most likely error beside what the rig read before: a share for a gain, in the channel's unit for a zero.</param>
/// <param name="Sigma">How surely it moved, in standard deviations of a sound rig.</param>
public sealed record GaugeFinding(string Name, bool IsGain, double Size, double StandardUncertainty, double Sigma);

/// <summary>What one run of a reference unit says of the rig.</summary>
/// <param name="Reason">Why the rig may not judge; empty where the run is good.</param>
/// <param name="Limit">Beyond it one deviation, or a move along one gauge, is no chance; in standard deviations.</param>
/// <param name="Level">After this run; as before where it is not good.</param>
public sealed record ReferenceVerdict(bool Good, string Reason, IReadOnlyList<ReferenceReading> Readings, GaugeFinding? Farthest, double Limit, IReadOnlyList<ZeroReading> Zeros, RigLevel Level);
