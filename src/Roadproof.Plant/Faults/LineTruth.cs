using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Faults;

/// <summary>What is wrong with the line as a whole in this demo: one demo of four has a weak rotor lot, one of four a rig that drifts.</summary>
/// <param name="WeakRotorLot">Counted from 1 in the order in which lots are opened; null for none.</param>
/// <param name="DriftingRig">Counted from 0; null for none.</param>
public sealed record LineTruth(int? WeakRotorLot, int? DriftingRig)
{
    /// <summary>The rig is sound before this run of its own, counted from 1.</summary>
    public const int DriftFromRun = 15;

    /// <summary>Runs from the first sign of drift until it has gone its whole way.</summary>
    const double DriftRuns = 40;

    /// <param name="units">Units to be built; where that is less than two rotor lots hold, the first lot is the weak one.</param>
    public static LineTruth Draw(ulong seed, int? units, int rigs) => new(
        seed % 4 == 1 ? units is < 100 ? 1 : 2 : null,
        seed % 4 == 2 && rigs > 0 ? (int)(new SeededNoise(seed, "which rig drifts").Share() * rigs) : null);

    /// <summary>How far the drift of a rig has gone at a run, 0 to 1.</summary>
    public double DriftShare(int rig, int run) => rig == DriftingRig && run >= DriftFromRun ? Math.Min(1, (run - DriftFromRun + 1) / DriftRuns) : 0;
}
