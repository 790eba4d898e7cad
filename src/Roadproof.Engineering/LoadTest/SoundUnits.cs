using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Draws what sound units read, as residuals from their mean: parts to second order, rig and noise.</summary>
sealed class SoundUnits
{
    readonly ExpectationSpread spread;
    readonly Whitening errors;
    readonly NormalDraws draws;
    readonly double[] white;

    public SoundUnits(ExpectationSpread spread, ulong seed)
    {
        this.spread = spread;
        draws = new(seed);
        white = new double[spread.Ids.Length];
        errors = new(spread.ReadingCovariance([.. Enumerable.Range(0, white.Length)]));
    }

    /// <param name="residual">Filled with one unit's readings less <see cref="ExpectationSpread.Mean"/>, shape [Ids].</param>
    public void Next(Span<double> residual)
    {
        draws.Fill(white);
        errors.Colour(white, residual);

        Span<double> z = stackalloc double[PartScatter.Count];
        draws.Fill(z);
        for (var p = 0; p < PartScatter.Count; p++)
        {
            AddScaled(residual, spread.Parts[p], z[p]);
            AddScaled(residual, spread.Curvature[p, p], (z[p] * z[p] - 1) / 2);
            for (var q = 0; q < p; q++) AddScaled(residual, spread.Curvature[p, q], z[p] * z[q]);
        }
    }

    static void AddScaled(Span<double> sum, ReadOnlySpan<double> column, double by)
    {
        for (var i = 0; i < sum.Length; i++) sum[i] += by * column[i];
    }
}
