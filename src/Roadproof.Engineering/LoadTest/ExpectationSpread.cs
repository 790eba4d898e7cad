using Roadproof.Engineering.Drive;

namespace Roadproof.Engineering.LoadTest;

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
    public ExpectationSpread(LoadTestPlan plan, SampleRates rates)
    {
        Model = new(plan, rates);
        Ids = [.. Characteristics.Expectations(plan).Select(c => c.Id), .. ExpectedReadings.ModelledRequirements(plan)];
        var parts = new PartScatter(plan.Tolerances);
        var (drawn, up, down) = (Model.At(Deviation.None), new double[PartScatter.Count][], new double[PartScatter.Count][]);
        for (var p = 0; p < PartScatter.Count; p++) (up[p], down[p]) = (Model.At(parts.One(p, 1)), Model.At(parts.One(p, -1)));
        Parts = [.. up.Zip(down, (u, d) => Combine(u, d, (a, b) => (a - b) / 2))];
        Curvature = CurvatureColumns(parts, drawn, up, down);
        Mean = (double[])drawn.Clone();
        for (var p = 0; p < PartScatter.Count; p++)
            for (var i = 0; i < Mean.Length; i++) Mean[i] += Curvature[p, p][i] / 2;

        var run = FaultlessRun.Of(plan, Deviation.None) with { Rates = rates };
        var undisturbed = CarriedReadings.Of(run, plan);
        var columns = Enum.GetValues<SharedBy>().ToDictionary(by => by, _ => new List<double[]>());
        foreach (var error in ReadingErrors.All(plan, rates))
        {
            var column = Change(undisturbed, CarriedReadings.Of(error.Apply(run), plan, error.MagnetK));
            columns[error.SharedBy].Add(column);
            if (error is { SharedBy: SharedBy.Nobody, InUnit: false }) ofRun.Add(column);
        }

        AddPopulation(plan, columns[SharedBy.Rig], columns[SharedBy.Nobody]);
        (Rig, Own, Shared) = ([.. columns[SharedBy.Rig]], [.. columns[SharedBy.Nobody]], [.. columns[SharedBy.AllUnits]]);
        Covariance = Sum(Parts, [.. CurvatureAsScatter()], Rig, Own, Shared);
    }

    // Of Own, what another run of the same unit draws anew.
    readonly List<double[]> ofRun = [];

    public ExpectationModel Model { get; }
    public string[] Ids { get; }
    public double[] Mean { get; }

    /// <summary>Columns, each of shape [Ids]: one standard deviation of each part parameter.</summary>
    public double[][] Parts { get; }

    /// <summary>Second derivatives over pairs of part parameters, each in standard deviations: [part, part][Ids].</summary>
    public double[,][] Curvature { get; }

    /// <summary>Errors that stay with a rig.</summary>
    public double[][] Rig { get; }

    /// <summary>Errors drawn anew for every unit or run.</summary>
    public double[][] Own { get; }

    /// <summary>How far the model is trusted: the same for all units, so that it widens what is usual and scatters nothing.</summary>
    public double[][] Shared { get; }
    public double[,] Covariance { get; }

    public double StandardDeviation(int i) => Math.Sqrt(Covariance[i, i]);

    /// <summary>Standard uncertainty of the reading alone: rig, noise and the model that carries it.</summary>
    public double ReadingUncertainty(int i) => Math.Sqrt(Errors.Sum(c => c[i] * c[i]));

    /// <summary>The part of it that another run of the same unit draws anew.</summary>
    public double ReadingUncertaintyOfRun(int i) => Math.Sqrt(ofRun.Sum(c => c[i] * c[i]));

    /// <summary>The part that stays with the rig.</summary>
    public double ReadingUncertaintyOfRig(int i) => Math.Sqrt(Rig.Sum(c => c[i] * c[i]));

    IEnumerable<double[]> Errors => Rig.Concat(Own).Concat(Shared);

    /// <summary>Covariance of everything but the parts over some rows.</summary>
    public double[,] ReadingCovariance(ReadOnlySpan<int> rows) => Covarying(rows, Errors);

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

    // What is known of proven units is one number: rig and units together. Of it, the rig's own share is what its gauge is trusted to.
    void AddPopulation(LoadTestPlan plan, List<double[]> rig, List<double[]> own)
    {
        foreach (var population in plan.Population)
        {
            var i = Array.IndexOf(Ids, population.Id);
            var rigSd = population.Id switch
            {
                Characteristics.Ripple => plan.Gauges.Of("output_torque_nm").GainShare * Math.Abs(population.Mean),
                Characteristics.WheelTooth => 0,
                _ => plan.Gauges.Of("vibration_m_s2").GainShare,
            };
            rigSd = Math.Min(rigSd, population.StandardDeviation);
            rig.Add(Alone(i, rigSd));
            own.Add(Alone(i, Math.Sqrt(population.StandardDeviation * population.StandardDeviation - rigSd * rigSd)));
        }
    }

    double[] Alone(int i, double value)
    {
        var column = new double[Ids.Length];
        column[i] = value;
        return column;
    }

    double[,] Sum(params double[][][] groups)
    {
        var sum = new double[Ids.Length, Ids.Length];
        foreach (var column in groups.SelectMany(g => g))
            for (var i = 0; i < column.Length; i++)
                for (var j = 0; j < column.Length; j++) sum[i, j] += column[i] * column[j];
        return sum;
    }
}
