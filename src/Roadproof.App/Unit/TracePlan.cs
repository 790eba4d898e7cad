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

    /// <summary>Null where the run has no capture left to draw.</summary>
    public static TracePlan? Of(string unit, UnitLoadTest run)
    {
        var kept = run.Captures.Where(c => c.State == "kept" && !RunFiles.IsMetadata(c.Name)).DistinctBy(c => RunFiles.TableOf(c.Name)).ToDictionary(c => RunFiles.TableOf(c.Name), c => c.Sha256, StringComparer.Ordinal);
        var channels = Known.Where(k => kept.ContainsKey(k.Capture)).Select(k => new TraceChannel(kept[k.Capture], k.Capture, k.Channel, k.Name, k.Unit)).ToList();
        if (channels.Count == 0) return null;
        return new(unit, run.Rig, run.Attempt, [.. (run.Verdict?.Windows ?? []).Select(w => Window(w, run.Verdict!))], channels);
    }

    // A delivered torque is judged without the rider's share and at reference conditions: its edges are carried onto the trace by the same difference.
    static TraceWindow Window(SteadyPoint point, LoadTestVerdict verdict)
    {
        var limits = new List<TraceLimit>();
        if (verdict.Requirements.FirstOrDefault(r => r.Id == $"torque-delivered-{point.Point}") is { } torque && point.Means.TryGetValue("output_torque_nm", out var mean))
            limits.Add(new("output_torque_nm", mean + (torque.Lower - torque.Value), mean + (torque.Upper - torque.Value)));
        return new(point.Point, point.FromS, point.ToS, point.Means, limits);
    }
}

/// <summary>A channel that can be drawn, and the capture it is in.</summary>
/// <param name="Table">Which file of the run that is: slow, fast, vibration.</param>
public sealed record TraceChannel(string Sha, string Table, string Channel, string Name, string Unit);

/// <summary>A steady window, s from the start of the run, with the mean of every channel in it.</summary>
public sealed record TraceWindow(string Point, double FromS, double ToS, IReadOnlyDictionary<string, double> Means, IReadOnlyList<TraceLimit> Limits);

/// <summary>Edges as they would stand on the trace of a channel.</summary>
public sealed record TraceLimit(string Channel, double? Lower, double? Upper);
