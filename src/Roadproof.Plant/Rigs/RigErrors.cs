using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Rigs;

/// <summary>How wrong one rig's instruments are until they are calibrated again: a gain and a zero error for each channel.</summary>
public sealed class RigErrors
{
    /// <summary>What the torque gain, torque zero and bus current zero have crept to when a drift has gone its whole way: about seven to thirteen standard uncertainties.</summary>
    const double DriftedTorqueGainShare = 0.010, DriftedTorqueZeroNm = 0.25, DriftedBusCurrentZeroA = 0.04;

    public static readonly RigErrors None = new(new Dictionary<string, ChannelError>(StringComparer.Ordinal));

    readonly Dictionary<string, ChannelError> _errors;

    RigErrors(Dictionary<string, ChannelError> errors) => _errors = errors;

    /// <summary>A rig as its gauges say it may be: gain and zero drawn once from their standard uncertainties.</summary>
    public static RigErrors Draw(RigGauges gauges, ulong seed) =>
        new(Drawn(gauges.Gauges.Where(g => !g.InUnit), seed));

    /// <summary>The sensors that sit in the unit: drawn once for a unit, the same on every rig.</summary>
    public static RigErrors OfUnit(RigGauges gauges, ulong unitSeed) =>
        new(Drawn(gauges.Gauges.Where(g => g.InUnit), unitSeed));

    /// <summary>This rig after a creeping fault has gone a share of its way: the output torque's gain and zero and the bus current's zero move.</summary>
    /// <param name="share">0 for not at all, 1 for the whole way; the plant raises it with the number of runs.</param>
    public RigErrors Drifted(double share)
    {
        var errors = new Dictionary<string, ChannelError>(_errors, StringComparer.Ordinal);
        var torque = Of("output_torque_nm");
        var current = Of("bus_current_a");
        errors["output_torque_nm"] = new(torque.GainShare + share * DriftedTorqueGainShare, torque.Zero + share * DriftedTorqueZeroNm);
        errors["bus_current_a"] = current with { Zero = current.Zero + share * DriftedBusCurrentZeroA };
        return new(errors);
    }

    /// <summary>No error where none was drawn.</summary>
    public ChannelError Of(string channel) => _errors.GetValueOrDefault(channel);

    static Dictionary<string, ChannelError> Drawn(IEnumerable<Gauge> gauges, ulong seed) => gauges.ToDictionary(
        g => g.Channel,
        g =>
        {
            var noise = new SeededNoise(seed, "gauge " + g.Channel);
            return new ChannelError(g.GainShare * noise.Normal(), g.Zero * noise.Normal());
        },
        StringComparer.Ordinal);
}

/// <summary>Reading = true value × (1 + gain share) + zero.</summary>
public readonly record struct ChannelError(double GainShare, double Zero);
