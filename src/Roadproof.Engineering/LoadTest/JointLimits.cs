using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>How far a sound unit's readings may lie out, one by one, along a known fault and together, for one false-alarm rate over all three.</summary>
/// <remarks>
/// A unit is unusual when a single reading is beyond <see cref="SigmaLimit"/>, the distance beyond <see cref="DistanceLimit"/> or the move along a known fault beyond
/// <see cref="FaultLimit"/>. Of sound units the last alone would stop twice the share that each of the first two would: known faults are what a line has; together they stop the asked share, if the model is right: its own uncertainty widens the distance's yardstick, but no unit scatters by it. Found
/// from 300 000 seeded draws of sound units, so the rate is right within 0.02 % (one standard error at 1 %), whatever the correlation and
/// the second-order parts of the readings do to the tables of the normal and χ² distributions.
/// </remarks>
sealed class JointLimits
{
    const int Draws = 300_000;

    // Share of the false alarms for known faults beside that of each of the other two.
    const int FaultWeight = 2;

    readonly int[] rows;
    readonly double[] sd;

    /// <param name="rows">Which of the joint characteristics this run has, rising.</param>
    public JointLimits(ExpectationSpread spread, int[] rows, double falseAlarm)
    {
        this.rows = rows;
        sd = [.. rows.Select(spread.StandardDeviation)];
        Whitening = new(Covariance(spread, rows));
        Faults = new(spread, rows, Whitening);
        (SigmaLimit, DistanceLimit, FaultLimit) = Calibrated(spread, falseAlarm);
    }

    public double SigmaLimit { get; }
    public double DistanceLimit { get; }
    public double FaultLimit { get; }
    public FaultDirections Faults { get; }
    public Whitening Whitening { get; }
    public ReadOnlySpan<int> Rows => rows;

    /// <summary>How far the i-th reading may lie out alone, in its unit.</summary>
    public double FarthestAllowed(int i) => SigmaLimit * sd[i];

    /// <summary>The farthest single reading in its standard deviations.</summary>
    double FarthestSigma(ReadOnlySpan<double> residual)
    {
        var farthest = 0.0;
        for (var i = 0; i < sd.Length; i++) farthest = Math.Max(farthest, Math.Abs(residual[i]) / sd[i]);
        return farthest;
    }

    public static double[,] Covariance(ExpectationSpread spread, ReadOnlySpan<int> rows)
    {
        var covariance = new double[rows.Length, rows.Length];
        for (var i = 0; i < rows.Length; i++)
            for (var j = 0; j < rows.Length; j++) covariance[i, j] = spread.Covariance[rows[i], rows[j]];
        return covariance;
    }

    (double Sigma, double Distance, double Fault) Calibrated(ExpectationSpread spread, double falseAlarm)
    {
        var (sigmas, distances, faults) = (new double[Draws], new double[Draws], new double[Draws]);
        var units = new SoundUnits(spread, seed: 1);
        Span<double> all = stackalloc double[spread.Ids.Length];
        Span<double> residual = stackalloc double[rows.Length];
        Span<double> white = stackalloc double[rows.Length];
        for (var n = 0; n < Draws; n++)
        {
            units.Next(all);
            for (var i = 0; i < rows.Length; i++) residual[i] = all[rows[i]];
            Whitening.Whiten(residual, white);
            (sigmas[n], distances[n], faults[n]) = (FarthestSigma(residual), Whitening.Dot(white, white), Faults.Farthest(white).Sigma);
        }

        var limits = SharedAlarm.Limits([sigmas, distances, faults], [1, 1, FaultWeight], falseAlarm);
        return (limits[0], limits[1], limits[2]);
    }
}
