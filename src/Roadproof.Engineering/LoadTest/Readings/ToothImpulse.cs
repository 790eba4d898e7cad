using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.LoadTest;

/// <summary>How much louder the loudest tooth of the first wheel rings than its fellows, once per wheel turn.</summary>
/// <param name="LnImpulsiveness">ln of (energy at the loudest place of the wheel / median energy at the same place of the other teeth); 0 would be no tooth louder.</param>
/// <param name="BackgroundRmsMPerS2">Vibration above 4 kHz, rms, the blow left out.</param>
/// <param name="WheelTurns">Turns averaged over.</param>
/// <param name="DriveTorqueNm">Drive torque in the window.</param>
/// <remarks>
/// A blow rings far above the mesh orders, so the vibration is high-passed at 4 kHz, squared, and averaged over the wheel's turns in sixths of a tooth; three
/// neighbouring sixths form one place. Each place is compared with the median over the same place of all teeth, so that ordinary meshing cancels.
/// Energy needs no phase: jitter of the angle below half a tooth does no harm (an average of the raw signal would need microseconds).
/// Sound units with Gaussian noise: each ratio scatters by √(2/ν), ν = 2·(bandwidth above 4 kHz)·(half a tooth's time)·(turns); the reading is ln of the largest of
/// about 1.5 · 2 · teeth independent ones. See <see cref="SoundLn"/> and <see cref="LnWithBlow"/>; both are held against simulation by a test.
/// </remarks>
public sealed record ToothImpulse(string Point, Reading LnImpulsiveness, double BackgroundRmsMPerS2, double WheelTurns, double DriveTorqueNm)
{
    /// <summary>Above the mesh and cogging orders of the drive units in mind, below the ring of teeth and housing (common practice, no source).</summary>
    public const double CornerHz = 4000;

    const int PartsPerTooth = 6;
    const int PartsPerPlace = 3;

    /// <summary>Fewer turns would let one passing knock look like a tooth.</summary>
    public const double LeastTurns = 8;

    /// <summary>Expected reading of sound units with Gaussian noise; measured units scatter about it (use the population's own mean where there is one).</summary>
    public static double SoundLn(double wheelTurnS, int teeth, double turns, double rateHz)
    {
        // Extreme value of N normal draws: √(2 ln N) − (ln ln N + ln 4π)/(2√(2 ln N)) + 0.5772/√(2 ln N); chi-square's own skewness as a second term.
        var places = 1.5 * 2 * teeth;
        var root = Math.Sqrt(2 * Math.Log(places));
        var z = root - (Math.Log(Math.Log(places)) + Math.Log(4 * Math.PI)) / (2 * root) + 0.5772 / root;
        var freedom = Freedom(wheelTurnS, teeth, turns, rateHz);

        // Wilson and Hilferty: the cube root of chi-square over its freedom is nearly normal.
        return 3 * Math.Log(1 - 2 / (9 * freedom) + z * Math.Sqrt(2 / (9 * freedom)));
    }

    /// <summary>Expected reading when one tooth gives a blow: blow·exp(−t/decay)·sin(…) once per wheel turn, in proportion to the drive torque over 50 N·m.</summary>
    /// <param name="soundLn">Reading of sound units under the same conditions.</param>
    /// <param name="blowMPerS2">Peak at 50 N·m.</param>
    /// <param name="backgroundRmsMPerS2">Vibration above 4 kHz of sound units.</param>
    public static double LnWithBlow(double soundLn, double blowMPerS2, double driveTorqueNm, double backgroundRmsMPerS2, double wheelTurnS, int teeth, double turns, double rateHz, double decayS = 0.0008)
    {
        var peakMPerS2 = blowMPerS2 * driveTorqueNm / 50;
        var placeS = wheelTurnS / (2 * teeth);

        // Mean energy of the ring over the place that catches it best: its start lies on average a twelfth of a tooth inside.
        var caught = 1 - Math.Exp(-2 * placeS * (PartsPerPlace - 0.5) / PartsPerPlace / decayS);
        var louder = 1 + peakMPerS2 * peakMPerS2 * decayS / 4 * caught / placeS / (backgroundRmsMPerS2 * backgroundRmsMPerS2);

        // The largest of "loudest by chance" and "the blow": a soft maximum as sharp as the places scatter.
        var sharpness = Math.Sqrt(Freedom(wheelTurnS, teeth, turns, rateHz) / 2);
        var (a, b) = (sharpness * soundLn, sharpness * Math.Log(louder));
        return (Math.Max(a, b) + Math.Log(1 + Math.Exp(-Math.Abs(a - b)))) / sharpness;
    }

    static double Freedom(double wheelTurnS, int teeth, double turns, double rateHz) => 2 * (rateHz / 2 - CornerHz) * (wheelTurnS / (2 * teeth)) * turns;

    internal static ToothImpulse? Of(IReadOnlyList<PointReading> points, RunChannels channels, LoadTestPlan plan)
    {
        if (channels.Vibration is null) return null;
        var stage = plan.Unit.Gears[0];
        var wheelTurns = stage.WheelTurnsPerTurn;

        // A blow's energy grows with the square of the torque, what noise can do falls with the root of the turns.
        var best = points.Where(p => p.Phase is not null && Turns(p) >= LeastTurns)
            .OrderByDescending(p => p.Point.TorqueNm * p.Point.TorqueNm * Math.Sqrt(Turns(p))).FirstOrDefault();
        if (best is null || TurnedWindow.Of(best, channels) is not { VibrationMPerS2.Length: > 2 * HighPass.Reach } window) return null;

        var energy = HighPass.Filter(window.VibrationMPerS2, window.VibrationHz, CornerHz);
        for (var i = 0; i < energy.Length; i++) energy[i] *= energy[i];
        var wheelRad = new double[energy.Length];
        for (var i = 0; i < wheelRad.Length; i++) wheelRad[i] = window.VibrationAngleRad[i + HighPass.Reach] * wheelTurns;
        var (ln, background) = Loudest(SynchronousAverage.Of(energy, wheelRad, PartsPerTooth * stage.WheelTeeth).Mean, stage.WheelTeeth);
        return new(best.Point.Id, ln, Math.Sqrt(background), Turns(best), best.DriveTorqueNm.Value);

        double Turns(PointReading p) => (p.RecordedToS - p.FromS) * p.MotorSpeedRadPerS.Value / (2 * Math.PI) * wheelTurns;
    }

    static (Reading Ln, double MedianEnergy) Loudest(double[] energy, int teeth)
    {
        var places = new double[energy.Length];
        for (var p = 0; p < places.Length; p++)
            for (var k = 0; k < PartsPerPlace; k++) places[p] += energy[(p + k) % energy.Length] / PartsPerPlace;

        var logs = new double[places.Length];
        var background = 0.0;
        var fellows = new double[teeth];
        for (var phase = 0; phase < PartsPerTooth; phase++)
        {
            for (var tooth = 0; tooth < teeth; tooth++) fellows[tooth] = places[tooth * PartsPerTooth + phase];
            Array.Sort(fellows);
            var median = fellows[teeth / 2];
            background += median / PartsPerTooth;
            for (var tooth = 0; tooth < teeth; tooth++) logs[tooth * PartsPerTooth + phase] = Math.Log(places[tooth * PartsPerTooth + phase] / median);
        }

        var largest = logs.Max();
        Array.Sort(logs);

        // Scatter of the places from their middle half (normal: half width 0.6745 σ); the largest of N scatters by 1.2825/√(2 ln N) of that.
        var scatter = (logs[logs.Length * 3 / 4] - logs[logs.Length / 4]) / 2 / 0.6745;
        return (new(largest, scatter * 1.2825 / Math.Sqrt(2 * Math.Log(1.5 * 2 * teeth))), background);
    }
}
