namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>What the driver's torque gauge and angle encoder leave unsure, as standard uncertainties.</summary>
/// <param name="TorqueNm">Of the torque at the end of a tightening; taken as one error for the whole curve.</param>
/// <param name="AngleDeg">Of an angle between two points of the curve, wind-up of spindle and bit among it.</param>
public sealed record TighteningGauge(double TorqueNm, double AngleDeg);
