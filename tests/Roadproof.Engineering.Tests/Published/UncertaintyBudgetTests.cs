using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Signals;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>
/// Budgets of the guide's own annexes. Sources: JCGM 100:2008 (annex H.1 to H.3) and JCGM 101:2008 (7.9.2, 9.2.2 to 9.2.4), printed digits read; longer digits recomputed with numpy 1.26 and scipy 1.10.1.
/// Section and page stand beside each check.
/// </summary>
public sealed class UncertaintyBudgetTests
{
    // H.1 (end gauge, Table H.1, p.81-85): contributions in nm with their degrees of freedom.
    [Fact]
    public void Gives_the_budget_of_the_end_gauge()
    {
        var budget = UncertaintyBudget.Of(
        [
            Known("length of the standard", 25, 18), Known("difference", 9.7, 25.6), Known("expansion", 2.9, 50), Known("temperature difference", 16.6, 2),
        ]);
        Assert.Equal(32, budget.StandardUncertainty, 0.5);
        Assert.Equal(16.7, budget.DegreesOfFreedom!.Value, 0.1); // the guide cuts it to 16
        Assert.Equal(93, budget.Expanded(0.99), 0.6);
        Assert.Equal("length of the standard", budget.Contributions[0].Name);
        Assert.Equal(1, budget.Contributions.Sum(c => c.Share), 12);

        static Contribution Known(string name, double u, double degrees) => new(name, Evaluation.A, "Table H.1", u, "nm", 1) { DegreesOfFreedom = degrees };
    }

    // H.2 (simultaneous resistance and reactance, Tables H.2 to H.4, p.85-87).
    static readonly (double V, double MilliA, double Rad)[] Observed =
        [(5.007, 19.663, 1.0456), (4.994, 19.639, 1.0438), (5.005, 19.640, 1.0468), (4.990, 19.685, 1.0428), (4.999, 19.678, 1.0433)];

    [Fact]
    public void Gives_resistance_reactance_and_impedance_with_their_correlations()
    {
        double[][] columns = [[.. Observed.Select(o => o.V)], [.. Observed.Select(o => o.MilliA / 1000)], [.. Observed.Select(o => o.Rad)]];
        var (mean, correlation) = (columns.Select(c => c.Average()).ToArray(), new double[3, 3]);
        double[] u = [.. columns.Select((c, i) => Math.Sqrt(Moment(i, i)))];
        for (var i = 0; i < 3; i++)
            for (var j = 0; j < 3; j++) correlation[i, j] = Moment(i, j) / (u[i] * u[j]);
        Assert.Equal(-0.36, correlation[0, 1], 0.006);
        Assert.Equal(0.86, correlation[0, 2], 0.006);
        Assert.Equal(-0.65, correlation[1, 2], 0.006);

        var (v, current, phase) = (mean[0], mean[1], mean[2]);
        var (sin, cos, z) = (Math.Sin(phase), Math.Cos(phase), v / current);
        var resistance = Inputs(cos / current, -z * cos / current, -z * sin);
        var reactance = Inputs(sin / current, -z * sin / current, z * cos);
        var impedance = Inputs(1 / current, -z / current, 0);

        Assert.Equal(127.732, z * cos, 0.0005);
        Assert.Equal(219.847, z * sin, 0.0006);
        Assert.Equal(254.260, z, 0.0005);
        Assert.Equal(0.071, Of(resistance), 0.0005);
        Assert.Equal(0.295, Of(reactance), 0.001); // unrounded it is 0.2956: the guide carries rounded digits
        Assert.Equal(0.236, Of(impedance), 0.0005);
        Assert.Equal(-0.588, Between(resistance, reactance), 0.0006);
        Assert.Equal(-0.485, Between(resistance, impedance), 0.0006);
        Assert.Equal(0.993, Between(reactance, impedance), 0.0006);

        // Five sets observed together: four degrees of freedom, as in the guide's second approach (H.2.4).
        Assert.Equal(2.776, UncertaintyBudget.Of(resistance, correlation, 4).CoverageFactor, 0.001);

        double Moment(int i, int j) => columns[i].Zip(columns[j], (a, b) => (a - mean[i]) * (b - mean[j])).Sum() / 20;

        Contribution[] Inputs(params double[] sensitivities) => [.. sensitivities.Select((c, i) => new Contribution($"input {i}", Evaluation.A, "Table H.2", u[i], "", c))];

        double Of(Contribution[] inputs) => UncertaintyBudget.Of(inputs, correlation).StandardUncertainty;

        double Between(Contribution[] a, Contribution[] b) => UncertaintyBudget.Covariance(a, b, correlation) / (Of(a) * Of(b));
    }

    // H.3 (calibration of a thermometer, Table H.6, p.89-92): correction b(t) = y1 + y2·(t − 20).
    [Fact]
    public void Gives_the_correction_of_the_thermometer()
    {
        double[] t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
        double[] b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];
        var line = LineFit.Of(t, b);
        var (y1, u1, y2, u2) = (line.HeightAt(20), line.HeightUncertaintyAt(20), line.Slope, line.SlopeUncertainty);
        Assert.Equal(-0.1712, y1, 0.00005);
        Assert.Equal(0.0029, u1, 0.00005);
        Assert.Equal(0.00218, y2, 0.000005);
        Assert.Equal(0.00067, u2, 0.000005);

        // Cov(y1, y2) = (t0 − mean)·u2² for a line through its middle.
        var r = (20 - line.MeanX) * u2 * u2 / (u1 * u2);
        Assert.Equal(-0.930, r, 0.0005);
        var budget = UncertaintyBudget.Of([new("y1", Evaluation.A, "fit", u1, "°C", 1), new("y2", Evaluation.A, "fit", u2, "1", 30 - 20)], new double[,] { { 1, r }, { r, 1 } }, t.Length - 2);
        Assert.Equal(-0.1494, y1 + y2 * 10, 0.00005);
        Assert.Equal(0.0041, budget.StandardUncertainty, 0.00005);
        Assert.Equal(9, budget.DegreesOfFreedom);
        Assert.Equal(1, budget.Contributions.Sum(c => c.Share), 9);
    }

    // JCGM 101, 9.2.2 (Table 2, p.36), 9.2.3 (Table 3, p.37), 9.2.4 (Table 4, p.38): sums of four inputs. Ends recomputed: ±3.920, ±3.879 (closed form), ±17.0.
    [Theory]
    [InlineData(false, 1, 2.00, 3.92, true), InlineData(true, 1, 2.00, 3.88, true), InlineData(true, 10, 10.15, 17.0, false)]
    public void Says_of_the_additive_models_what_drawing_them_says(bool uniform, double fourth, double u, double end, bool holds)
    {
        const int draws = 400_000;
        double[] size = [1, 1, 1, fourth];
        var noise = new SeededNoise(5, "additive model");
        var drawn = new double[draws];
        for (var n = 0; n < draws; n++)
            foreach (var s in size) drawn[n] += s * (uniform ? Math.Sqrt(3) * (2 * noise.Share() - 1) : noise.Normal());
        var budget = UncertaintyBudget.Of([.. size.Select(s => new Contribution("input", Evaluation.B, "", s, "1", 1))]);
        Assert.Equal(u, budget.StandardUncertainty, 0.005);

        var check = CoverageCheck.Of(drawn, budget.StandardUncertainty, budget.ExpandedUncertainty);
        Assert.Equal(u, check.StandardUncertainty, 0.01 * u);
        Assert.Equal(-end, check.Interval.Lower, 0.01 * end);
        Assert.Equal(end, check.Interval.Upper, 0.01 * end);
        Assert.Equal(holds, check.Holds);
    }

    // JCGM 100:2008, Table G.2 (95 %): 16 gives 2.12, 50 gives 2.01, 100 gives 1.984, infinity 1.960; 200 from a table of Student's distribution (1.9719, from memory).
    [Theory]
    [InlineData(2, 4.303), InlineData(16.7, 2.120), InlineData(50, 2.009), InlineData(100, 1.9840), InlineData(200, 1.9719), InlineData(5_000_000, 1.95996), InlineData(1e12, 1.95996)]
    public void Covers_by_students_distribution_however_many_degrees_of_freedom(double degrees, double factor) =>
        Assert.Equal(factor, UncertaintyBudget.Of([new("only", Evaluation.A, "", 1, "1", 1) { DegreesOfFreedom = degrees }]).CoverageFactor, 0.0006);

    // 7.9.2: u as c·10^r with so many digits, half of the last digit. The guide's examples: 0.35 mg with two digits has 0.005 mg; 100.021 g's u of 0.35 mg with one digit 0.05 mg; 2 K with one digit 0.5 K.
    [Theory]
    [InlineData(0.35, 2, 0.005), InlineData(0.35, 1, 0.05), InlineData(2, 1, 0.5), InlineData(0.96, 1, 0.5), InlineData(32, 1, 5), InlineData(0.0711, 2, 0.0005)]
    public void Tolerates_half_of_the_last_digit(double u, int digits, double tolerance) => Assert.Equal(tolerance, CoverageCheck.NumericalTolerance(u, digits), 12);
}
