using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.LoadTest.Rigs;

/// <summary>A gain or zero of one of a rig's gauges.</summary>
/// <param name="Name">As a person would say it, such as "gain of the output torque".</param>
/// <param name="StandardUncertainty">What the gauge is trusted to: a share for a gain, in the channel's unit for a zero.</param>
/// <param name="Moves">What one such standard uncertainty moves, shape [characteristics], each in its unit.</param>
sealed record GaugeMove(string Name, bool IsGain, double StandardUncertainty, double[] Moves);

/// <summary>What a rig's gauges move in the readings of one and the same unit, and how two runs of it differ on one rig.</summary>
sealed class RigGaugeMoves
{
    /// <summary>No model knows the correlation of two readings better: a share of each is taken as its own.</summary>
    const double OwnShare = 0.1;

    /// <param name="ids">Characteristics that are judged together.</param>
    public RigGaugeMoves(LoadTestPlan plan, IReadOnlyList<string> ids)
    {
        var run = FaultlessRun.Of(plan, Drive.Deviation.None);
        var undisturbed = CarriedReadings.Of(run, plan).Readings;
        double[] Moved(ReadingError error)
        {
            var disturbed = CarriedReadings.Of(error.Apply(run), plan).Readings;
            return [.. ids.Select(id => disturbed[id].Value - undisturbed[id].Value)];
        }

        var errors = ReadingErrors.All(plan, SampleRates.Usual).ToList();
        // One gauge may move several readings by one and the same error.
        Gauges =
        [
            .. errors.Where(e => e.SharedBy == SharedBy.Rig && e.Name.Split(' ') is [_, "gain" or "zero"] or [_, "gain,", ..])
                .GroupBy(e => e.Name, StringComparer.Ordinal).Select(g => Named(plan, g.First(), [.. g.Select(Moved).Aggregate((sum, moved) => [.. sum.Zip(moved, (x, y) => x + y)])]))
                .Where(g => g.Moves.Any(m => m != 0)),
        ];
        var noise = errors.Where(e => e.SharedBy == SharedBy.Nobody).Select(Moved).ToList();
        Correlation = new double[ids.Count, ids.Count];
        var sd = Enumerable.Range(0, ids.Count).Select(i => Math.Sqrt(noise.Sum(c => c[i] * c[i]))).ToArray();
        for (var i = 0; i < ids.Count; i++)
            for (var j = 0; j < ids.Count; j++)
                Correlation[i, j] = i == j ? 1 : sd[i] > 0 && sd[j] > 0 ? (1 - OwnShare) * noise.Sum(c => c[i] * c[j]) / (sd[i] * sd[j]) : 0;
    }

    public IReadOnlyList<GaugeMove> Gauges { get; }

    /// <summary>Of the readings of one run with each other, shape [ids, ids].</summary>
    public double[,] Correlation { get; }

    static GaugeMove Named(LoadTestPlan plan, ReadingError error, double[] moves)
    {
        var (channel, what) = (error.Name.Split(' ')[0], error.Name.Split(' ')[1].TrimEnd(','));
        var gauge = plan.Gauges.Gauges.FirstOrDefault(g => g.Channel == channel);
        return new($"{what} of the {(gauge is null ? channel.Replace('_', ' ') : Spoken(channel))}", what == "gain", gauge is null ? error.Size : what == "gain" ? gauge.GainShare : gauge.Zero, moves);
    }

    // "output_torque_nm" → "output torque": the last words are the unit.
    static string Spoken(string channel)
    {
        var words = channel.Split('_');
        var unit = channel.EndsWith("_rad_s", StringComparison.Ordinal) ? 2 : channel.EndsWith("_m_s2", StringComparison.Ordinal) ? 2 : 1;
        return words is ["shell" or "ambient", "c"] ? $"{words[0]} temperature" : string.Join(' ', words.SkipLast(unit));
    }
}
