namespace Roadproof.Engineering.LoadTest;

/// <summary>How far the blow of one damaged tooth lifts the reading <c>wheel-tooth</c>, at the load point where that reading is taken.</summary>
/// <remarks>The law is <see cref="ToothImpulse.LnWithBlow"/>. Sound gears and bearings are taken to be as loud above its corner as the sensor's own noise;
/// common practice, no source.</remarks>
sealed class ToothBlow
{
    readonly double vibrationHz, soundLn, driveTorqueNm, backgroundRmsMPerS2, turnS, turns;
    readonly int teeth;

    public ToothBlow(LoadTestPlan plan, double vibrationHz)
    {
        this.vibrationHz = vibrationHz;
        var stage = plan.Unit.Gears[0];
        teeth = stage.WheelTeeth;
        var wheelTurnsPerOutputTurn = plan.Unit.Ratio * stage.WheelTurnsPerTurn;
        double TurnsPerS(LoadPoint p) => p.OutputRpm / 60 * wheelTurnsPerOutputTurn;

        var point = plan.Cycle.Points.Where(p => p.TorqueNm > 0 && TurnsPerS(p) * p.WindowForS >= ToothImpulse.LeastTurns).MaxBy(p => p.TorqueNm * p.TorqueNm * Math.Sqrt(TurnsPerS(p) * p.WindowForS));
        Point = point?.Id;
        soundLn = plan.Population.FirstOrDefault(p => p.Id == Characteristics.WheelTooth)?.Mean ?? 0;
        if (point is null) return;

        driveTorqueNm = point.TorqueNm;
        turnS = 1 / TurnsPerS(point);
        turns = point.WindowForS / turnS;
        var shareAboveCorner = 1 - ToothImpulse.CornerHz / (vibrationHz / 2);
        backgroundRmsMPerS2 = plan.Gauges.Of("vibration_m_s2").NoiseRms * Math.Sqrt(2 * shareAboveCorner);
    }

    /// <summary>Id of that load point; null where none turns the wheel often enough.</summary>
    public string? Point { get; }

    /// <summary>What a blow adds to the reading of sound units; 0 for none.</summary>
    public double Growth(double blowMPerS2) => blowMPerS2 > 0 && turns > 0
        ? ToothImpulse.LnWithBlow(soundLn, blowMPerS2, driveTorqueNm, backgroundRmsMPerS2, turnS, teeth, turns, vibrationHz) - soundLn
        : 0;
}
