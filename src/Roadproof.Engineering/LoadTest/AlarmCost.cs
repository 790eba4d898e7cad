namespace Roadproof.Engineering.LoadTest;

/// <summary>What stopping sound units and passing faulty ones costs, over the false-alarm rate that the limits are set for.</summary>
/// <param name="Least">The rate that costs least of those looked at.</param>
/// <param name="AtEdge">It is the smallest or largest looked at: the true least may lie beyond.</param>
/// <param name="From">The smallest rate whose cost is within a twentieth of the least.</param>
/// <param name="To">The largest such.</param>
/// <remarks>
/// Cost of a unit = (1 − Σ shares)·P(sound one stopped)·cost + Σ share·P(faulty one passes)·cost. A fault's size is taken as normal about its typical one, five nodes (Gauss-Hermite, textbook), without those of the
/// wrong sign. All rates are asked of the same drawn units, so that their difference is surer than each.
/// </remarks>
public sealed record AlarmCost(IReadOnlyList<CostAt> Curve, CostAt Least, bool AtEdge, CostAt From, CostAt To)
{
    static readonly double[] Rates = [0.0005, 0.001, 0.002, 0.003, 0.005, 0.0075, 0.01, 0.015, 0.02, 0.03, 0.05, 0.08];

    // Nodes and weights for a standard normal.
    static readonly (double Z, double Weight)[] Nodes = [(-2.8569700138728, 0.0112574113277), (-1.3556261799743, 0.2220759220056), (0, 0.5333333333333), (1.3556261799743, 0.2220759220056), (2.8569700138728, 0.0112574113277)];

    /// <param name="shares">Share of units that have each fault.</param>
    internal static AlarmCost Of(ExpectationSpread spread, JointLimits limits, StopRates rates, double stoppedSound, double passedFault, IReadOnlyDictionary<string, double> shares)
    {
        const int units = 20_000;
        var sound = rates.Drawn(rates.ShiftOf(Drive.Deviation.None));
        var faulty = (from h in spread.Model.Faults
                      let sizes = Nodes.Select(n => (Size: h.Typical + n.Z * h.Spread, n.Weight)).Where(n => n.Size > 0).ToList()
                      from n in sizes
                      from sign in h.EitherSign ? (int[])[1, -1] : [1]
                      let share = shares[h.Id] * n.Weight / sizes.Sum(s => s.Weight) / (h.EitherSign ? 2 : 1)
                      select (Share: share, Drawn: rates.Drawn(rates.ShiftOf(h.At(sign * n.Size)), units))).ToList();
        var soundShare = 1 - shares.Values.Sum();
        var curve = limits.At(spread, Rates).Select(at =>
        {
            var (stopped, passed) = (soundShare * sound.Stopped(at), faulty.Sum(f => f.Share * (1 - f.Drawn.Stopped(at))));
            return new CostAt(at.FalseAlarm, stopped, passed, stopped * stoppedSound + passed * passedFault);
        }).ToList();
        var least = curve.MinBy(c => c.CostPerUnit)!;
        var asGood = curve.Where(c => c.CostPerUnit <= 1.05 * least.CostPerUnit).ToList();
        return new(curve, least, least == curve[0] || least == curve[^1], asGood[0], asGood[^1]);
    }
}

/// <summary>The cost of one false-alarm rate.</summary>
/// <param name="SoundStopped">Sound units that are stopped, requirements included, as a share of all units.</param>
/// <param name="FaultyPassed">Faulty units that pass, as a share of all units.</param>
/// <param name="CostPerUnit">In the money of the two costs.</param>
public sealed record CostAt(double FalseAlarm, double SoundStopped, double FaultyPassed, double CostPerUnit);
