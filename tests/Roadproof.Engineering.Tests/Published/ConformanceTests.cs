using CsCheck;
using MathNet.Numerics.Distributions;
using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>
/// Source: JCGM 106:2012, the worked examples; printed digits were read, the longer ones recomputed with scipy 1.10.1 (norm.cdf, integrate.quad).
/// Section numbers stand beside each check.
/// </summary>
public sealed class ConformanceTests
{
    // 7.3 example 1 (Zener diode, p.15), 7.3 example 2 (container burst, p.15), 7.4 (motor oil, p.16).
    [Theory]
    [InlineData(-5.47, 0.05, null, -5.40, 0.92, 0.919243)]
    [InlineData(509.7, 8.6, 490.0, null, 0.99, 0.989010)]
    [InlineData(13.6, 1.8, 12.5, 16.3, 0.66, 0.662630)]
    public void Gives_the_conformance_probability_of_the_guide(double value, double u, double? lower, double? upper, double printed, double recomputed)
    {
        var probability = Conformance.Probability(value, u, lower, upper);
        Assert.Equal(printed, probability, 0.005);
        Assert.Equal(recomputed, probability, 5e-7);
    }

    // 8.3.2 (p.22): a guard band of two standard uncertainties accepts a bad item at most 2.3 % of the time.
    [Fact]
    public void A_guard_band_of_two_u_leaves_the_printed_false_acceptance() =>
        Assert.Equal(0.0227501, 1 - Conformance.Probability(10 - 2 * 0.5, 0.5, null, 10), 5e-8);

    // 8.3.3 example 1 (speed limit, p.22): 100/(1 − 0.02·3.09); the multiplier is the 99.9 % point of the normal distribution.
    [Fact]
    public void Finds_the_speed_from_which_a_driver_is_surely_too_fast()
    {
        var vmax = 100 / (1 - 0.02 * Statistics.Normal.Quantile(0.999));
        Assert.Equal(106.58761, vmax, 1e-4);
        Assert.Equal(107, vmax, 0.5);
    }

    // 9.5.4 (ball bearing, p.29-31): gamma prior with shape 4 and rate 4, upper limit 2 µm, u = 0.25 µm.
    [Theory]
    [InlineData(0.65, 0.001027, 0.074650)]
    [InlineData(0.65634, 0.001, double.NaN)]
    public void Gives_the_risks_of_the_ball_bearings(double r, double consumer, double producer)
    {
        var risk = ConformanceRisk.Of(null, 2, 0.25, x => Gamma.PDF(4, 4, x), 0, 20, 0.5, r * 2 * 0.25);
        Assert.Equal(consumer, risk.Consumer, 1e-6);
        if (!double.IsNaN(producer)) Assert.Equal(producer, risk.Producer, 1e-6);
    }

    [Fact]
    public void Counts_the_bearings_that_do_not_conform() =>
        Assert.Equal(0.042380, ConformanceRisk.Of(null, 2, 0, x => Gamma.PDF(4, 4, x), 0, 20, 0.5, -100).Consumer, 5e-7);

    // 9.5.3 (resistor, the model of the guide without its guard band; recomputed with scipy quad, not printed): nominal 1500 Ω ± 0.2 Ω, process 0.12 Ω, u = 0.04 Ω.
    [Fact]
    public void Gives_the_risks_of_the_resistors_without_guard_band()
    {
        var risk = ConformanceRisk.Of(1499.8, 1500.2, 0.04, 1500, 0.12);
        Assert.Equal(0.018942, risk.Consumer, 5e-7);
        Assert.Equal(0.037208, risk.Producer, 5e-7);
    }

    // Printed by another program (read), by integration for a process with Cpk 1.0 (limits at three standard deviations): escapes and false rejects in ppm.
    // Recomputed; the text says 1.64, the printed figures are those of the unrounded 95 % point 1.645.
    [Theory]
    [InlineData(0.1, 0, 296, 431)]
    [InlineData(0.1, 1.645, 16.6, 2098)]
    [InlineData(0.3, 0, 652, 2012)]
    [InlineData(0.3, 1.645, 41, 13701)]
    public void Gives_the_trade_figures_for_a_process_with_cpk_1(double u, double guardFactor, double escapesPpm, double falseRejectsPpm)
    {
        var risk = ConformanceRisk.Of(-3, 3, u, 0, 1, guardFactor * u);
        Assert.Equal(escapesPpm, risk.Consumer * 1e6, escapesPpm < 100 ? 0.5 : 1.0);
        Assert.Equal(falseRejectsPpm, risk.Producer * 1e6, 1.0);
    }

    // A grid of 100 × 100 tolerances and uncertainties summed by an independent Gauss-Legendre program (numpy 1.24, 40 nodes, panels at the knees):
    // true value N(0.3, 1), tolerance ±T, guard band u.
    [Fact]
    public void Agrees_with_an_independent_program_over_ten_thousand_cases()
    {
        var (falseAccepts, falseRejects) = (0.0, 0.0);
        for (var i = 0; i < 100; i++)
            for (var j = 0; j < 100; j++)
            {
                var (t, u) = (1.5 + 2.5 * i / 99, 0.02 + 0.48 * j / 99);
                var risk = ConformanceRisk.Of(-t, t, u, 0.3, 1, u);
                falseAccepts += risk.Consumer;
                falseRejects += risk.Producer;
            }

        Assert.Equal(10.29554218, falseAccepts, 1e-8);
        Assert.Equal(300.3574648, falseRejects, 1e-7);
    }

    // The fast way for a normal process against panels of the general one, which integrates any density: edges, guard bands either way, readings from exact to worse than the process.
    [Fact]
    public void The_fast_way_agrees_with_the_general_one_to_eleven_digits() =>
        Gen.Select(Gen.Double[-6, 6], Gen.Double[0.01, 10], Gen.Double[-7, 0.7], Gen.Double[-3, 3], Gen.Int[0, 2]).Sample((lower, width, lnU, guardInU, edges) =>
        {
            var (u, low, high) = (Math.Exp(lnU), edges == 2 ? (double?)null : lower, edges == 1 ? (double?)null : lower + width);
            var fast = ConformanceRisk.Of(low, high, u, 0, 1, guardInU * u);
            var general = ConformanceRisk.Of(low, high, u, Statistics.Normal.Density, -12, 12, 1, guardInU * u);
            Assert.Equal(general.Consumer, fast.Consumer, 1e-11);
            Assert.Equal(general.Producer, fast.Producer, 1e-11);
        }, iter: 5000);
}
