using CsCheck;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Properties;

public sealed class JudgingTests
{
    static readonly RequirementLimit CutOff = new()
    {
        Id = "cut-off-speed", Name = "Cut-off speed", Unit = "km/h", Lower = 22.5, Upper = 27.5, StandardUncertainty = 0.1, Safety = true, Origin = "test",
    };

    [Theory]
    [InlineData(25.0, Verdict.Pass), InlineData(27.336, Verdict.Pass), InlineData(27.337, Verdict.Undecided), InlineData(27.663, Verdict.Undecided)]
    [InlineData(27.665, Verdict.Fail), InlineData(22.663, Verdict.Undecided), InlineData(22.335, Verdict.Fail)]
    public void Keeps_the_guard_band_free_on_both_sides_of_an_edge(double value, Verdict verdict) =>
        Assert.Equal(verdict, Requirement.Judge(CutOff, value).Verdict);

    [Fact]
    public void A_safety_function_keeps_its_full_guard_band_whatever_the_limit_says() =>
        Assert.Equal(Verdict.Undecided, Requirement.Judge(CutOff with { GuardFactor = 0 }, 27.45).Verdict);

    [Fact]
    public void A_limit_without_guard_factor_decides_every_reading() =>
        Assert.Equal(Verdict.Pass, Requirement.Judge(CutOff with { GuardFactor = 0, Safety = false }, 27.45).Verdict);

    // Where a reading brought its own uncertainty, the limit's once was left out here and added in the load test.
    [Fact]
    public void What_a_limit_declares_is_added_to_what_a_reading_brings() =>
        Assert.Equal(0.5, Requirement.Judge(CutOff with { StandardUncertainty = 0.3 }, 25, 0.4).StandardUncertainty, 12);

    [Fact]
    public void A_reading_that_is_no_number_is_refused() =>
        Assert.StartsWith("A reading of Cut-off speed is a finite number of km/h.", Assert.Throws<ArgumentOutOfRangeException>(() => Requirement.Judge(CutOff, double.NaN)).Message);

    // A pass with the usual guard band is at least 94.9 % sure (Φ(1.64)), a fail at most 5.05 %, whatever the numbers.
    [Fact]
    public void A_pass_is_a_proof_and_so_is_a_fail() =>
        Gen.Select(Gen.Double[-10, 10], Gen.Double[0.01, 3]).Sample((value, u) =>
        {
            var reading = Requirement.Judge(new() { Id = "x", Name = "x", Unit = "N·m", Upper = 1, Origin = "test" }, value, u);
            return reading.Verdict switch
            {
                Verdict.Pass => reading.ConformanceProbability >= 0.9494,
                Verdict.Fail => reading.ConformanceProbability <= 0.0506,
                _ => true,
            };
        });

    // Monte Carlo as the independent slow way: true values and readings drawn, counted.
    [Theory]
    [InlineData(-1.5, 2.0, 0.4, 0.3, 0.1)]
    [InlineData(double.NaN, 1.2, 0.8, -0.2, 0.5)]
    [InlineData(-0.2, 0.3, 0.5, 0.0, 0.4)] // guard bands that meet: nothing is accepted
    public void Risks_are_what_counting_gives(double lower, double upper, double u, double mean, double guardBand)
    {
        double? from = double.IsNaN(lower) ? null : lower;
        var risk = ConformanceRisk.Of(from, upper, u, mean, 1, guardBand);
        var draws = new SeededNoise(5, "guard bands");
        const int n = 400_000;
        var (escaped, rejected) = (0, 0);
        for (var i = 0; i < n; i++)
        {
            var truth = mean + draws.Normal();
            var read = truth + u * draws.Normal();
            var good = !(truth < from) && truth <= upper;
            var accepted = !(read < risk.AcceptLower) && read <= risk.AcceptUpper;
            if (accepted && !good) escaped++;
            if (!accepted && good) rejected++;
        }

        Assert.Equal(escaped / (double)n, risk.Consumer, 4 * Math.Sqrt(0.25 / n));
        Assert.Equal(rejected / (double)n, risk.Producer, 4 * Math.Sqrt(0.25 / n));
    }

    [Fact]
    public void A_wider_guard_band_lets_less_through_and_turns_more_away() =>
        Gen.Select(Gen.Double[0.5, 4], Gen.Double[0.02, 0.6], Gen.Double[-0.5, 0.5], Gen.Double[0, 0.3]).Sample((t, u, mean, g) =>
        {
            var (narrow, wide) = (ConformanceRisk.Of(-t, t, u, mean, 1, g), ConformanceRisk.Of(-t, t, u, mean, 1, g + 0.05));
            return wide.Consumer <= narrow.Consumer + 1e-11 && wide.Producer >= narrow.Producer - 1e-11;
        }, iter: 200);

    [Fact]
    public void The_guard_band_for_a_largest_risk_has_that_risk() =>
        Gen.Select(Gen.Double[1.5, 3], Gen.Double[0.05, 0.5], Gen.Double[1e-5, 1e-3]).Sample((t, u, largest) =>
        {
            var guardBand = ConformanceRisk.GuardBandFor(largest, -t, t, u, 0.1, 1);
            return Math.Abs(ConformanceRisk.Of(-t, t, u, 0.1, 1, guardBand).Consumer - largest) < 1e-9;
        }, iter: 60);

    [Fact]
    public void Lists_everything_wrong_with_a_risk_question() =>
        Assert.Equal(3, Assert.Throws<InputException>(() => ConformanceRisk.Of(2, 1, -1, 0, 0)).Errors.Count);

    // With a normal prior the answer is the textbook posterior: reading and process alike halve the way and the variance.
    [Fact]
    public void A_process_as_sharp_as_the_reading_halves_the_way() =>
        Assert.Equal(Normal.Below(0.5 / Math.Sqrt(0.5)), Conformance.Probability(2, 1, null, 1.5, 0, 1), 12);
}
