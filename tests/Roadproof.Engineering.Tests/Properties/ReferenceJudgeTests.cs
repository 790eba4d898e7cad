using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Statistics;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class ReferenceJudgeTests
{
    static ReferenceJudge Judge => DemoReference.Judge;

    static double[] Drawn(SeededNoise noise)
    {
        var gauges = new double[DemoReference.Gauges.Count];
        noise.Fill(gauges);
        return gauges;
    }

    // 1,500 sound rigs, six runs each: one run and its averages may stop 0.2 % and 0.2 %; 9,000 runs are sure within 0.2 % (three standard errors).
    [Fact]
    public void Sound_rigs_are_stopped_no_oftener_than_asked()
    {
        var (noise, runs, stopped) = (new SeededNoise(1, "sound rigs"), 0, 0);
        for (var rig = 0; rig < 1_500; rig++)
        {
            var (gauges, level) = (Drawn(noise), RigLevel.None);
            for (var run = 0; run < 6; run++, runs++)
            {
                var verdict = Judge.Judge(DemoReference.Run(gauges, noise), level);
                if (!verdict.Good) stopped++;
                level = verdict.Level;
            }
        }

        Assert.InRange((double)stopped / runs, 0, 2 * ReferenceJudge.FalseAlarm + 0.002);
    }

    // What the page and the method promise: a gauge that moves what it moves most by three reference standard deviations is found by the very next run.
    [Fact]
    public void A_drift_of_three_reference_standard_deviations_is_found_by_the_next_run()
    {
        var noise = new SeededNoise(2, "drifts");
        foreach (var gauge in Judge.Gauges)
        {
            var (at, tries, found) = (Judge.Gauges.ToList().IndexOf(gauge), 150, 0);
            var moves = DemoReference.Gauges[at].Moves;
            var most = Enumerable.Range(0, moves.Length).Max(i => Math.Abs(moves[i]) / Judge.StandardDeviation(DemoReference.Unit.Expected[i].Id));
            for (var n = 0; n < tries; n++)
            {
                var (gauges, level) = (Drawn(noise), RigLevel.None);
                for (var run = 0; run < 3; run++) level = Judge.Judge(DemoReference.Run(gauges, noise), level).Level;
                gauges[at] += (n % 2 == 0 ? 3 : -3) / most;
                if (!Judge.Judge(DemoReference.Run(gauges, noise), level).Good) found++;
            }

            // The stated chance is a lower bound; four standard errors of the count below it.
            var stated = Judge.ChanceFound(gauge, 3, 3);
            Assert.True((double)found / tries >= stated - 4 * Math.Sqrt(stated * (1 - stated) / tries) - 0.01, $"{gauge}: found {found} of {tries}, stated {stated:0.000}");
            TestContext.Current.TestOutputHelper?.WriteLine($"{gauge}: found {found} of {tries}, stated {stated:0.000}");
        }
    }

    [Fact]
    public void What_has_moved_is_named_with_its_size()
    {
        var (noise, level) = (new SeededNoise(3, "named"), RigLevel.None);
        var gauges = Drawn(noise);
        for (var run = 0; run < 4; run++) level = Judge.Judge(DemoReference.Run(gauges, noise), level).Level;
        gauges[Judge.Gauges.ToList().IndexOf("gain of the output torque")] += 3;

        var verdict = Judge.Judge(DemoReference.Run(gauges, noise), level);

        Assert.False(verdict.Good);
        Assert.Equal("gain of the output torque", verdict.Farthest!.Name);
        Assert.Equal(3 * 0.0015, verdict.Farthest.Size, 0.0006);
        Assert.Equal(level, verdict.Level);
    }

    // A creep of a quarter of a run's scatter from run to run shows in no single run for long; its average tells.
    [Fact]
    public void A_creep_is_found_by_its_average_before_a_single_deviation_is_out()
    {
        var level = RigLevel.None;
        for (var run = 1; run <= 40; run++)
        {
            var creep = run;
            var verdict = Judge.Judge(DemoReference.Reading(i => DemoReference.Unit.Expected[i].Value + (DemoReference.Unit.Expected[i].Id == "controller-rise" ? 0.3 * creep * DemoReference.Unit.Expected[i].StandardDeviation : 0)), level);
            if (!verdict.Good)
            {
                Assert.Contains("creeps", verdict.Reason, StringComparison.Ordinal);
                Assert.True(verdict.Readings.All(r => Math.Abs(r.Sigma) < verdict.Limit));
                return;
            }

            level = verdict.Level;
        }

        Assert.Fail("A creep of twelve standard deviations was never found.");
    }

    [Fact]
    public void A_zero_that_is_none_stops_the_rig()
    {
        var run = DemoReference.Run(new double[DemoReference.Gauges.Count], new SeededNoise(4, "zero")) with { ZerosAtRest = [new("output_torque_nm", "Output torque at rest", 0.2, "N·m")] };
        var verdict = Judge.Judge(run, RigLevel.None);
        Assert.False(verdict.Good);
        Assert.Contains("Output torque at rest", verdict.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_reading_that_is_missing_is_named_and_nothing_is_learnt()
    {
        var run = DemoReference.Reading(_ => double.NaN);
        var verdict = Judge.Judge(run, RigLevel.None);
        Assert.False(verdict.Good);
        Assert.Contains("was not read", verdict.Reason, StringComparison.Ordinal);
        Assert.Equal(RigLevel.None, verdict.Level);
    }

    // The slow way: the level as the mean of a normal posterior, one characteristic with one gauge worked by hand.
    [Fact]
    public void The_level_moves_from_the_reference_s_value_to_what_the_rig_reads()
    {
        var (noise, level) = (new SeededNoise(6, "level"), RigLevel.None);
        var gauges = Drawn(noise);
        var first = Judge.Judge(DemoReference.Run(gauges, noise), level);
        for (var run = 0; run < 12; run++) level = Judge.Judge(DemoReference.Run(gauges, noise), level).Level;
        var late = Judge.Judge(DemoReference.Run(gauges, noise), level);
        foreach (var (before, after) in first.Readings.Zip(late.Readings))
        {
            var own = DemoReference.Unit.Expected.First(e => e.Id == before.Id);
            Assert.Equal(own.Value, before.Level, 9);
            // Another reference may have shown the level, so that what is unsure of this one's own value is added once more.
            Assert.True(after.StandardDeviation <= double.Hypot(before.StandardDeviation, own.StandardUncertainty) + 1e-12);
            Assert.InRange(after.StandardDeviation, own.StandardDeviation, own.StandardDeviation * Math.Sqrt(1 + 1.0 / 12 + 2.0 / 25) + 1e-9);
        }
    }
}
