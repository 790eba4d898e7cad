using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Statistics;
using Roadproof.Engineering.Tests.Fixtures;

namespace Roadproof.Engineering.Tests.Properties;

/// <summary>Every reading's budget adds up to what stands beside it, and drawing the inputs through the full computation says the same.</summary>
public sealed class ReadingBudgetTests
{
    static LoadTestPlan Plan => DemoPlan.Plan;

    static readonly Dictionary<string, DirectReading> Reactions = new()
    {
        ["stop-response"] = new(0.16, 0.002), ["brake-response"] = new(0.11, 0.002), ["cut-off-speed"] = new(25, 0.02),
        ["walk-speed"] = new(5.4, 0.02), ["walk-release"] = new(0.2, 0.002), ["quiescent-current"] = new(38, 0.1), ["phase-current-limit"] = new(35, 0.03),
    };

    static MeasuredRun Run(LoadTestPlan plan)
    {
        var run = FaultlessRun.Of(plan, Deviation.None, startC: 22, ambientC: 21);
        return run with { Direct = run.Direct.Concat(Reactions).GroupBy(d => d.Key).ToDictionary(g => g.Key, g => g.Last().Value) };
    }

    [Fact]
    public void The_squares_of_every_budget_add_up_to_the_uncertainty_that_is_stated()
    {
        var verdict = DemoJudge.Judge.Judge(Run(Plan), [], []);
        var stated = verdict.Expectations.Select(e => (e.Id, e.ReadingUncertainty, e.Budget)).Concat(verdict.Requirements.Select(r => (r.Id, r.StandardUncertainty, r.Budget))).ToList();
        Assert.Equal(Plan.Requirements.Count + 26, stated.Count);
        Assert.All(stated, s =>
        {
            var (id, u, budget) = s;
            Assert.NotNull(budget);
            Assert.NotEmpty(budget.Contributions);
            Assert.Equal(u * u, budget.Contributions.Sum(c => c.Value * c.Value) + budget.Rest * budget.Rest, 1e-12 * u * u);
            Assert.Equal(u * u, budget.StandardUncertainty * budget.StandardUncertainty, 1e-12 * u * u);
            Assert.Equal(1, budget.Contributions.Sum(c => c.Share) + budget.Rest * budget.Rest / (u * u), 9);
            Assert.All(budget.Contributions, c => Assert.True(c.StandardUncertainty > 0 && c.Name.Length > 0 && c.Source.Length > 0 && c.Unit.Length > 0, $"{id}: {c}"));
        });

        // The uncertainty that the limits were set with is the same one.
        Assert.All(verdict.Expectations, e => Assert.Equal(DemoJudge.Spread.ReadingUncertainty(Array.IndexOf(DemoJudge.Spread.Ids, e.Id)), e.ReadingUncertainty, 1e-12 * e.ReadingUncertainty));
    }

    // JCGM 101:2008, 8.1, without the linear draws beside: plain Monte Carlo of 10 000, whose own ends are good to about 2.7 % of u.
    [Fact]
    public void Drawing_every_input_through_the_whole_computation_says_the_same()
    {
        const int draws = 10_000;
        var (spread, run, noise) = (DemoJudge.Spread, FaultlessRun.Of(Plan, Deviation.None), new SeededNoise(41, "drawn budgets"));
        var undisturbed = CarriedReadings.Of(run, Plan);
        var drawn = spread.Ids.Select(_ => new double[draws]).ToArray();
        for (var n = 0; n < draws; n++)
        {
            var disturbed = run;
            foreach (var error in spread.Errors.Select(e => e.Error)) disturbed = error.Disturb(disturbed, error.Draw(noise));
            var read = CarriedReadings.Of(disturbed, Plan);
            for (var i = 0; i < drawn.Length; i++) drawn[i][n] = read.Readings[spread.Ids[i]].Value - undisturbed.Readings[spread.Ids[i]].Value;
        }

        Assert.All(spread.Ids.Select((id, i) => (id, i)), r =>
        {
            var u = spread.ReadingUncertainty(r.i);
            var check = CoverageCheck.Of(drawn[r.i], u, Normal.Quantile(0.975) * u);
            Assert.Equal(1, check.StandardUncertainty / u, 0.03); // 4 standard errors of 10 000 draws
            Assert.InRange(check.Interval.Lower / u, -1.96 - 0.11, -1.96 + 0.11);
            Assert.InRange(check.Interval.Upper / u, 1.96 - 0.11, 1.96 + 0.11);
        });

        // The tolerance is half of the second digit, at most a twentieth and at least half a hundredth of u: what does not hold by so little is said on the budget and is no mistake of it.
        var checks = DrawnReadings.OfReadings(spread, Plan, SampleRates.Usual);
        Assert.InRange(checks.Count(c => !c.Holds), 0, 4);
        Assert.All(checks, c => Assert.InRange(Math.Abs(c.Interval.Upper + c.Interval.Lower) / 2, 0, 0.03 * c.StandardUncertainty));
    }

    // A budget that the linear one gets wrong has to be told: a stored angle that is read near its turning point goes with the square of the error.
    [Fact]
    public void Says_where_a_linear_budget_fails()
    {
        var noise = new SeededNoise(6, "square");
        var (drawn, linear) = (new double[20_000], new double[20_000]);
        for (var n = 0; n < drawn.Length; n++)
        {
            var x = noise.Normal();
            (linear[n], drawn[n]) = (0.5 * x, 0.5 * x + x * x);
        }

        var check = CoverageCheck.Of(drawn, linear, 0.5, 0.5, 0.98);
        Assert.False(check.Holds);
        Assert.Equal(1.5, check.StandardUncertainty, 0.05); // √(0.25 + 2)
    }

    [Fact]
    public void A_gauge_that_shows_steps_brings_them_as_a_uniform_input()
    {
        var plan = Plan with { Gauges = new() { Gauges = [.. Plan.Gauges.Gauges.Select(g => g.Channel == "bus_current_a" ? g with { Resolution = 0.1 } : g)] } };
        var (with, without) = (new ExpectationSpread(plan, SampleRates.Usual), DemoJudge.Spread);
        var row = Array.IndexOf(with.Ids, "no-load-75");
        var budget = ReadingBudgets.Of(row, with, Run(plan), null, "W");
        var step = budget.Contributions.Single(c => c.Name == "bus_current_a resolution at no-load-75");
        Assert.Equal(0.1 / Math.Sqrt(12), step.StandardUncertainty, 12);
        Assert.Equal(Evaluation.B, step.Type);
        Assert.Equal(48, step.Sensitivity, 0.1); // bus power by bus current
        Assert.Equal(Math.Pow(with.ReadingUncertainty(row), 2), Math.Pow(without.ReadingUncertainty(row), 2) + step.Value * step.Value, 1e-9);
    }

    [Fact]
    public void A_run_that_is_noisier_than_its_gauges_says_so_in_its_budget()
    {
        var run = Run(Plan);
        var noisy = run with { Points = [.. run.Points.Select(p => p with { Noise = new(0, 0.02, 0, 0, 0, 0, 0, 0) })] };
        var (calm, loud) = (No(DemoJudge.Judge.Judge(run, [], [])), No(DemoJudge.Judge.Judge(noisy, [], [])));
        var shown = loud.Contributions[0];
        Assert.Equal(("bus_current_a noise at no-load-75", Evaluation.A, "this run's own signal", 0.02), (shown.Name, shown.Type, shown.Source, shown.StandardUncertainty));
        Assert.Equal(SteadyMean.DegreesOfFreedom, shown.DegreesOfFreedom);
        Assert.InRange(loud.DegreesOfFreedom!.Value, 18, 25); // nearly all of it is that one
        Assert.InRange(loud.CoverageFactor, 2.05, 2.11);
        Assert.Null(calm.DegreesOfFreedom);
        Assert.Equal(1.96, calm.CoverageFactor, 0.001);

        static UncertaintyBudget No(LoadTestVerdict verdict) => verdict.Expectations.Single(e => e.Id == "no-load-75").Budget!;
    }

    [Fact]
    public void What_a_limit_declares_stands_in_its_budget()
    {
        var plan = Plan with { Requirements = [.. Plan.Requirements.Select(r => r.Id == "stop-response" ? r with { StandardUncertainty = 0.004 } : r)] };
        var requirement = new LoadTestJudge(plan).Judge(Run(plan), [], []).Requirements.Single(r => r.Id == "stop-response");
        Assert.Equal(double.Hypot(0.004, 0.002), requirement.StandardUncertainty, 12);
        Assert.Equal(1.64 * requirement.StandardUncertainty, requirement.GuardBand, 12);
        Assert.Equal(["declared beside the limit", "noise and sampling"], requirement.Budget!.Contributions.Select(c => c.Name));
    }
}
