using Roadproof.Engineering.Drive;
using Roadproof.Records.Definitions;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.Unit;

/// <summary>What of a run can be read over a shaft's angle; handed to the page's script as JSON.</summary>
/// <param name="Shafts">From the rotor to the output.</param>
/// <param name="Points">Load points with a steady window.</param>
public sealed record AnglePlan(string Unit, int Attempt, IReadOnlyList<TraceChannel> Channels, IReadOnlyList<string> Shafts, IReadOnlyList<string> Points)
{
    static readonly (string Capture, string Channel, string Name, string Unit)[] Fast =
    [
        ("vibration", "vibration_m_s2", "Vibration", "m/s²"),
        ("fast", "output_torque_nm", "Output torque", "N·m"),
        ("fast", "phase_current_u_a", "Phase current u", "A"),
        ("fast", "phase_current_v_a", "Phase current v", "A"),
        ("fast", "phase_current_w_a", "Phase current w", "A"),
        ("fast", "bus_current_a", "Bus current", "A"),
    ];

    /// <summary>Shafts of the product as its route revision draws it; none where it has no load test.</summary>
    public static IReadOnlyList<string> ShaftsOf(RouteRevision revision) =>
        revision.Product.LoadTest?.Unit is { } unit ? [.. Enumerable.Range(0, unit.Gears.Count + 1).Select(k => NamedOrders.Of(unit).Shaft(k).Name)] : [];

    /// <summary>Null where no fast capture is left to read, or the shafts are not known. The rotor's angle stands in the fast table.</summary>
    public static AnglePlan? Of(string unit, UnitLoadTest run, IReadOnlyList<string> shafts)
    {
        var kept = run.Captures.Where(c => c.State == "kept" && !RunFiles.IsMetadata(c.Name)).DistinctBy(c => RunFiles.TableOf(c.Name)).ToDictionary(c => RunFiles.TableOf(c.Name), c => c.Sha256, StringComparer.Ordinal);
        if (shafts.Count == 0 || !kept.ContainsKey("fast")) return null;
        return new(unit, run.Attempt, [.. Fast.Where(f => kept.ContainsKey(f.Capture)).Select(f => new TraceChannel(kept[f.Capture], f.Capture, f.Channel, f.Name, f.Unit))], shafts, [.. (run.Verdict?.Windows ?? []).Select(w => w.Point)]);
    }
}
