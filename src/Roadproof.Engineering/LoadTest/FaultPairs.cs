using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Which two faults at once are worth fitting to a unit's readings.</summary>
/// <remarks>
/// Every pair whose signatures differ is weighed as if both signatures grew straight with their sizes: y ~ N(s₁ + s₂, I + U·Uᵀ) with U the slopes times the spreads of the sizes, which has a closed form
/// (Woodbury's identity for two columns, textbook). What comes within <see cref="WorthFitting"/> of the best is fitted on the full model.
/// </remarks>
sealed class FaultPairs
{
    /// <summary>Natural logarithm of evidence times share, behind the best explanation so far.</summary>
    public const double WorthFitting = 5;
    const int MostFitted = 4;

    readonly List<Pair> pairs = [];

    sealed record Pair(FaultCandidate Candidate, double LogPrior, double[] Signature, double[] First, double[] Second);

    /// <param name="direction">Unit signatures in standard uncertainties of the readings, by fault.</param>
    /// <param name="alike">From this cosine on two faults cannot be told apart.</param>
    public FaultPairs(FaultFitting fitting, FaultHypothesis[] faults, double[][] direction, double alike)
    {
        var linear = faults.Select(f => Signs(f).Select(sign => (Size: sign * f.Typical, Line: fitting.Linear(f, sign * f.Typical))).ToArray()).ToArray();
        for (var i = 0; i < faults.Length; i++)
            for (var j = i + 1; j < faults.Length; j++)
            {
                if (Math.Abs(Whitening.Dot(direction[i], direction[j])) > alike) continue;
                // Half the share to each sign of a fault that has two.
                var prior = Math.Log(faults[i].Prior * faults[j].Prior / FaultHypotheses.PriorOfSound / (linear[i].Length * linear[j].Length));
                foreach (var a in linear[i])
                    foreach (var b in linear[j])
                    {
                        pairs.Add(new(new([faults[i], faults[j]], [a.Size, b.Size]), prior, [.. a.Line.Signature.Zip(b.Line.Signature, (x, y) => x + y)],
                            [.. a.Line.Slope.Select(s => s * faults[i].Spread)], [.. b.Line.Slope.Select(s => s * faults[j].Spread)]));
                    }
            }
    }

    /// <summary>Pairs that may explain the readings as well as the best so far, with the logarithm of their share.</summary>
    /// <param name="white">Whitened residual.</param>
    /// <param name="best">Logarithm of evidence times share of the best single explanation.</param>
    public IEnumerable<(FaultCandidate Candidate, double LogPrior)> WorthAFit(double[] white, double best)
    {
        var sound = Whitening.Dot(white, white) / 2;
        return pairs.Select(p => (p.Candidate, p.LogPrior, Weight: p.LogPrior + sound + LogLikelihood(p, white)))
            .Where(p => p.Weight > best - WorthFitting).OrderByDescending(p => p.Weight).Take(MostFitted).Select(p => (p.Candidate, p.LogPrior));
    }

    static double LogLikelihood(Pair p, double[] white)
    {
        double square = 0, k00 = 1, k01 = 0, k11 = 1, b0 = 0, b1 = 0;
        for (var i = 0; i < white.Length; i++)
        {
            var missed = white[i] - p.Signature[i];
            square += missed * missed;
            k00 += p.First[i] * p.First[i];
            k01 += p.First[i] * p.Second[i];
            k11 += p.Second[i] * p.Second[i];
            b0 += p.First[i] * missed;
            b1 += p.Second[i] * missed;
        }

        var determinant = k00 * k11 - k01 * k01;
        var explained = (k11 * b0 * b0 - 2 * k01 * b0 * b1 + k00 * b1 * b1) / determinant;
        return -(square - explained + Math.Log(determinant)) / 2;
    }

    static double[] Signs(FaultHypothesis f) => f.EitherSign ? [1, -1] : [1];
}
