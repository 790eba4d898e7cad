namespace Roadproof.Engineering.CycleDesign;

/// <summary>A point of a cycle at the unit's output.</summary>
/// <param name="TorqueNm">0 with a speed of 0 is rest; a pause lets the clutch go, so that the next point takes it up again.</param>
public sealed record CyclePoint(double TorqueNm, double SpeedRadPerS, double HoldS);
