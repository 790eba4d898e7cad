using MathNet.Numerics.LinearAlgebra;
using Roadproof.Engineering.Statistics;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest.Rigs;

/// <summary>Judges the runs of one sound reference unit: whether the rig reads what it should.</summary>
/// <remarks>
/// Before a rig's first run its level is the reference's own value, known as well as the rig's gauges are; each good run makes the level better known, so that later deviations are held
/// against little more than the scatter of one run. Deviations of a sound rig are independent from run to run and of unit variance (innovations of a linear filter, textbook).
/// Each is looked at alone, along each gauge's own signature, and in its moving average. Methods: <c>docs/methods/rigs.md</c>.
/// </remarks>
public sealed class ReferenceJudge
{
    /// <summary>Sound rigs wrongly stopped by one run: by single deviations and moves along gauges together. The moving averages add as much.</summary>
    public const double FalseAlarm = 0.002;

    /// <summary>A zero may lie so many standard uncertainties of its gauge away.</summary>
    const double ZeroLimitSigma = 4;

    readonly LoadTestPlan plan;
    readonly ReferenceUnit unit;
    readonly Characteristic[] characteristics;
    readonly Vector<double> expected;
    readonly Matrix<double> prior, noise, own;
    readonly RigGaugeMoves moves;
    readonly EwmaChart chart;

    internal ReferenceJudge(LoadTestPlan plan, ReferenceUnit unit)
    {
        (this.plan, this.unit) = (plan, unit);
        var known = Characteristics.Expectations(plan).ToDictionary(c => c.Id, StringComparer.Ordinal);
        characteristics = [.. unit.Expected.Select(e => known[e.Id])];
        moves = new(plan, [.. unit.Expected.Select(e => e.Id)]);
        expected = Vector<double>.Build.DenseOfEnumerable(unit.Expected.Select(e => e.Value));
        var n = expected.Count;
        own = Matrix<double>.Build.DenseDiagonal(n, n, i => Square(unit.Expected[i].StandardUncertainty));
        prior = own.Clone();
        foreach (var gauge in moves.Gauges) prior += Columns(gauge) * Columns(gauge).Transpose();
        noise = Matrix<double>.Build.Dense(n, n, (i, j) => moves.Correlation[i, j] * unit.Expected[i].StandardDeviation * unit.Expected[j].StandardDeviation);

        // Two-sided and jointly normal: by Šidák's inequality the rate holds whatever the correlation.
        var tests = n + moves.Gauges.Count;
        Limit = Normal.Quantile(1 - (1 - Math.Pow(1 - FalseAlarm, 1.0 / tests)) / 2);
        chart = EwmaChart.OfFamily(n);
    }

    /// <summary>Beyond it a deviation is no chance, in standard deviations.</summary>
    public double Limit { get; }

    /// <summary>Gains and zeros that the reference sees.</summary>
    public IReadOnlyList<string> Gauges => [.. moves.Gauges.Select(g => g.Name)];

    /// <param name="run">The reference's run as the load test judged it.</param>
    /// <param name="before">What earlier runs of sound references on this rig left.</param>
    public ReferenceVerdict Judge(LoadTestVerdict run, RigLevel before)
    {
        var values = run.Expectations.ToDictionary(e => e.Id, e => e.Value, StringComparer.Ordinal);
        if (characteristics.FirstOrDefault(c => !double.IsFinite(values.GetValueOrDefault(c.Id, double.NaN))) is { } missing)
            return new(false, $"{missing.Name} was not read", [], null, Limit, [], before);

        var value = Vector<double>.Build.DenseOfEnumerable(characteristics.Select(c => values[c.Id]));
        var (level, covariance) = LevelAfter(before);
        var deviation = value - level;
        var readings = characteristics.Select((c, i) => Reading(c, value[i], level[i], Math.Sqrt(covariance[i, i]), before)).ToList();
        var farthest = Farthest(deviation, covariance);
        var zeros = Zeros(run);
        var reason = Reason(readings, farthest, zeros);
        return new(reason.Length == 0, reason, readings, farthest, Limit, zeros, reason.Length == 0 ? After(before, values, readings) : before);
    }

    /// <summary>The reference standard deviation of a characteristic: how its reading scatters over sound rigs and runs, by what gauges and runs are known to; in its unit.</summary>
    public double StandardDeviation(string id) => Math.Sqrt(prior[Row(id), Row(id)] + noise[Row(id), Row(id)]);

    /// <summary>How surely the next run finds a gauge that has moved.</summary>
    /// <param name="gauge">One of <see cref="Gauges"/>.</param>
    /// <param name="size">How far it moves the characteristic that it moves most, in reference standard deviations.</param>
    /// <param name="runsBefore">Good runs since the rig was put right.</param>
    /// <returns>At least this: other signs only add.</returns>
    public double ChanceFound(string gauge, double size, int runsBefore)
    {
        var move = Columns(moves.Gauges.First(g => g.Name == gauge)).Column(0);
        var most = Enumerable.Range(0, move.Count).Max(i => Math.Abs(move[i]) / Math.Sqrt(prior[i, i] + noise[i, i]));
        var covariance = LevelAfter(new(runsBefore, RigLevel.None.Mean, RigLevel.None.Ewma)).Covariance;
        var along = size / most * Math.Sqrt(move * covariance.Cholesky().Solve(move));
        return Normal.Above(Limit - along) + Normal.Below(-Limit - along);
    }

    /// <summary>The level that this rig is expected to read, and the covariance of one run's deviation from it.</summary>
    (Vector<double> Level, Matrix<double> Covariance) LevelAfter(RigLevel before)
    {
        if (before.Runs == 0) return (expected, prior + noise);
        var gain = (prior + noise / before.Runs).Cholesky().Solve(prior).Transpose();
        var mean = Vector<double>.Build.Dense(expected.Count, i => before.Mean.GetValueOrDefault(characteristics[i].Id));
        // Another reference may have shown the level: what is unsure of this one's own values stays.
        var covariance = prior - gain * prior + noise + own;
        return (expected + gain * mean, (covariance + covariance.Transpose()) / 2);
    }

    ReferenceReading Reading(Characteristic c, double value, double level, double sd, RigLevel before)
    {
        var sigma = (value - level) / sd;
        return new(c.Id, c.Name, c.Unit, value, level, sd, sigma, chart.Next(before.Ewma.GetValueOrDefault(c.Id), sigma), chart.LimitAt(before.Runs + 1));
    }

    // Along a gauge's own signature, whitened: the best linear test for that gauge (Neyman and Pearson's lemma, textbook).
    GaugeFinding? Farthest(Vector<double> deviation, Matrix<double> covariance)
    {
        var factor = covariance.Cholesky();
        return moves.Gauges.Select(gauge =>
        {
            var move = Columns(gauge).Column(0);
            var weighted = factor.Solve(move);
            var information = move * weighted;
            var times = weighted * deviation / information;
            return new GaugeFinding(gauge.Name, gauge.IsGain, times * gauge.StandardUncertainty, gauge.StandardUncertainty, times * Math.Sqrt(information));
        }).MaxBy(f => Math.Abs(f.Sigma));
    }

    List<ZeroReading> Zeros(LoadTestVerdict run)
    {
        var zeros = run.ZerosAtRest.Select(z => new ZeroReading(z.Name, z.Value, ZeroLimitSigma * plan.Gauges.Of(z.Channel).Zero, z.Unit)).ToList();
        if (unit.QuiescentMilliA is { } quiescent && run.Requirements.FirstOrDefault(r => r.Id == "quiescent-current") is { } seen)
            zeros.Add(new("Bus current at rest", (seen.Value - quiescent) / 1e3, ZeroLimitSigma * plan.Gauges.Of("bus_current_a").Zero, "A"));
        return zeros;
    }

    string Reason(IReadOnlyList<ReferenceReading> readings, GaugeFinding? farthest, IReadOnlyList<ZeroReading> zeros)
    {
        var single = readings.MaxBy(r => Math.Abs(r.Sigma));
        if (farthest is not null && Math.Abs(farthest.Sigma) > Limit && Math.Abs(farthest.Sigma) >= Math.Abs(single?.Sigma ?? 0))
            return Invariant($"the {farthest.Name} has moved by {Spoken(farthest)}");
        if (single is not null && Math.Abs(single.Sigma) > Limit)
            return Invariant($"{single.Name} reads {single.Value:G5} {single.Unit} where {single.Level:G5} is known, {Math.Abs(single.Sigma):0.0} standard deviations off");
        if (zeros.FirstOrDefault(z => !z.IsGood) is { } zero)
            return Invariant($"{zero.Name} is {zero.Value:0.00#} {zero.Unit} where nothing is, more than {zero.Limit:0.00#}");
        var crept = readings.MaxBy(r => Math.Abs(r.Ewma) / r.EwmaLimit);
        return crept is not null && Math.Abs(crept.Ewma) > crept.EwmaLimit ? Invariant($"{crept.Name} creeps: {crept.Ewma:+0.00;−0.00} standard deviations over the last runs, more than {crept.EwmaLimit:0.00}") : "";
    }

    static string Spoken(GaugeFinding f) => f.IsGain ? Invariant($"{100 * f.Size:+0.00;−0.00} %") : Invariant($"{f.Size:+0.000;−0.000} in its unit");

    RigLevel After(RigLevel before, Dictionary<string, double> values, IReadOnlyList<ReferenceReading> readings) => new(
        before.Runs + 1,
        readings.ToDictionary(r => r.Id, r => (before.Mean.GetValueOrDefault(r.Id) * before.Runs + values[r.Id] - expected[Row(r.Id)]) / (before.Runs + 1), StringComparer.Ordinal),
        readings.ToDictionary(r => r.Id, r => r.Ewma, StringComparer.Ordinal));

    int Row(string id) => Array.FindIndex(characteristics, c => c.Id == id);

    static Matrix<double> Columns(GaugeMove gauge) => Matrix<double>.Build.DenseOfColumnArrays(gauge.Moves);

    static double Square(double x) => x * x;
}
