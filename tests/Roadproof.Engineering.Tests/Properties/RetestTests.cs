using CsCheck;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>What a retest lets through, how tries combine, and what a mean of them is good for. Printed figures of the schemes stand in <c>Published/TenFacts.cs</c>.</summary>
public sealed class RetestTests
{
    // Monte Carlo as the independent slow way: units are tested by the rule, draw by draw, and those that pass are counted.
    [Theory]
    [InlineData(0.5, RetestScheme.Free, 1, 0, 1), InlineData(0.5, RetestScheme.TwoOfTwo, 0.2, 0, 1), InlineData(0.5, RetestScheme.Mean, 0.2, 0, 1), InlineData(1, RetestScheme.Mean, 1, 0, 1)]
    [InlineData(2, RetestScheme.TwoOfTwo, 0.6, 1.64, 1), InlineData(2, RetestScheme.Mean, 0.6, 1.64, 1), InlineData(0.3, RetestScheme.TwoOfTwo, 0.5, 0, 3), InlineData(1.2, RetestScheme.Free, 0.01, 1, 2)]
    public void Counting_gives_the_same(double distanceU, RetestScheme scheme, double redrawnShare, double guardFactor, int retests)
    {
        const int units = 400_000;
        var risk = RetestRisk.Of(distanceU, scheme, redrawnShare, guardFactor, retests);
        foreach (var (beyondU, expected) in new[] { (distanceU, risk.PassIfBad), (-distanceU, risk.PassIfGood) })
        {
            var noise = new SeededNoise(7, FormattableString.Invariant($"{beyondU} {scheme}"));
            var passed = 0;
            for (var unit = 0; unit < units; unit++)
                if (Passes(beyondU + Math.Sqrt(1 - redrawnShare) * noise.Normal(), scheme, () => Math.Sqrt(redrawnShare) * noise.Normal(), guardFactor, Math.Sqrt(1 - redrawnShare / 2), retests)) passed++;
            var share = (double)passed / units;
            Assert.Equal(expected, share, 4 * Math.Sqrt(expected * (1 - expected) / units) + 1e-5);
        }
    }

    static bool Passes(double at, RetestScheme scheme, Func<double> draw, double guard, double ofMean, int retests)
    {
        var first = at + draw();
        if (first <= -guard) return true;
        for (var retest = 0; retest < retests; retest++)
        {
            var second = at + draw();
            switch (scheme)
            {
                case RetestScheme.Free when second <= -guard: return true;
                case RetestScheme.Mean when (first + second) / 2 <= -guard * ofMean: return true;
                case RetestScheme.TwoOfTwo when second <= -guard && at + draw() <= -guard: return true;
            }
        }

        return false;
    }

    // A free retest lets most through, both rules less, one test least; more tries never fewer. All for bad units and good ones alike.
    [Fact]
    public void The_schemes_keep_their_order() =>
        Gen.Select(Gen.Double[0, 3], Gen.Double[0, 1], Gen.Double[0, 2]).Sample((distanceU, share, guard) =>
        {
            double Bad(RetestScheme scheme, int retests = 1) => RetestRisk.Of(distanceU, scheme, share, guard, retests).PassIfBad;
            Assert.InRange(Bad(RetestScheme.TwoOfTwo), Bad(RetestScheme.Single) - 1e-9, Bad(RetestScheme.Free) + 1e-9);
            Assert.InRange(Bad(RetestScheme.Mean), Bad(RetestScheme.Single) - 1e-9, Bad(RetestScheme.Free) + 1e-9);
            Assert.InRange(Bad(RetestScheme.TwoOfTwo, 2), Bad(RetestScheme.TwoOfTwo) - 1e-9, 1);
            return RetestRisk.Of(distanceU, RetestScheme.TwoOfTwo, share, guard) is { } r && r.PassIfBad <= r.PassIfGood + 1e-9;
        });

    // Where nothing is drawn anew a retest reads what the first test read: no scheme changes anything.
    [Theory]
    [InlineData(RetestScheme.Free), InlineData(RetestScheme.TwoOfTwo), InlineData(RetestScheme.Mean)]
    public void A_retest_that_draws_nothing_anew_changes_nothing(RetestScheme scheme) =>
        Assert.Equal(RetestRisk.Of(0.7, RetestScheme.Single, 1, 0.4), RetestRisk.Of(0.7, scheme, 0, 0.4), new Near(1e-9));

    [Fact]
    public void Everything_that_cannot_be_is_said_at_once() =>
        Assert.Equal(
            """
            retest: distance: found -1, expected a distance from the limit of 0 or more, in standard uncertainties.
            retest: redrawn share: found 1.5, expected a share between 0 and 1.
            retest: guard factor: found NaN, expected a guard band of 0 or more, in standard uncertainties.
            retest: retests: found 2, expected 1 for the mean of both.
            """.ReplaceLineEndings("\n"),
            Assert.Throws<InputException>(() => RetestRisk.Of(-1, RetestScheme.Mean, 1.5, double.NaN, 2)).Message);

    static readonly TestTry Pass = new(RunVerdict.Pass), Fail = new(RunVerdict.Fail), Hold = new(RunVerdict.Hold), SafetyFailed = new(RunVerdict.Fail, NeverAgain: true), SafetyOpen = new(RunVerdict.Hold, NeverAgain: true);
    static readonly RetestRule TwoOfTwo = new(RetestScheme.TwoOfTwo, 1), Mean = new(RetestScheme.Mean, 1);

    [Fact]
    public void After_a_fail_two_passes_in_a_row_are_asked_for()
    {
        Assert.True(TwoOfTwo.Stands([Pass]));
        Assert.False(TwoOfTwo.Stands([Fail, Pass]));
        Assert.True(TwoOfTwo.IsOneOfTwo([Fail, Pass]));
        Assert.True(TwoOfTwo.Stands([Fail, Pass, Pass]));
        Assert.False(TwoOfTwo.Stands([Fail, Pass, Fail, Pass]));
        Assert.False(TwoOfTwo.Stands([Fail, Pass, Hold]));
        Assert.True(TwoOfTwo.Stands([Hold, Pass]));
        Assert.True(Mean.Stands([Fail, Pass]));
        Assert.False(Mean.Stands([Fail, Hold]));
        Assert.False(Mean.Stands([]));
    }

    [Fact]
    public void There_is_no_third_try_and_none_at_all_of_a_safety_function()
    {
        Assert.Null(TwoOfTwo.Bar([Fail]));
        Assert.Null(TwoOfTwo.Bar([Fail, Pass]));
        Assert.Equal(RetestBar.NoneLeft, TwoOfTwo.Bar([Fail, Fail]));
        Assert.Equal(RetestBar.NoneLeft, TwoOfTwo.Bar([Fail, Pass, Hold]));
        Assert.Equal(RetestBar.NoneLeft, Mean.Bar([Fail, Hold]));
        Assert.Equal(RetestBar.NeverAgain, TwoOfTwo.Bar([SafetyFailed]));
        Assert.Equal(RetestBar.NeverAgain, (TwoOfTwo with { AtMost = 5 }).Bar([SafetyOpen]));
        Assert.Equal(RetestBar.NoneLeft, (TwoOfTwo with { AtMost = 0 }).Bar([Fail]));
    }

    [Fact]
    public void A_person_lets_go_on_only_what_has_not_failed_and_is_no_safety_function()
    {
        Assert.True(RetestRule.MayBeLetGoOn([Hold]));
        Assert.True(RetestRule.MayBeLetGoOn([Hold, Hold]));
        Assert.False(RetestRule.MayBeLetGoOn([Fail, Hold]));
        Assert.False(RetestRule.MayBeLetGoOn([SafetyOpen]));
        Assert.False(RetestRule.MayBeLetGoOn([Hold, Pass]));
    }

    static readonly RequirementLimit Limit = new() { Id = "t", Name = "Torque", Unit = "N·m", Lower = 47.5, Upper = 52.5, StandardUncertainty = 0.05, Origin = "test" };

    static TriedReading On(string rig, double value, double ofRun = 0.1, double ofRig = 0.08) =>
        new(rig, Requirement.Judge(Limit, value, Math.Sqrt(ofRun * ofRun + ofRig * ofRig)) with { UncertaintyOfRun = ofRun, UncertaintyOfRig = ofRig });

    [Fact]
    public void The_mean_of_two_runs_halves_only_the_variance_that_is_drawn_anew()
    {
        var same = MeanOfTries.Of([On("rig1", 47.2), On("rig1", 47.9)]);
        Assert.Equal(47.55, same.Value, 12);
        Assert.Equal(Math.Sqrt(0.1 * 0.1 / 2 + 0.08 * 0.08 + 0.05 * 0.05), same.StandardUncertainty, 12);
        Assert.Equal(1.64 * same.StandardUncertainty, same.GuardBand, 12);
        Assert.Equal(Verdict.Undecided, same.Verdict);

        var other = MeanOfTries.Of([On("rig1", 47.2), On("rig2", 47.9)]);
        Assert.Equal(Math.Sqrt(0.1 * 0.1 / 2 + 0.08 * 0.08 / 2 + 0.05 * 0.05), other.StandardUncertainty, 12);
    }

    // The independent slow way: two runs drawn from their parts, their means counted.
    [Theory]
    [InlineData("rig1"), InlineData("rig2")]
    public void Drawn_runs_scatter_about_their_mean_as_it_says(string second)
    {
        var noise = new SeededNoise(11, second);
        var means = Enumerable.Range(0, 100_000).Select(_ =>
        {
            double rest = 0.05 * noise.Normal(), rig = 0.08 * noise.Normal(), other = second == "rig1" ? rig : 0.08 * noise.Normal();
            return (0.1 * noise.Normal() + rig + 0.1 * noise.Normal() + other) / 2 + rest;
        }).ToArray();
        var said = MeanOfTries.Of([On("rig1", 50), On(second, 50)]).StandardUncertainty;
        Assert.Equal(said, Math.Sqrt(means.Average(m => m * m)), 0.01 * said);
    }

    [Fact]
    public void Where_nobody_has_split_an_uncertainty_up_a_mean_is_no_surer_than_one_run()
    {
        var whole = new TriedReading("rig1", Requirement.Judge(Limit with { StandardUncertainty = 0.2 }, 47.2));
        Assert.Equal(0.2, MeanOfTries.Of([whole, whole]).StandardUncertainty, 12);
    }

    [Fact]
    public void What_is_never_tried_again_is_not_averaged()
    {
        var stop = new RequirementLimit { Id = "stop-response", Name = "Stop", Unit = "s", Upper = 0.288, StandardUncertainty = 0.002, Safety = true, Origin = "test" };
        TriedReading[] tries = [new("rig1", Requirement.Judge(stop, 0.30)), new("rig1", Requirement.Judge(stop, 0.10))];
        Assert.Equal((Verdict.Fail, 0.30), (MeanOfTries.Of(tries).Verdict, MeanOfTries.Of(tries).Value));
        Assert.True(MeanOfTries.Of([new("rig1", Requirement.Judge(stop with { Safety = false, NoRetest = true }, 0.30)), tries[1]]) is { NeverAgain: true, Verdict: Verdict.Fail });
    }

    // What a run draws anew of a modelled reading is noise alone; gains stay with the rig, the unit's own sensors and the model with the unit.
    [Fact]
    public void The_load_test_says_which_part_of_an_uncertainty_another_run_draws_anew()
    {
        var spread = DemoJudge.Spread;
        var run = FaultlessRun.Of(DemoPlan.Plan, Deviation.None);
        var torque = ReadingBudgets.Of(Array.IndexOf(spread.Ids, "torque-delivered-50-60"), spread, run, null, "N·m");
        Assert.InRange(torque.OfRun, 0.001, 0.5 * torque.StandardUncertainty);
        Assert.InRange(torque.OfRig, 0.5 * torque.StandardUncertainty, torque.StandardUncertainty);
        for (var i = 0; i < spread.Ids.Length; i++)
        {
            var budget = ReadingBudgets.Of(i, spread, run, null, "");
            Assert.True(double.Hypot(budget.OfRun, budget.OfRig) <= budget.StandardUncertainty * (1 + 1e-12), spread.Ids[i]);
        }
    }

    sealed class Near(double tolerance) : IEqualityComparer<RetestRisk>
    {
        public bool Equals(RetestRisk? x, RetestRisk? y) => Math.Abs(x!.PassIfBad - y!.PassIfBad) < tolerance && Math.Abs(x.PassIfGood - y.PassIfGood) < tolerance;

        public int GetHashCode(RetestRisk obj) => 0;
    }

    // The slow way: a unit with the fault where it was read, and sound units of which parts, rig and instruments stay, are run by the rule until it says pass or no more.
    [Theory]
    [InlineData(RetestScheme.TwoOfTwo), InlineData(RetestScheme.Mean)]
    public void What_a_pass_means_after_an_expectation_limit_is_what_counting_gives(RetestScheme scheme)
    {
        const int units = 200_000;
        var statistic = new StopStatistic(StopKind.Fault, "motor-drag", "Motor drag", 3.9, 3.3, 0, new(0.95, 0.5, 0.3, 0.35));
        var meaning = RetestMeaning.Of(statistic, new(scheme, 1))!;
        Assert.Equal((1.2, 0.36, 0.36 + 0.49), (Math.Round(meaning.DistanceU, 9), Math.Round(meaning.RedrawnShare!.Value, 9), Math.Round(meaning.RedrawnElsewhere!.Value, 9)));

        var noise = new SeededNoise(8, "statistics");
        var (bad, sound) = (0, 0);
        for (var n = 0; n < units; n++)
        {
            var faulty = 3.9 + 0.4 * noise.Normal(); // 0.5² less 0.3²: what does not change from run to run
            var good = Math.Sqrt(0.95 * 0.95 - 0.09) * noise.Normal();
            if (PassesByRule(() => faulty + 0.3 * noise.Normal())) bad++;
            if (PassesByRule(() => good + 0.3 * noise.Normal())) sound++;
        }

        Assert.Equal(meaning.ByRule.PassIfBad, (double)bad / units, 4 * Math.Sqrt(0.25 / units));
        Assert.Equal(meaning.ByRule.PassIfGood, (double)sound / units, 4 * Math.Sqrt(0.01 / units));

        // In the scheme of the mean one unusual run holds them all.
        bool PassesByRule(Func<double> read) => read() <= 3.3 || (scheme == RetestScheme.TwoOfTwo && read() <= 3.3 && read() <= 3.3);
    }

    [Fact]
    public void An_unusual_run_asks_for_two_passes_and_an_undecided_one_for_one()
    {
        var rule = new RetestRule(RetestScheme.TwoOfTwo, 1);
        TestTry unusual = new(RunVerdict.Hold, Unusual: true), open = new(RunVerdict.Hold), pass = new(RunVerdict.Pass);
        Assert.True(rule.IsOneOfTwo([unusual, pass]));
        Assert.False(rule.Stands([unusual, pass]));
        Assert.True(rule.Stands([unusual, pass, pass]));
        Assert.False(rule.Stands([unusual, pass, open]));
        Assert.True(rule.Stands([open, pass]));
        Assert.True(RetestRule.MayBeLetGoOn([unusual]));
    }
}
