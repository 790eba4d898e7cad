using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.LoadTest;

/// <summary>An error and what one standard uncertainty of it does to each reading, shape [Ids].</summary>
sealed record ErrorColumn(ReadingError Error, double[] Column);

/// <summary>What sound units read on average and how they scatter around it: part tolerances, rig, noise and the model's own uncertainty, each with its own
/// covariance.</summary>
/// <remarks>
/// Second order in the parts (a current goes with one over the flux, and the readings resolve the difference), linear in the errors: covariance = J·J' with
/// one column per part
/// parameter, pair of parameters, rig error and noise, each of the size of one standard deviation. The columns of the parts are differences of the model;
/// those of the errors are the run of the nominal unit, disturbed and carried again, so that every formula on the way is in them.
/// Rows are the modelled characteristics (joint expectations first, then the requirements that follow the parts).
/// </remarks>
sealed class ExpectationSpread
{
    public ExpectationSpread(LoadTestPlan plan, RunKind kind)
    {
        Model = new(plan, kind.Rates);
        Ids = [.. Characteristics.Expectations(plan).Select(c => c.Id), .. ExpectedReadings.ModelledRequirements(plan)];
        var parts = new PartScatter(plan.Tolerances);
        var (drawn, up, down) = (Model.At(Deviation.None), new double[PartScatter.Count][], new double[PartScatter.Count][]);
        for (var p = 0; p < PartScatter.Count; p++) (up[p], down[p]) = (Model.At(parts.One(p, 1)), Model.At(parts.One(p, -1)));
        Parts = [.. up.Zip(down, (u, d) => Combine(u, d, (a, b) => (a - b) / 2))];
        Curvature = CurvatureColumns(parts, drawn, up, down);
        Mean = (double[])drawn.Clone();
        for (var p = 0; p < PartScatter.Count; p++)
            for (var i = 0; i < Mean.Length; i++) Mean[i] += Curvature[p, p][i] / 2;

        var run = FaultlessRun.Of(plan, Deviation.None) with { Rates = kind.Rates };
        var undisturbed = CarriedReadings.Of(run, plan);
        Errors = [.. ReadingErrors.All(plan, kind).Select(e => new ErrorColumn(e, Change(undisturbed, CarriedReadings.Of(e.Apply(run), plan))))];
        (Rig, Own, Shared) = (Of(SharedBy.Rig), [.. Of(SharedBy.Nobody), .. Of(SharedBy.Unit)], Of(SharedBy.AllUnits));
        PartFactors = [.. Ids.Select(_ => 1.0)];
        foreach (var proven in plan.Expected) TakeOver(proven);
        Covariance = Sum([.. PartColumns()], Rig, Own, Shared);
    }

    public ExpectationModel Model { get; }
    public string[] Ids { get; }
    public double[] Mean { get; }

    /// <summary>Columns, each of shape [Ids]: one standard deviation of each part parameter.</summary>
    public double[][] Parts { get; }

    /// <summary>Second derivatives over pairs of part parameters, each in standard deviations: [part, part][Ids].</summary>
    public double[,][] Curvature { get; }

    /// <summary>Everything that separates a reading from the truth, each with what one standard uncertainty of it does.</summary>
    public IReadOnlyList<ErrorColumn> Errors { get; }

    /// <summary>By how much more or less than their tolerances the parts of proven units scatter each reading, shape [Ids]; 1 where nothing was taken over.</summary>
    public double[] PartFactors { get; }

    /// <summary>Errors that stay with a rig.</summary>
    public double[][] Rig { get; }

    /// <summary>Errors drawn anew for every unit or run.</summary>
    public double[][] Own { get; }

    /// <summary>How far the model is trusted: the same for all units, so that it widens what is usual and scatters nothing.</summary>
    public double[][] Shared { get; }
    public double[,] Covariance { get; }

    public double StandardDeviation(int i) => Math.Sqrt(Covariance[i, i]);

    /// <summary>Standard uncertainty of the reading alone: rig, noise and the model that carries it.</summary>
    public double ReadingUncertainty(int i) => Math.Sqrt(Errors.Sum(e => e.Column[i] * e.Column[i]));

    /// <summary>Covariance of everything but the parts over some rows.</summary>
    public double[,] ReadingCovariance(ReadOnlySpan<int> rows) => Covarying(rows, Errors.Select(e => e.Column));

    /// <summary>Covariance over all rows of what makes two readings of like units differ: rig and noise.</summary>
    public double[,] ErrorsBetweenRuns() => Covarying([.. Enumerable.Range(0, Ids.Length)], Rig.Concat(Own));

    static double[,] Covarying(ReadOnlySpan<int> rows, IEnumerable<double[]> columns)
    {
        var covariance = new double[rows.Length, rows.Length];
        foreach (var column in columns)
            for (var i = 0; i < rows.Length; i++)
                for (var j = 0; j < rows.Length; j++) covariance[i, j] += column[rows[i]] * column[rows[j]];
        return covariance;
    }

    /// <summary>What scattering parts do, to second order: columns of shape [Ids].</summary>
    public IEnumerable<double[]> PartColumns() => Parts.Concat(CurvatureAsScatter());

    /// <summary>What curvature over the parts adds to the variance.</summary>
    public double CurvatureVariance(int i) => CurvatureAsScatter().Sum(c => c[i] * c[i]);

    public double RigShare(int i) => Rig.Sum(c => c[i] * c[i]) / Covariance[i, i];

    // Second differences: what two parts do together less what each does alone.
    double[,][] CurvatureColumns(PartScatter parts, double[] drawn, double[][] up, double[][] down)
    {
        var curvature = new double[PartScatter.Count, PartScatter.Count][];
        for (var p = 0; p < PartScatter.Count; p++)
        {
            curvature[p, p] = Combine(Combine(up[p], down[p], (a, b) => a + b), drawn, (a, b) => a - 2 * b);
            for (var q = 0; q < p; q++)
            {
                var (together, apart) = (Model.At(parts.Two(p, 1, q, 1)), Model.At(parts.Two(p, 1, q, -1)));
                var (against, both) = (Model.At(parts.Two(p, -1, q, 1)), Model.At(parts.Two(p, -1, q, -1)));
                curvature[p, q] = curvature[q, p] = Combine(Combine(together, both, (a, b) => a + b), Combine(apart, against, (a, b) => a + b), (a, b) => (a - b) / 4);
            }
        }

        return curvature;
    }

    // z² has variance 2 and the product of two variance 1: half a pure second difference and a whole mixed one.
    IEnumerable<double[]> CurvatureAsScatter()
    {
        for (var p = 0; p < PartScatter.Count; p++)
        {
            yield return [.. Curvature[p, p].Select(c => c / Math.Sqrt(2))];
            for (var q = 0; q < p; q++) yield return Curvature[p, q];
        }
    }

    static double[] Combine(double[] a, double[] b, Func<double, double, double> with) => [.. a.Zip(b, with)];

    double[] Change(CarriedReadings before, CarriedReadings after) =>
        [.. Ids.Select(id => after.Readings[id].Value - before.Readings[id].Value)];

    // Rig and noise stay what the gauges say: what proven units scatter beside that is their parts'.
    void TakeOver(PopulationExpectation proven)
    {
        var i = Array.IndexOf(Ids, proven.Id);
        Mean[i] = proven.Mean;
        var (parts, errors) = (PartColumns().Sum(c => c[i] * c[i]), Rig.Concat(Own).Sum(c => c[i] * c[i]));
        var factor = parts > 0 ? Math.Sqrt(Math.Max(0, proven.StandardDeviation * proven.StandardDeviation - errors) / parts) : 1;
        PartFactors[i] = factor;
        foreach (var part in Parts) part[i] *= factor;
        for (var p = 0; p < PartScatter.Count; p++)
            for (var q = 0; q <= p; q++) Curvature[p, q][i] *= factor; // both halves are one array
    }

    double[][] Of(SharedBy by) => [.. Errors.Where(e => e.Error.SharedBy == by).Select(e => e.Column)];

    double[,] Sum(params double[][][] groups)
    {
        var sum = new double[Ids.Length, Ids.Length];
        foreach (var column in groups.SelectMany(g => g))
            for (var i = 0; i < column.Length; i++)
                for (var j = 0; j < column.Length; j++) sum[i, j] += column[i] * column[j];
        return sum;
    }
}
