using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Unit;

/// <summary>What the trace drawing of one load-test run shows; handed to the page's script as JSON.</summary>
/// <param name="Windows">The steady windows that the verdict was read from.</param>
/// <param name="Channels">What can be drawn, the first four from the start.</param>
public sealed record TracePlan(string Unit, string Rig, int Attempt, IReadOnlyList<TraceWindow> Windows, IReadOnlyList<TraceChannel> Channels)
{
    static readonly (string Capture, string Channel, string Name, string Unit)[] Known =
    [
        ("slow", "output_torque_nm", "Output torque", "N·m"),
        ("slow", "bus_current_a", "Bus current", "A"),
        ("slow", "reported_phase_current_a", "Phase current", "A"),
        ("slow", "winding_c", "Winding", "°C"),
        ("slow", "crank_torque_nm", "Crank torque", "N·m"),
        ("slow", "output_speed_rad_s", "Output speed", "rad/s"),
        ("slow", "wheel_speed_rad_s", "Wheel speed", "rad/s"),
        ("slow", "controller_c", "Controller", "°C"),
        ("fast", "phase_current_u_a", "Phase u, fast", "A"),
        ("vibration", "vibration_m_s2", "Vibration", "m/s²"),
    ];

    static readonly (string Id, string Name, string Unit)[] Means =
    [
        ("driveTorqueNm", "Drive torque", "N·m"), ("outputSpeedRadPerS", "Output speed", "rad/s"), ("busPowerW", "Bus power", "W"), ("phaseCurrentPeakA", "Phase current, peak", "A"), ("windingC", "Winding", "°C"),
    ];

    /// <summary>Null where the run has no capture left to draw.</summary>
    public static TracePlan? Of(string unit, UnitLoadTest run)
    {
        var kept = run.Captures.Where(c => c.State == "kept" && !RunFiles.IsMetadata(c.Name)).DistinctBy(c => RunFiles.TableOf(c.Name)).ToDictionary(c => RunFiles.TableOf(c.Name), c => c.Sha256, StringComparer.Ordinal);
        var channels = Known.Where(k => kept.ContainsKey(k.Capture)).Select(k => new TraceChannel(kept[k.Capture], k.Capture, k.Channel, k.Name, k.Unit)).ToList();
        if (channels.Count == 0) return null;
        return new(unit, run.Rig, run.Attempt, [.. (run.Verdict?.Windows ?? []).Select(w => Window(w, run.Verdict!))], channels);
    }

    // A delivered torque is judged without the rider's share and at reference conditions: its edges lie as far from the mean of the trace as from what was judged.
    static TraceWindow Window(SteadyPoint point, LoadTestVerdict verdict) => new(
        point.Point, point.FromS, point.ToS, [.. Means.Where(m => point.Means.ContainsKey(m.Id)).Select(m => new TraceMean(m.Name, m.Unit, point.Means[m.Id]))],
        verdict.Requirements.FirstOrDefault(r => r.Id == $"torque-delivered-{point.Point}") is { } torque ? [new("output_torque_nm", torque.Lower - torque.Value, torque.Upper - torque.Value)] : []);
}

/// <summary>A channel that can be drawn, and the capture it is in.</summary>
/// <param name="Table">Which file of the run that is: slow, fast, vibration.</param>
public sealed record TraceChannel(string Sha, string Table, string Channel, string Name, string Unit);

/// <summary>A steady window, s from the start of the run, with the means that the verdict rests on.</summary>
public sealed record TraceWindow(string Point, double FromS, double ToS, IReadOnlyList<TraceMean> Means, IReadOnlyList<TraceLimit> Limits);

public sealed record TraceMean(string Name, string Unit, double Value);

/// <summary>Edges of a channel, as distances from its mean over the window; null where there is none.</summary>
public sealed record TraceLimit(string Channel, double? Lower, double? Upper);
