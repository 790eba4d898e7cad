namespace Roadproof.Engineering.Checks;

/// <summary>Insulation resistance while the voltage stands.</summary>
/// <param name="TimeS">Since the voltage was put on, strictly rising, shape [n].</param>
/// <param name="WindingC">Mean temperature of the winding; null where not recorded.</param>
public sealed record InsulationCurve(double[] TimeS, double[] Ohm, double? WindingC);
