namespace Roadproof.Engineering.Checks;

/// <summary>Leaks of a closed volume from its pressure decay.</summary>
/// <remarks>Ideal gas; flow at 101 325 Pa. Source: dp/dt·V/p (textbook).</remarks>
public static class LeakRate
{
    public const double StandardPressurePa = 101_325;

    /// <summary>Flow through the leak, m³/s at standard pressure.</summary>
    /// <param name="decayPaPerS">Loss of pressure, Pa/s.</param>
    public static double M3PerS(double decayPaPerS, double volumeM3) => decayPaPerS * volumeM3 / StandardPressurePa;

    /// <summary>The leak that a falling gas temperature fakes, m³/s at standard pressure.</summary>
    /// <param name="coolingK">Fall of the gas temperature over the measurement, K.</param>
    /// <param name="absolutePa">Absolute pressure in the volume, Pa.</param>
    /// <param name="gasK">Absolute temperature of the gas, K.</param>
    public static double ApparentM3PerS(double coolingK, double overS, double volumeM3, double absolutePa, double gasK) =>
        M3PerS(coolingK / gasK * absolutePa / overS, volumeM3);
}
