namespace Roadproof.Engineering.Drive;

/// <summary>The steady equations of a permanent-magnet synchronous machine in its rotor's dq frame, peak values.</summary>
/// <remarks>Standard textbook form (amplitude-invariant transform). No saturation here: <see cref="OperatingPoints"/> adds it.</remarks>
public static class DqEquations
{
    /// <summary>Torque at the air gap, N·m: magnet part and reluctance part.</summary>
    public static double TorqueNm(int polePairs, double fluxWb, double inductanceDH, double inductanceQH, double idA, double iqA) =>
        1.5 * polePairs * (fluxWb + (inductanceDH - inductanceQH) * idA) * iqA;

    /// <summary>Voltage along the magnets' axis, V.</summary>
    public static double DirectV(double resistanceOhm, double inductanceQH, double electricalRadPerS, double idA, double iqA) =>
        resistanceOhm * idA - electricalRadPerS * inductanceQH * iqA;

    /// <summary>Voltage across the magnets' axis, V; holds the back-EMF.</summary>
    public static double QuadratureV(double resistanceOhm, double inductanceDH, double fluxWb, double electricalRadPerS, double idA, double iqA) =>
        resistanceOhm * iqA + electricalRadPerS * (inductanceDH * idA + fluxWb);
}
