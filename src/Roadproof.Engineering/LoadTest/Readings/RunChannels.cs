using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>The tables of a capture by what they are for, once everything in them can be trusted to be judged.</summary>
/// <param name="Slow">Through the whole run, without a gap.</param>
/// <param name="Fast">Phase currents and rotor angle within the windows; may be the same table.</param>
/// <param name="Vibration">Null where none was recorded.</param>
/// <param name="HasCrank">The output carries a rider's share beside the drive's.</param>
sealed record RunChannels(CaptureTable Slow, Segment Run, CaptureTable Fast, IReadOnlyList<Segment> FastWindows, CaptureTable? Vibration, IReadOnlyList<Segment> VibrationWindows, bool HasCrank)
{
    /// <summary>Sentences on sensors of the unit that tell nothing of what the rig does to it: the run is judged, and the unit does not pass.</summary>
    public IReadOnlyList<string> Silent { get; init; } = [];

    /// <summary>The stop of 0.288 s is read from this table: at 100 Hz a sample is 3.5 % of it.</summary>
    const double SlowHz = 100;

    /// <summary>The sixth electrical order lies below 2.8 kHz; nothing above 0.4 of the rate is read.</summary>
    const double FastHz = 10_000;

    /// <summary>The ring of a damaged tooth lies above 4 kHz (common practice, no source).</summary>
    const double VibrationHz = 25_600;

    static string[] SlowNeeded(DriveUnit unit) =>
    [
        CaptureChannel.BusVoltage, CaptureChannel.BusCurrent, .. unit.CrankSide is null ? [] : (string[])[CaptureChannel.CrankTorque, CaptureChannel.CrankSpeed],
        CaptureChannel.OutputTorque, CaptureChannel.OutputSpeed, CaptureChannel.MotorSpeed, CaptureChannel.WheelSpeed, CaptureChannel.Winding, CaptureChannel.Controller,
        CaptureChannel.ReportedPhaseCurrent, .. unit.TorqueSensor is null ? [] : (string[])[CaptureChannel.ReportedTorque], CaptureChannel.Brake, CaptureChannel.WalkAssist,
    ];

    static readonly string[] FastNeeded = [CaptureChannel.PhaseCurrentU, CaptureChannel.PhaseCurrentV, CaptureChannel.PhaseCurrentW, CaptureChannel.MotorAngle];

    static readonly string[] PhaseVoltages = [CaptureChannel.PhaseVoltageU, CaptureChannel.PhaseVoltageV, CaptureChannel.PhaseVoltageW];

    /// <summary>A sensor of these that never moves in a whole run is stuck.</summary>
    static readonly HashSet<string> MustVary = new(StringComparer.Ordinal)
    {
        CaptureChannel.BusCurrent, CaptureChannel.CrankTorque, CaptureChannel.CrankSpeed, CaptureChannel.OutputTorque, CaptureChannel.OutputSpeed, CaptureChannel.MotorSpeed,
        CaptureChannel.WheelSpeed, CaptureChannel.Winding, CaptureChannel.ReportedPhaseCurrent, CaptureChannel.PhaseCurrentU, CaptureChannel.PhaseCurrentV,
        CaptureChannel.PhaseCurrentW, CaptureChannel.MotorAngle, CaptureChannel.PhaseVoltageU, CaptureChannel.PhaseVoltageV, CaptureChannel.PhaseVoltageW, CaptureChannel.Vibration,
    };

    public SampleRates Rates => SampleRates.Near(Run.RateHz, Rate(FastWindows), Rate(VibrationWindows));

    public bool HasPhaseVoltages => PhaseVoltages.All(Fast.Channels.ContainsKey);
    public bool HasTurnedVoltages => Fast.Channels.ContainsKey(CaptureChannel.VoltageD) && Fast.Channels.ContainsKey(CaptureChannel.VoltageQ);

    public ReadOnlySpan<float> SlowRows(string channel, (int From, int To) rows) => Slow.Channels[channel].AsSpan(rows.From, rows.To - rows.From);

    public ReadOnlySpan<float> FastRows(string channel, (int From, int To) rows) => Fast.Channels[channel].AsSpan(rows.From, rows.To - rows.From);

    /// <exception cref="InputException">Lists everything that keeps the capture from being judged.</exception>
    public static RunChannels Of(Capture capture, LoadTestPlan plan, List<string> warnings)
    {
        var errors = new List<InputError>();
        var slowNeeded = SlowNeeded(plan.Unit);
        var slow = TableWith(capture, slowNeeded, errors);
        var fast = TableWith(capture, FastNeeded, errors);
        var vibration = capture.Tables.FirstOrDefault(t => t.Channels.ContainsKey(CaptureChannel.Vibration));
        if (slow is null || fast is null) throw new InputException(errors);

        var run = Segment.Of(slow.TimeS);
        RequireWholeRun(slow, run, plan.Cycle, errors);
        var fastWindows = Segment.Of(fast.TimeS);
        var vibrationWindows = vibration is null ? [] : Segment.Of(vibration.TimeS);
        RequireRate(slow, run, SlowHz, "stop and brake times", errors);
        RequireRate(fast, fastWindows, FastHz, "torque ripple", errors);
        if (vibration is not null) RequireRate(vibration, vibrationWindows, VibrationHz, "tooth damage", errors);

        foreach (var channel in slowNeeded) RequireLiving(slow, channel, errors);
        foreach (var channel in FastNeeded) RequireLiving(fast, channel, errors);
        foreach (var channel in PhaseVoltages.Where(fast.Channels.ContainsKey)) RequireLiving(fast, channel, errors);
        if (vibration is not null) RequireLiving(vibration, CaptureChannel.Vibration, errors);
        if (errors.Count > 0) throw new InputException(errors);

        var channels = new RunChannels(slow, run[0], fast, fastWindows, vibration, vibrationWindows, plan.Unit.CrankSide is not null);
        ChannelDefects.Find(channels, plan, errors, warnings);
        var silent = new List<string>();
        ChannelsAgree.Find(channels, plan, errors, silent);
        PhasesAgree.Find(channels, plan, errors);
        if (errors.Count > 0) throw new InputException(errors);

        if (!channels.HasPhaseVoltages && !channels.HasTurnedVoltages)
            warnings.Add("No phase voltages were recorded: resistance, flux and rotor offset are not read one by one." + Instead(capture, CaptureChannel.PhaseVoltageU));
        if (vibration is null) warnings.Add("No vibration was recorded: mesh orders and tooth damage cannot be told from this run." + Instead(capture, CaptureChannel.Vibration));
        return channels with { Silent = silent };
    }

    /// <summary>The table that holds most of the channels; the slowest of several, because fast copies only cover the windows.</summary>
    static CaptureTable? TableWith(Capture capture, string[] needed, List<InputError> errors)
    {
        var best = capture.Tables.OrderByDescending(t => needed.Count(t.Channels.ContainsKey)).ThenBy(t => t.TimeS.Length).FirstOrDefault();
        var missing = needed.Where(name => best is null || !best.Channels.ContainsKey(name)).ToList();
        foreach (var name in missing)
        {
            var elsewhere = capture.Tables.FirstOrDefault(t => t.Channels.ContainsKey(name))?.Source;
            errors.Add(new(best?.Source ?? "capture", 0, "", Invariant($"no channel {name}"), elsewhere is null ? "it, because the load test judges it" : "it beside the others of its kind",
                elsewhere is null ? Instead(capture, name).TrimStart() is { Length: > 0 } hint ? hint : null : Invariant($"It stands in {elsewhere}.")));
        }

        return missing.Count == 0 ? best : null;
    }

    static string Instead(Capture capture, string wanted)
    {
        var strangers = capture.Tables.SelectMany(t => t.Channels.Keys).Where(n => !CaptureChannel.Known.Contains(n));
        return CaptureChannel.Nearest(wanted, strangers) is { } near ? Invariant($" Is '{near}' meant? Then name it {wanted}.") : "";
    }

    static void RequireWholeRun(CaptureTable slow, List<Segment> run, LoadCycle cycle, List<InputError> errors)
    {
        foreach (var (before, after) in run.Zip(run.Skip(1)))
            errors.Add(new(slow.Source, 0, CaptureChannel.Time, Invariant($"no samples between {before.ToS:0.###} s and {after.FromS:0.###} s"), "samples through the whole run"));

        var lastsS = slow.TimeS[^1] - slow.TimeS[0];
        if (lastsS < 0.98 * cycle.DurationS)
        {
            errors.Add(new(slow.Source, 0, CaptureChannel.Time, Invariant($"a run of {lastsS:0.#} s"), Invariant($"the {cycle.DurationS:0.#} s of load cycle {cycle.Id}"),
                "The run or its file was cut short: send the file again, or repeat the run."));
        }
    }

    static void RequireRate(CaptureTable table, IReadOnlyList<Segment> windows, double leastHz, string why, List<InputError> errors)
    {
        var rateHz = Rate(windows);
        if (rateHz < 0.999 * leastHz)
            errors.Add(new(table.Source, 0, CaptureChannel.Time, Invariant($"{rateHz:0.#} samples a second"), Invariant($"at least {leastHz:0}, because {why} must be seen")));
    }

    static double Rate(IReadOnlyList<Segment> windows) => windows.Where(w => w.Count > 1).Select(w => w.RateHz).DefaultIfEmpty(0).Max();

    static void RequireLiving(CaptureTable table, string channel, List<InputError> errors)
    {
        var samples = table.Channels[channel].AsSpan();
        var holes = 0;
        var firstHole = -1;
        for (var i = 0; i < samples.Length; i++)
        {
            if (float.IsFinite(samples[i])) continue;
            if (holes++ == 0) firstHole = i;
        }

        if (holes > 0)
        {
            errors.Add(new(table.Source, 0, channel, Invariant($"{holes} missing samples, the first at {table.TimeS[firstHole]:0.####} s"), "a number in every row",
                "Check the sensor's cable and the rig's recorder."));
        }
        else if (MustVary.Contains(channel) && samples.IndexOfAnyExcept(samples[0]) < 0)
            errors.Add(new(table.Source, 0, channel, Invariant($"{samples[0]:0.####} in every row"), "a signal that moves with the load", "The sensor is stuck or not connected."));
    }
}
