using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Ranks what may be wrong with a unit by the evidence in its readings.</summary>
/// <remarks>
/// Each hypothesis says: the readings are those of a sound unit moved along the fault's own signature, which the model computes at the size in question.
/// Evidence is the Gaussian likelihood
/// over the sizes that happen (Laplace's approximation around the most likely one), times how often the fault happens. "Sound" is no move; "unknown" is a
/// move anywhere, four standard deviations wide.
/// Source: Bayes' rule and Laplace's approximation (textbook). Method and advice: <c>docs/methods/diagnosis.md</c>.
/// </remarks>
sealed class Diagnosis
{
    /// <summary>Signatures closer than this cannot be told apart by these readings.</summary>
    const double InseparableCosine = 0.95;

    // How wide "unknown" is, as a multiple of the standard deviation in every direction.
    const double UnknownWidth = 4;

    // A computed signature is trusted to this share of what it moves: drags, saturation and meshes of a faulty unit are not those of the drawing.
    const double SignatureShare = 0.02;

    readonly ExpectationSpread spread;
    readonly int[] rows;
    readonly double[,] covariance;
    readonly Whitening whitening;
    readonly double[] none;

    // A fault that moves nothing of what was read is neither likelier nor less likely than before: the readings are not asked about it.
    readonly FaultHypothesis[] faults;
    readonly double[][] direction;

    /// <param name="rows">The rows that this run has: joint expectations and the torque sensor's zero.</param>
    public Diagnosis(ExpectationSpread spread, int[] rows)
    {
        (this.spread, this.rows) = (spread, rows);
        covariance = JointLimits.Covariance(spread, rows);
        whitening = new(covariance);
        none = spread.Model.At(Deviation.None);
        faults = [.. spread.Model.Faults.Where(h => Moved(h, h.Typical).Any(m => m != 0))];

        // Two signatures are alike when the rig's errors and noise hide their difference; how parts scatter has no say in that.
        var reading = new Whitening(spread.ReadingCovariance(rows));
        direction = [.. faults.Select(h => Unit(reading.Whiten(Moved(h, h.Typical))))];
    }

    /// <param name="residual">Readings less the mean of sound units, shape [rows].</param>
    /// <returns>Every hypothesis that is worth a look, most probable first; probabilities over all hypotheses add up to one.</returns>
    public IReadOnlyList<DiagnosisLine> Of(ReadOnlySpan<double> residual)
    {
        var white = whitening.Whiten(residual);
        var read = residual.ToArray();
        var fits = faults.Select(h => Fit(h, read, white)).ToArray();
        var distance = Whitening.Dot(white, white);

        // Relative to the likelihood of a sound unit; a wide Gaussian pays for every direction that it could have explained.
        const double wide = UnknownWidth * UnknownWidth;
        double[] evidence =
        [
            .. fits.Select((f, i) => Math.Log(faults[i].Prior) + f.LogEvidence),
            Math.Log(FaultHypotheses.PriorOfSound),
            Math.Log(FaultHypotheses.PriorOfUnknown) - rows.Length * Math.Log(1 + wide) / 2 + distance * wide / (1 + wide) / 2,
        ];
        var most = evidence.Max();
        var total = evidence.Sum(e => Math.Exp(e - most));
        var probability = evidence.Select(e => Math.Exp(e - most) / total).ToArray();

        var lines = fits.Select((f, i) => Line(i, f, probability[i]))
            .Append(new("sound", "Nothing wrong: a sound unit far out", probability[^2], 0, new(0, 0, 0.95), "", [], "", ""))
            .Append(new("unknown", "None of the faults that are computed", probability[^1], Math.Sqrt(distance), new(Math.Sqrt(distance), Math.Sqrt(distance), 0.95), "σ", [],
                "The run itself: gaps, a wrong unit in the rig, the rig's last reference run.", "Run the reference unit on the same rig, then this unit again."));
        return [.. lines.Where(l => l.Probability >= 0.001).OrderByDescending(l => l.Probability)];
    }

    DiagnosisLine Line(int i, in FaultFit fit, double probability)
    {
        var h = faults[i];
        var half = Normal.Quantile(0.975) * fit.Uncertainty;
        var alike = Enumerable.Range(0, direction.Length).Where(j => j != i && Math.Abs(Whitening.Dot(direction[i], direction[j])) > InseparableCosine)
            .Select(j => faults[j].Id).ToArray();
        return new(h.Id, h.Name, probability, fit.Size, new(fit.Size - half, fit.Size + half, 0.95), h.Unit, alike, h.LookFirst, alike.Length > 0 ? h.NextMeasurement : "");
    }

    /// <param name="Size">By least squares alone, without what is known of sizes.</param>
    readonly record struct FaultFit(double Size, double Uncertainty, double LogEvidence);

    FaultFit Fit(FaultHypothesis h, double[] residual, double[] white) => h.EitherSign
        ? Either(Around(h, h.Typical, residual, white), Around(h, -h.Typical, residual, white))
        : Around(h, h.Typical, residual, white);

    static FaultFit Either(in FaultFit a, in FaultFit b)
    {
        var better = a.LogEvidence >= b.LogEvidence ? a : b;
        var worse = Math.Min(a.LogEvidence, b.LogEvidence);
        return better with { LogEvidence = better.LogEvidence + Math.Log(0.5 * (1 + Math.Exp(worse - better.LogEvidence))) };
    }

    /// <summary>The most likely size under a normal prior around the typical one, by Gauss-Newton steps on the full model.</summary>
    FaultFit Around(FaultHypothesis h, double typical, double[] residual, double[] white)
    {
        var precision = 1 / (h.Spread * h.Spread);
        var size = typical;
        double slopeSquare = 0, alongSlope = 0;
        for (var step = 0; step < 12; step++)
        {
            var signature = Signature(h, size);
            var slope = Slope(h, size, signature);
            slopeSquare = Whitening.Dot(slope, slope);
            alongSlope = 0;
            for (var i = 0; i < white.Length; i++) alongSlope += slope[i] * (white[i] - signature[i]);

            var change = (alongSlope - (size - typical) * precision) / (slopeSquare + precision);
            var next = Limited(h, size + change);
            if (Math.Abs(next - size) < 1e-4 * h.Spread || step == 11) break;
            size = next;
        }

        var fromPrior = (size - typical) / h.Spread;
        var logEvidence = LogLikelihoodRatio(Moved(h, size), residual, white) + (Math.Log(precision / (slopeSquare + precision)) - fromPrior * fromPrior) / 2;
        return new(size + alongSlope / slopeSquare, 1 / Math.Sqrt(slopeSquare), logEvidence);
    }

    /// <summary>Of the readings given the move, against a sound unit.</summary>
    double LogLikelihoodRatio(double[] moved, double[] residual, double[] white)
    {
        var wider = (double[,])covariance.Clone();
        for (var i = 0; i < moved.Length; i++) wider[i, i] += SignatureShare * SignatureShare * moved[i] * moved[i];
        var withMove = new Whitening(wider);
        var missed = withMove.Distance([.. residual.Zip(moved, (read, move) => read - move)]);
        return (Whitening.Dot(white, white) - missed - (withMove.LogDeterminant - whitening.LogDeterminant)) / 2;
    }

    // A fault of one sign has no size below nothing; and no fault is computed beyond what a model of small faults can carry.
    static double Limited(FaultHypothesis h, double size) => Math.Clamp(size, h.EitherSign ? -5 * h.Typical : 0, 5 * h.Typical);

    double[] Slope(FaultHypothesis h, double size, double[] signature)
    {
        var step = 0.01 * h.Typical;
        return [.. Signature(h, size + step).Zip(signature, (there, here) => (there - here) / step)];
    }

    /// <summary>What the fault moves, in independent standard deviations.</summary>
    double[] Signature(FaultHypothesis h, double size) => whitening.Whiten(Moved(h, size));

    double[] Moved(FaultHypothesis h, double size)
    {
        var with = spread.Model.At(h.At(size));
        return [.. rows.Select(i => with[i] - none[i])];
    }

    static double[] Unit(double[] signature)
    {
        var length = Math.Sqrt(Whitening.Dot(signature, signature));
        return [.. signature.Select(s => s / length)];
    }
}
