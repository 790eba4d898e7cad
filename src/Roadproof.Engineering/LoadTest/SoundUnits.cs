using System.Numerics;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Draws what sound units read, as residuals from their mean: parts to second order, rig and noise.</summary>
sealed class SoundUnits
{
    // One column per normal number: errors first, then parts, then their pairs.
    readonly double[][] errors, parts, pairs;
    readonly SeededNoise draws;
    readonly double[] white, z = new double[PartScatter.Count];

    public SoundUnits(ExpectationSpread spread, ulong seed)
    {
        draws = new(seed, "sound units");
        var n = spread.Ids.Length;
        white = new double[n];
        var factor = new Whitening(spread.ErrorsBetweenRuns());
        errors = new double[n][];
        for (var k = 0; k < n; k++)
        {
            (white[k], errors[k]) = (1, new double[n]);
            factor.Colour(white, errors[k]);
            white[k] = 0;
        }

        parts = spread.Parts;
        pairs = [.. from p in Enumerable.Range(0, PartScatter.Count) from q in Enumerable.Range(0, p + 1) select spread.Curvature[p, q]];
    }

    /// <summary>The parts of the unit drawn last, as standard normal numbers.</summary>
    public ReadOnlySpan<double> Parts => z;

    /// <param name="residual">Filled with one unit's readings less <see cref="ExpectationSpread.Mean"/>, shape [Ids].</param>
    public void Next(Span<double> residual)
    {
        residual.Clear();
        draws.Fill(white);
        for (var k = 0; k < errors.Length; k++) AddScaled(residual, errors[k], white[k]);

        draws.Fill(z);
        var pair = 0;
        for (var p = 0; p < z.Length; p++)
        {
            AddScaled(residual, parts[p], z[p]);
            for (var q = 0; q < p; q++) AddScaled(residual, pairs[pair++], z[p] * z[q]);
            AddScaled(residual, pairs[pair++], (z[p] * z[p] - 1) / 2);
        }
    }

    static void AddScaled(Span<double> sum, ReadOnlySpan<double> column, double by)
    {
        var i = 0;
        for (; i <= sum.Length - Vector<double>.Count; i += Vector<double>.Count)
            (new Vector<double>(sum[i..]) + by * new Vector<double>(column[i..])).CopyTo(sum[i..]);
        for (; i < sum.Length; i++) sum[i] += by * column[i];
    }
}
