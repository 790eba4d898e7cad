using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Statistics;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>What a load test is said to find, against the best test there is for one known fault and against units drawn from the whole computation.</summary>
public sealed class SensitivityTests
{
    static readonly int[] Rows = [.. Enumerable.Range(0, DemoJudge.Spread.Model.JointCount)];

    /// <summary>The sizes that the demo hides, by fault.</summary>
    static readonly Dictionary<string, double> DemoSizes = new()
    {
        ["motor-drag"] = 0.010, ["stiff-grease"] = 80, ["grease-missing"] = 1, ["crimp"] = 10, ["magnet-missing"] = 1, ["rotor-offset"] = 10, ["weak-flux"] = 3, ["mesh-loss"] = 1, ["current-gain"] = 2, ["tooth-damage"] = 12,
    };

    public static TheoryData<string> JointFaults => [.. DemoSizes.Keys];

    public static TheoryData<string> EveryFault => [.. DemoJudge.Judge.Sensitivity().Select(s => s.Fault)];

    /// <summary>
    /// Neyman and Pearson's test for one known shift s: power Φ((|s| − z)/σ), |s|² = sᵀC⁻¹s with the model's own covariance (textbook), σ the scatter of units with the fault along s. At the false-alarm rate that the
    /// direction of this fault has here the prediction may fall short of it by five points at most (other limits find some beside), and no test at the whole rate may be beaten. What looking for every fault at once costs beside looking for this one alone is the difference between the two.
    /// </summary>
    [Theory]
    [MemberData(nameof(JointFaults))]
    public void Predicts_what_the_best_test_for_a_known_fault_would_find(string fault)
    {
        var h = DemoJudge.Spread.Model.Faults.Single(f => f.Id == fault);
        foreach (var size in new[] { DemoSizes[fault], Size(h, 0.5), Size(h, 0.9) })
        {
            var (rate, far) = (Rate(h, size), FarOut(h, size));
            var scatter = Scatter(h, size);
            var (own, whole) = (Power(far, DemoJudge.Judge.Sensitivity().Single(s => s.Fault == fault).LimitSigma!.Value), Power(far, Normal.Quantile(h.EitherSign ? 0.995 : 0.99)));
            Assert.True(own - rate <= 0.05, $"{fault} of {size:G3}: predicted {rate:P1}, the best test at the same rate {own:P1}");
            Assert.True(rate <= whole + 0.02, $"{fault} of {size:G3}: predicted {rate:P1}, the best test at one in a hundred {whole:P1}");

            double Power(double by, double z) => Normal.Below((by - z) / scatter) + (h.EitherSign ? Normal.Below((-by - z) / scatter) : 0);
        }
    }

    // The demo's sizes: what looking for all faults at once costs. Two sizes are small beside the scatter of sound parts, and there it costs a seventh of all units.
    [Theory]
    [InlineData("motor-drag", 0.03), InlineData("stiff-grease", 0.01), InlineData("grease-missing", 0.02), InlineData("crimp", 0.01), InlineData("magnet-missing", 0.01), InlineData("rotor-offset", 0.01)]
    [InlineData("current-gain", 0.02), InlineData("tooth-damage", 0.01), InlineData("weak-flux", 0.14), InlineData("mesh-loss", 0.17)]
    public void Costs_little_beside_a_test_for_one_fault_alone_where_a_fault_is_large(string fault, double points)
    {
        var h = DemoJudge.Spread.Model.Faults.Single(f => f.Id == fault);
        var z = Normal.Quantile(h.EitherSign ? 0.995 : 0.99);
        Assert.InRange(Normal.Below(FarOut(h, DemoSizes[fault]) - z) - Rate(h, DemoSizes[fault]), -0.02, points);
    }

    /// <summary>
    /// The joint test that finds most over the demo's whole fault table: the likelihood of its faults, all equally likely, against that of a sound unit, both normal with the model's own covariance (Neyman and Pearson's lemma, textbook), its limit from freshly drawn sound units.
    /// Of units drawn by the full model no fault is found five points less by the limits than by it.
    /// </summary>
    [Fact]
    public void Finds_every_fault_within_five_points_of_the_best_joint_test()
    {
        const int soundUnits = 40_000, faultyUnits = 4_000; // standard errors: of the rate at the limit 0.5 points at most, of the difference of two rates of the same units 0.6
        var (spread, plan) = (DemoJudge.Spread, DemoPlan.Plan);
        var whitening = new Whitening(JointLimits.Covariance(spread, Rows));
        var (faults, none) = (new FaultDirections(spread, Rows, whitening), Read(Deviation.None));
        var table = DemoSizes.SelectMany(f => spread.Model.Faults.Single(h => h.Id == f.Key) is var h && h.EitherSign ? [(f.Key, Unit: h.At(f.Value)), (f.Key, Unit: h.At(-f.Value))] : new[] { (f.Key, Unit: h.At(f.Value)) }).ToList();
        var shifts = table.ConvertAll(f => (White: whitening.Whiten([.. Read(f.Unit).Zip(none, (a, b) => a - b).Take(Rows.Length)]), Share: 1.0 / table.Count(g => g.Key == f.Key)));

        var (sound, evidence, residual) = (new SoundUnits(spread, seed: 61), new double[soundUnits], new double[spread.Ids.Length]);
        for (var n = 0; n < soundUnits; n++)
        {
            sound.Next(residual);
            evidence[n] = Evidence(whitening.Whiten(residual.AsSpan(0, Rows.Length)));
        }

        Array.Sort(evidence);
        var limit = evidence[soundUnits * 99 / 100];
        foreach (var (fault, unit) in table)
        {
            var (ours, best) = (0, 0);
            foreach (var read in Drawn(unit, faultyUnits, seed: 62))
            {
                double[] off = [.. Rows.Select(i => read[i] - spread.Mean[i])];
                var white = whitening.Whiten(off);
                if (Whitening.Dot(white, white) > DemoJudge.Judge.DistanceLimit || faults.Nearest(white).Evidence > DemoJudge.Judge.EvidenceLimit || Rows.Any(i => Math.Abs(off[i]) > DemoJudge.Judge.SigmaLimit * spread.StandardDeviation(i))) ours++;
                if (Evidence(white) > limit) best++;
            }

            Assert.True(best - ours <= 0.05 * faultyUnits, $"{fault}: {(double)ours / faultyUnits:P1} are found, {(double)best / faultyUnits:P1} by the best joint test");
        }

        double Evidence(double[] white) => Math.Log(shifts.Sum(s => s.Share * Math.Exp(Whitening.Dot(s.White, white) - Whitening.Dot(s.White, s.White) / 2)));
    }

    // The tests that the page shows beside ours: where nothing is in the way, the one for a fault alone is Φ(|s| − z) (textbook).
    [Theory]
    [InlineData("mesh-loss", 0.03), InlineData("motor-drag", 0.01), InlineData("crimp", 0.01)]
    public void Says_what_the_best_tests_would_find(string fault, double within)
    {
        var (h, said) = (DemoJudge.Spread.Model.Faults.Single(f => f.Id == fault), DemoJudge.Judge.Sensitivity().Single(s => s.Fault == fault));
        Assert.Equal(Normal.Below(FarOut(h, h.Typical) - Normal.Quantile(0.99)), said.Best.Alone, within);
        Assert.InRange(said.Best.Together, 0, said.Best.Alone);
        Assert.InRange(said.RateAtTypical, said.Best.Together - 0.05, said.Best.Alone + 0.01);
    }

    static IEnumerable<double[]> Drawn(Deviation unit, int units, ulong seed)
    {
        var (spread, parts, draws, z) = (DemoJudge.Spread, new PartScatter(DemoPlan.Plan.Tolerances), new SeededNoise(seed, "drawn units"), new double[PartScatter.Count]);
        for (var n = 0; n < units; n++)
        {
            draws.Fill(z);
            var read = spread.Model.At(parts.On(unit, z));
            foreach (var error in spread.Rig.Concat(spread.Own))
            {
                var by = draws.Normal();
                for (var i = 0; i < read.Length; i++) read[i] += by * error[i];
            }

            yield return read;
        }
    }

    /// <summary>Each unit: parts drawn, the fault in them, a run of it, every error of rig and noise in that run, carried and held against the limits; nothing of the prediction's draws or derivatives.</summary>
    [Theory]
    [MemberData(nameof(EveryFault))]
    public void Finds_nine_of_ten_freshly_drawn_units_with_the_smallest_fault_found(string fault)
    {
        const int units = 1_500;
        var (spread, plan) = (DemoJudge.Spread, DemoPlan.Plan);
        var (said, h) = (DemoJudge.Judge.Sensitivity().Single(s => s.Fault == fault), spread.Model.Faults.Single(f => f.Id == fault));
        var size = said.SmallestFound!.Value;
        if (h.EitherSign && DemoJudge.Judge.PredictedStopRate(h.At(-size)).Rate < DemoJudge.Judge.PredictedStopRate(h.At(size)).Rate) size = -size;
        var (deviation, parts, z, noise) = (h.At(size), new PartScatter(plan.Tolerances), new double[PartScatter.Count], new SeededNoise(51, fault));
        var whitening = new Whitening(JointLimits.Covariance(spread, Rows));
        var faults = new FaultDirections(spread, Rows, whitening);
        var errors = spread.Errors.Where(e => e.Error.SharedBy != SharedBy.AllUnits).Select(e => e.Error).ToList();
        var stopped = 0;
        for (var n = 0; n < units; n++)
        {
            noise.Fill(z);
            var run = FaultlessRun.Of(plan, parts.On(deviation, z));
            foreach (var error in errors) run = error.Disturb(run, error.Draw(noise));
            var read = CarriedReadings.Of(run, plan).Readings;
            if (Stops([.. spread.Ids.Select(id => read[id].Value)])) stopped++;
        }

        Assert.InRange((double)stopped / units, 0.87, 0.93);

        bool Stops(double[] read)
        {
            var residual = Rows.Select(i => read[i] - spread.Mean[i]).ToArray();
            var white = whitening.Whiten(residual);
            return Whitening.Dot(white, white) > DemoJudge.Judge.DistanceLimit
                || faults.Nearest(white).Evidence > DemoJudge.Judge.EvidenceLimit
                || Rows.Any(i => Math.Abs(residual[i]) > DemoJudge.Judge.SigmaLimit * spread.StandardDeviation(i))
                || plan.Requirements.Any(r => Array.IndexOf(spread.Ids, r.Id) is >= 0 and var i && Requirement.Judge(r, read[i], spread.ReadingUncertainty(i)).Verdict != Verdict.Pass);
        }
    }

    [Theory]
    [InlineData("motor-drag", "no-load-75"), InlineData("tooth-damage", "85-60"), InlineData("torque-sensor-zero", "rest")]
    public void Names_the_load_point_that_sees_a_fault(string fault, string point) => Assert.Equal(point, DemoJudge.Judge.Sensitivity().Single(s => s.Fault == fault).BestPoint);

    // Drag under load hides behind the load: it is the points without torque that see it, by themselves and beside all others.
    [Fact]
    public void Drag_is_seen_without_load_and_gears_under_it()
    {
        var all = DemoJudge.Judge.Sensitivity();
        Assert.All(all.Single(s => s.Fault == "motor-drag").Points.Take(3), p => Assert.StartsWith("no-load", p.Point, StringComparison.Ordinal));
        Assert.All(all.Single(s => s.Fault == "mesh-loss").Points.Take(3), p => Assert.DoesNotContain("no-load", p.Point, StringComparison.Ordinal));
        Assert.All(all, s => Assert.All(s.Points, p => Assert.InRange(p.Alone, 0, 1)));
        Assert.Equal(1, all.Single(s => s.Fault == "tooth-damage").Points[0].Lost, 0.01); // nothing but the one point reads it
    }

    [Fact]
    public void A_curve_rises_from_the_false_alarms_to_sure() => Assert.All(DemoJudge.Judge.Sensitivity(), s =>
    {
        Assert.Equal(0, s.Curve[0].Size);
        Assert.InRange(s.Curve[0].Rate, 0.008, 0.016);
        Assert.All(s.Curve.Zip(s.Curve.Skip(1)), pair => Assert.True(pair.Second.Rate >= pair.First.Rate - 0.01, s.Fault));
        Assert.InRange(s.Curve[^1].Rate, 0.9, 1);
        Assert.Equal(0.9, DemoJudge.Judge.PredictedStopRate(DemoJudge.Spread.Model.Faults.Single(h => h.Id == s.Fault).At(s.SmallestFound!.Value)).Rate, s.EitherSign ? 0.1 : 0.05);
    });

    static double Rate(FaultHypothesis h, double size) => DemoJudge.Judge.PredictedStopRate(h.At(size)).Rate;

    static double FarOut(FaultHypothesis h, double size)
    {
        var (with, none) = (Read(h.At(size)), Read(Deviation.None));
        return Math.Sqrt(new Whitening(JointLimits.Covariance(DemoJudge.Spread, Rows)).Distance([.. Rows.Select(i => with[i] - none[i])]));
    }

    /// <summary>Standard deviation of units with a fault along its own signature, where sound units have 1.</summary>
    static double Scatter(FaultHypothesis h, double size)
    {
        var (spread, parts, none) = (DemoJudge.Spread, new PartScatter(DemoPlan.Plan.Tolerances), Read(Deviation.None));
        var whitening = new Whitening(JointLimits.Covariance(spread, Rows));
        var direction = White(Read(h.At(size)).Zip(none, (a, b) => a - b));
        var (length, variance) = (Math.Sqrt(Whitening.Dot(direction, direction)), 1.0);
        for (var p = 0; p < PartScatter.Count; p++)
        {
            var (up, down) = (new double[PartScatter.Count], new double[PartScatter.Count]);
            (up[p], down[p]) = (1, -1);
            var faulty = White(spread.Model.At(parts.On(h.At(size), up)).Zip(spread.Model.At(parts.On(h.At(size), down)), (a, b) => (a - b) / 2));
            variance += Math.Pow(Whitening.Dot(faulty, direction) / length, 2) - Math.Pow(Whitening.Dot(White(spread.Parts[p]), direction) / length, 2);
        }

        return Math.Sqrt(variance);

        double[] White(IEnumerable<double> values) => whitening.Whiten([.. values.Take(Rows.Length)]);
    }

    static double[] Read(Deviation deviation)
    {
        var read = CarriedReadings.Of(FaultlessRun.Of(DemoPlan.Plan, deviation), DemoPlan.Plan).Readings;
        return [.. DemoJudge.Spread.Ids.Select(id => read[id].Value)];
    }

    static double Size(FaultHypothesis h, double rate)
    {
        var (lower, upper) = (0.0, 5 * h.Typical);
        for (var step = 0; step < 16; step++)
        {
            var middle = (lower + upper) / 2;
            if (Rate(h, middle) < rate) lower = middle;
            else upper = middle;
        }

        return upper;
    }
}
