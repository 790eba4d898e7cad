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

        // Each draw is stopped at the smallest share at which one of the limits stops it; the asked share of draws lies below one such share.
        var (sigmaRank, distanceRank, faultRank) = (Ranks(sigmas), Ranks(distances), Ranks(faults));
        var stoppedAt = new int[Draws];
        for (var n = 0; n < Draws; n++) stoppedAt[n] = Math.Min(FaultWeight * Math.Min(sigmaRank[n], distanceRank[n]), faultRank[n]);
        Array.Sort(stoppedAt);
        var stopped = stoppedAt[(int)Math.Round(falseAlarm * Draws)];
        return (Between(sigmas, stopped / FaultWeight), Between(distances, stopped / FaultWeight), Between(faults, stopped));

        // Values are sorted by now: the limit lies between the last one stopped and the first that is not.
        static double Between(double[] rising, int stopped) => (rising[^(stopped + 1)] + rising[^Math.Max(1, stopped)]) / 2;
    }

    /// <summary>How many draws lie farther out than each, and sorts the values.</summary>
    static int[] Ranks(double[] values)
    {
        var places = new int[values.Length];
        for (var i = 0; i < places.Length; i++) places[i] = i;
        Array.Sort(values, places);
        var ranks = new int[values.Length];
        for (var i = 0; i < places.Length; i++) ranks[places[i]] = values.Length - 1 - i;
        return ranks;
    }
}
