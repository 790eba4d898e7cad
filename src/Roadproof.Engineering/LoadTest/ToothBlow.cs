namespace Roadproof.Engineering.LoadTest;

/// <summary>How far the blow of one damaged tooth lifts the reading <c>wheel-tooth</c>.</summary>
static class ToothBlow
{
    // Vibration of sound gears at the loaded point against which a blow stands out, m/s²; TO BE REPLACED by the statistic of the readings.
    const double SoundMPerS2 = 8;

    public static double GrowthOfReading(double blowMPerS2) => Math.Log(1 + blowMPerS2 / SoundMPerS2);
}
