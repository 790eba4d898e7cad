namespace Roadproof.Engineering.Quantities;

/// <summary>A range that holds the true value with a stated confidence, in the unit of the value it stands beside.</summary>
public sealed record Interval(double Lower, double Upper, double Confidence);
