using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>What each load point tells of a fault: alone, and how much less the run would know without it.</summary>
/// <remarks>
/// What a run tells of a known shift s is sᵀ·C⁻¹·s, the square of how far the shift lies out in the best linear test (Neyman and Pearson's lemma, textbook). A point is left out as if it had
/// never been run: its own readings are gone, those that several points give together (resistance, flux, rotor angle, current gain) are read from the others with the uncertainty that this has.
/// </remarks>
sealed class PointInformation
{
    readonly LoadTestPlan plan;
    readonly ExpectationSpread spread;
    readonly double[] none;
    readonly (int[] Rows, Whitening Whitening) whole;
    readonly (string Point, int[] Rows, Whitening Whitening)[] without;
    readonly Dictionary<string, (int[] Rows, Whitening Whitening)> alone;

    public PointInformation(LoadTestPlan plan, ExpectationSpread spread)
    {
        (this.plan, this.spread) = (plan, spread);
        none = spread.Model.At(Deviation.None);
        var rows = Enumerable.Range(0, spread.Model.JointCount).ToArray();
        whole = (rows, new(JointLimits.Covariance(spread, rows)));
        var run = FaultlessRun.Of(plan, Deviation.None);
        without = [.. run.Points.Select(p => Without(p.Point, run))];
        alone = run.Points.ToDictionary(p => p.Point, p =>
        {
            int[] own = [.. rows.Where(i => IsOf(spread.Ids[i], p))];
            return (own, new Whitening(JointLimits.Covariance(spread, own)));
        }, StringComparer.Ordinal);
    }

    /// <summary>What each load point tells of the fault, as shares of what the whole run tells, the best first; none where the joint readings do not move.</summary>
    /// <param name="ofSeveral">The best is the one without which most is lost, not the one that alone tells most.</param>
    public IReadOnlyList<PointShare> Of(Deviation fault, bool ofSeveral)
    {
        var with = spread.Model.At(fault);
        var all = Told(whole.Rows, whole.Whitening);
        return all < 1e-9 ? [] : [.. without.Select(w => new PointShare(w.Point, Math.Min(1, Told(alone[w.Point].Rows, alone[w.Point].Whitening) / all), Math.Clamp(1 - Told(w.Rows, w.Whitening) / all, 0, 1))).OrderByDescending(p => ofSeveral ? p.Lost : p.Alone)];

        double Told(int[] rows, Whitening whitening)
        {
            var white = whitening.Whiten([.. rows.Select(i => with[i] - none[i])]);
            return Whitening.Dot(white, white);
        }
    }

    /// <summary>What some load points tell of a fault, as the square of how far out it lies; 0 where they cannot be read without the others.</summary>
    public Func<Deviation, double> Told(IReadOnlySet<string> kept, MeasuredRun run)
    {
        var (rows, whitening) = Keeping(kept.Contains, run);
        if (rows.Length == 0) return _ => 0;
        return fault =>
        {
            var with = spread.Model.At(fault);
            var white = whitening.Whiten([.. rows.Select(i => with[i] - none[i])]);
            return Whitening.Dot(white, white);
        };
    }

    (string Point, int[] Rows, Whitening Whitening) Without(string point, MeasuredRun run)
    {
        var (rows, whitening) = Keeping(p => p != point, run);
        return (point, rows, whitening);
    }

    (int[] Rows, Whitening Whitening) Keeping(Func<string, bool> kept, MeasuredRun run)
    {
        var left = run with { Points = [.. run.Points.Where(p => kept(p.Point))], Direct = run.Direct.Where(d => PointOf(d.Key) is not { } at || kept(at)).ToDictionary(StringComparer.Ordinal) };
        var undisturbed = CarriedReadings.Of(left, plan);
        int[] rows = [.. whole.Rows.Where(i => undisturbed.Readings.ContainsKey(spread.Ids[i]))];
        var covariance = new double[rows.Length, rows.Length];
        Add(spread.PartColumns());
        Add(spread.Errors.Select(e => Change(e.Error)));
        return (rows, new(covariance));

        void Add(IEnumerable<double[]> columns)
        {
            foreach (var c in columns)
                for (var i = 0; i < rows.Length; i++)
                    for (var j = 0; j < rows.Length; j++) covariance[i, j] += c[rows[i]] * c[rows[j]];
        }

        double[] Change(ReadingError error)
        {
            var disturbed = CarriedReadings.Of(error.Apply(left), plan);
            return [.. spread.Ids.Select(id => undisturbed.Readings.TryGetValue(id, out var before) ? disturbed.Readings[id].Value - before.Value : 0)];
        }
    }

    // The controller's current reading is held against the true one at any point under torque.
    bool IsOf(string id, MeasuredPoint p) => id == p.Point || id == Characteristics.Power(p.Point) || id == Characteristics.Current(p.Point) || PointOf(id) == p.Point || (id == Characteristics.CurrentGain && p is { DriveTorqueNm: > 0, Fast: not null });

    /// <summary>The load point at which a reading that no model carries is taken.</summary>
    string? PointOf(string id) => plan.Population.All(p => p.Id != id) ? null : id == Characteristics.WheelTooth ? new ToothBlow(plan, SampleRates.Usual.VibrationHz).Point : OrderReadings.PointOf(plan.Cycle)?.Id;
}

/// <summary>What one load point tells of a fault, as shares of what the whole run tells.</summary>
/// <param name="Alone">By the point's own readings and nothing else.</param>
/// <param name="Lost">What the rest of the run cannot make up for.</param>
public sealed record PointShare(string Point, double Alone, double Lost);
