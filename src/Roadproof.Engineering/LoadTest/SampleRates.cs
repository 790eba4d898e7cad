namespace Roadproof.Engineering.LoadTest;

/// <summary>How many samples a second a rig records, Hz: what noise leaves in a mean goes with one over their root.</summary>
public sealed record SampleRates(double SlowHz, double FastHz, double VibrationHz)
{
    /// <summary>For what is said of a load test before any run (common practice, no source).</summary>
    public static readonly SampleRates Usual = new(200, 12_800, 25_600);

    /// <summary>To an eighth of an octave, so that runs of like rates share their limits: noise is right within 2.2 %.</summary>
    /// <param name="vibrationHz">0 where no vibration was recorded.</param>
    public static SampleRates Near(double slowHz, double fastHz, double vibrationHz)
    {
        return new(Near(slowHz, Usual.SlowHz), Near(fastHz, Usual.FastHz), vibrationHz > 0 ? Near(vibrationHz, Usual.VibrationHz) : Usual.VibrationHz);

        static double Near(double hz, double usualHz) => usualHz * Math.Pow(2, Math.Round(8 * Math.Log2(hz / usualHz)) / 8);
    }
}
