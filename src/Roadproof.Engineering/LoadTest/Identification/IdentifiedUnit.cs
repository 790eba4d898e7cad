namespace Roadproof.Engineering.LoadTest;

/// <summary>A unit's own parameters from one run of its load test.</summary>
/// <param name="Parameters">Each by itself.</param>
/// <param name="Combinations">What the run tells where it cannot tell the parts: sums of drags.</param>
/// <param name="Correlations">Between what the run identified, where they matter (0.3 and more, either way).</param>
/// <param name="Residual">What the fit leaves, by channel.</param>
/// <param name="Points">How far each load point stands off from the others; those left out as they stood when they were.</param>
/// <param name="LeftOut">Load points that were not used, because the others contradict them.</param>
public sealed record IdentifiedUnit(
    IReadOnlyList<IdentifiedParameter> Parameters, IReadOnlyList<IdentifiedParameter> Combinations, IReadOnlyList<ParameterCorrelation> Correlations,
    FitTest Fit, IReadOnlyList<ChannelResidual> Residual, IReadOnlyList<PointTest> Points, IReadOnlyList<string> LeftOut, string Method, IReadOnlyList<string> Warnings)
{
    /// <summary>A parameter or combination by its id.</summary>
    public IdentifiedParameter this[string id] => Parameters.Concat(Combinations).First(p => p.Id == id);
}

/// <summary>One parameter: what the run says, what the drawing said before, and both together.</summary>
/// <param name="Id">As in answers; ends in its SI unit.</param>
/// <param name="Value">The run's own where it identifies the parameter, else run and drawing together.</param>
/// <param name="Identified">The run alone is at least as sure as the drawing's spread; else the run cannot tell.</param>
/// <param name="FromRun">How much of the drawing's doubt the run takes away, 0 to 1: 1 − (spread after)²/(spread before)². The rest of what is known is the drawing's.</param>
/// <param name="Run">By the run alone; null where it cannot tell.</param>
/// <param name="Drawing">Before the run: as drawn, with the spread of sound units.</param>
/// <param name="AtRadPerS">Rotor speed that it belongs to; null where it belongs to none.</param>
public sealed record IdentifiedParameter(
    string Id, string Name, string Unit, double Value, double StandardUncertainty, bool Identified, double FromRun, Estimate? Run, Estimate WithDrawing, Estimate Drawing, double? AtRadPerS = null);

/// <summary>A value with its standard uncertainty, in the unit of what it stands beside.</summary>
public sealed record Estimate(double Value, double StandardUncertainty);

/// <summary>How the errors of two parameters hang together, −1 to 1.</summary>
public sealed record ParameterCorrelation(string One, string Other, double Value);

/// <summary>Root mean square over the used load points of reading less model.</summary>
public sealed record ChannelResidual(string Channel, double Rms, string Unit);
