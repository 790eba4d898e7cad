using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks.Tightening;

/// <summary>What a tightening torque leaves as clamp load: far less sure than the torque itself.</summary>
/// <remarks>T = K·F·d with the nut factor K. Source: Shigley, Mechanical Engineering Design, 8-8 (from memory; its example 8-3 in the tests).</remarks>
public static class ScrewPreload
{
    /// <summary>Dry or lightly oiled steel; K lies between 0.17 and 0.23 (common practice, no source).</summary>
    public const double NutFactor = 0.20, NutFactorHalfWidth = 0.03;

    /// <param name="torqueNm">Final torque less the prevailing one: what turns the thread stretches nothing.</param>
    /// <returns>N; the nut factor counts as evenly spread over its range.</returns>
    public static Reading Of(Reading torqueNm, double diameterM)
    {
        var force = torqueNm.Value / (NutFactor * diameterM);
        var (ofTorque, ofFactor) = (torqueNm.StandardUncertainty / (NutFactor * diameterM), force * NutFactorHalfWidth / NutFactor / Math.Sqrt(3));
        return new(force, Math.Sqrt(ofTorque * ofTorque + ofFactor * ofFactor));
    }
}
