using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What the block of function tests and the rest before it say; NaN where a test is not in the cycle or was not seen.</summary>
/// <param name="StopResponseS">From the crank standing still to the drive torque gone (below 5 % of what it was).</param>
/// <param name="BrakeResponseS">From the brake switch to the drive torque gone.</param>
/// <param name="CutOffSpeedKmPerH">Wheel speed at which the bus current is down to its no-load value (5 % of the fall left).</param>
/// <param name="WalkSpeedKmPerH">Largest wheel speed while walk assistance is held.</param>
/// <param name="WalkReleaseS">From letting go to the drive torque gone.</param>
/// <param name="PhaseCurrentLimitA">Steady phase current while too much is asked for: the controller's own reading over its gain error read at the load points; A peak.</param>
/// <param name="BusCurrentLimitA">Steady bus current while too much is asked for.</param>
/// <param name="QuiescentCurrentMilliA">Mean bus current at the last rest.</param>
/// <param name="SelfStartTorqueNm">Largest drive torque, either way, while nothing asks for assistance after the brake was let go or the supply returned.</param>
/// <param name="SelfStartSpeedRadPerS">Largest rotor speed in that time.</param>
/// <param name="TorqueSensorZeroNm">The unit's own torque reading at rest.</param>
public sealed record FunctionReadings(
    Reading StopResponseS, Reading BrakeResponseS, Reading CutOffSpeedKmPerH, Reading WalkSpeedKmPerH, Reading WalkReleaseS,
    Reading PhaseCurrentLimitA, Reading BusCurrentLimitA, Reading QuiescentCurrentMilliA, Reading SelfStartTorqueNm, Reading SelfStartSpeedRadPerS, Reading TorqueSensorZeroNm,
    TemperatureRise Winding, TemperatureRise Controller)
{
    internal static FunctionReadings Of(List<LoadPointWindow> windows, List<PointReading> points, RunChannels channels, LoadTestPlan plan, List<string> warnings)
    {
        var rest = windows.FindLast(w => w.Point.OutputRpm == 0);
        var block = new FunctionBlock(channels, windows.Count == 0 ? channels.Run.From : windows[^1].Steady.To, CurrentGain(points), plan);
        var kinds = plan.Cycle.Functions.Select(f => f.Kind).ToHashSet();

        var stop = Seen(FunctionTestKind.StopPedalling, block.StopResponse, "the crank never stopped under load");
        var brake = Seen(FunctionTestKind.Brake, block.BrakeResponse, "the brake switch never closed under load");
        var cutOff = Seen(FunctionTestKind.CutOff, block.CutOffSpeed, "the wheel never passed the assistance limit under load");
        var walk = kinds.Contains(FunctionTestKind.WalkAssist) ? block.WalkAssist() : null;
        if (walk is null && kinds.Contains(FunctionTestKind.WalkAssist)) warnings.Add("The walk assistance test was not seen in the run: walk assistance was never held and let go.");
        var limit = kinds.Contains(FunctionTestKind.CurrentLimit) ? block.CurrentLimit() : null;
        if (limit is null && kinds.Contains(FunctionTestKind.CurrentLimit)) warnings.Add("The current limit test was not seen in the run: no current stood at a limit.");
        var quiescent = Seen(FunctionTestKind.Quiescent, block.QuiescentCurrent, "the run does not end at rest");
        var selfStart = kinds.Contains(FunctionTestKind.SelfStart) ? block.SelfStart() : null;
        if (selfStart is null && kinds.Contains(FunctionTestKind.SelfStart)) warnings.Add("The self-start test was not seen in the run: neither was the brake let go nor did the supply return at rest, with nothing asked for long enough after it.");
        warnings.AddRange(block.Warnings);

        var endS = channels.Slow.TimeS[(rest ?? (windows.Count > 0 ? windows[^1] : null))?.Steady.To - 1 ?? channels.Run.To - 1];
        return new(
            stop, brake, cutOff, walk?.SpeedKmPerH ?? Reading.None, walk?.ReleaseS ?? Reading.None, limit?.PhaseA ?? Reading.None, limit?.BusA ?? Reading.None, quiescent, selfStart?.TorqueNm ?? Reading.None, selfStart?.RotorRadPerS ?? Reading.None,
            rest is null || plan.Unit.TorqueSensor is null ? Reading.None : SteadyMean.Of(channels.SlowRows(CaptureChannel.ReportedTorque, rest.Steady)),
            TemperatureRise.Of(CaptureChannel.Winding, endS, channels), TemperatureRise.Of(CaptureChannel.Controller, endS, channels));

        Reading Seen(FunctionTestKind kind, Func<Reading?> read, string otherwise)
        {
            if (!kinds.Contains(kind)) return Reading.None;
            if (read() is { } reading) return reading;
            warnings.Add($"The {Word(kind)} test was not seen in the run: {otherwise}.");
            return Reading.None;
        }
    }

    static string Word(FunctionTestKind kind) => kind switch
    {
        FunctionTestKind.StopPedalling => "stop of pedalling",
        FunctionTestKind.Brake => "brake",
        FunctionTestKind.CutOff => "cut-off speed",
        FunctionTestKind.WalkAssist => "walk assistance",
        FunctionTestKind.CurrentLimit => "current limit",
        _ => "quiescent current",
    };

    /// <summary>The controller's own current reading over the rig's, over all load points with torque; 1 where the rig recorded no phase currents there.</summary>
    static double CurrentGain(List<PointReading> points)
    {
        var loaded = points.Where(p => p.Point.TorqueNm > 0 && p.Phase is not null).ToList();
        return loaded.Count == 0 ? 1 : loaded.Sum(p => p.ReportedPhaseCurrentA.Value) / loaded.Sum(p => p.Phase!.CurrentPeakA.Value);
    }
}

/// <summary>How much a temperature rose over the load points.</summary>
/// <param name="RiseK">End − start.</param>
/// <param name="StartC">At <paramref name="FromS"/>, from the straight line through one second about it (noise smoothed, not shifted).</param>
/// <param name="ToS">Middle of the last second of the rest after the load points.</param>
public sealed record TemperatureRise(Reading RiseK, double StartC, double FromS, double ToS)
{
    const double SmoothedS = 1;

    internal static TemperatureRise Of(string channel, double endS, RunChannels channels)
    {
        var startS = channels.Run.FromS;
        var first = Mean(startS, startS + SmoothedS);
        var last = Mean(endS - SmoothedS, endS);
        var u = Math.Sqrt(first.StandardUncertainty * first.StandardUncertainty + last.StandardUncertainty * last.StandardUncertainty);
        return new(new(last.Value - first.Value, u), first.Value, startS + SmoothedS / 2, endS - SmoothedS / 2);

        Reading Mean(double fromS, double toS) => SteadyMean.Of(channels.SlowRows(channel, channels.Run.Rows(channels.Slow.TimeS, fromS, toS)));
    }
}
