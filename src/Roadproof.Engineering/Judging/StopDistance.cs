namespace Roadproof.Engineering.Judging;

/// <summary>From a distance that the law gives to the time a rig can measure.</summary>
public static class StopDistance
{
    /// <summary>Pedalling stops: assistance ends within this distance, m. Source: TBIS 15194:2019, 4.2.13.1 b (read); it follows EN 15194:2017, whose text
    /// must confirm it.</summary>
    public const double AfterPedallingM = 2;

    /// <summary>The same with brake switches fitted, m. Source: as above, 4.2.13.1 c (read).</summary>
    public const double WithBrakeSwitchesM = 5;

    /// <summary>Longest time at a steady speed, s.</summary>
    public static double TimeS(double distanceM, double speedMps) => speedMps > 0 && distanceM >= 0
        ? distanceM / speedMps
        : throw new ArgumentOutOfRangeException(nameof(speedMps), speedMps, "A distance of 0 m or more is ridden at a speed above 0 m/s.");
}
