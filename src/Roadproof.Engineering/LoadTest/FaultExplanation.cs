using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>One or two faults at once as a reason for a unit's readings, each with its size.</summary>
/// <param name="Faults">One, or two whose signatures differ.</param>
/// <param name="Typical">Size of each that is looked around, with the sign it is looked for with.</param>
readonly record struct FaultCandidate(FaultHypothesis[] Faults, double[] Typical);

/// <summary>How well a candidate explains a unit's readings.</summary>
/// <param name="Size">Of each fault, by least squares alone, without what is known of sizes.</param>
/// <param name="Uncertainty">Standard uncertainty of each size, with the scatter of sound parts; of two faults with what they leave unsure of each other.</param>
/// <param name="LogEvidence">Natural logarithm of how many times better it explains the readings than "sound" does.</param>
sealed record FaultExplanation(double[] Size, double[] Uncertainty, double LogEvidence);

/// <summary>Fits faults to a unit's residual: Gauss-Newton steps on the full model, Laplace's approximation of the evidence.</summary>
/// <remarks>See <c>docs/methods/diagnosis.md</c>. Sizes have a normal prior around the typical one; a fault of one sign has no size below nothing.</remarks>
sealed class FaultFitting
{
    // A computed signature is trusted to this share of what it moves: drags, saturation and meshes of a faulty unit are not those of the drawing.
    const double SignatureShare = 0.02;
    const int MostSteps = 12;

    readonly ExpectationModel model;
    readonly int[] rows;
    readonly double[,] covariance;
    readonly Whitening whitening;
    readonly double[] none;

    public FaultFitting(ExpectationSpread spread, int[] rows)
    {
        (model, this.rows) = (spread.Model, rows);
        covariance = JointLimits.Covariance(spread, rows);
        whitening = new(covariance);
        none = model.At(Drive.Deviation.None);
    }

    public Whitening Whitening => whitening;

    /// <summary>What faults of given sizes move, shape [rows].</summary>
    public double[] Moved(FaultHypothesis[] faults, ReadOnlySpan<double> sizes)
    {
        var deviation = faults[0].At(sizes[0]);
        if (faults.Length > 1) deviation = deviation.With(faults[1].At(sizes[1]));
        var with = model.At(deviation);
        return [.. rows.Select(i => with[i] - none[i])];
    }

    /// <summary>The most likely sizes, and the evidence around them.</summary>
    /// <param name="residual">Readings less the mean of sound units, shape [rows].</param>
    /// <param name="white">The same, whitened.</param>
    public FaultExplanation Explain(in FaultCandidate candidate, double[] residual, double[] white)
    {
        var (faults, typical) = (candidate.Faults, candidate.Typical);
        var count = faults.Length;
        double[] precision = [.. faults.Select(f => 1 / (f.Spread * f.Spread))];
        var size = (double[])typical.Clone();
        Normal2 normal = default;
        for (var step = 0; ; step++)
        {
            var signature = whitening.Whiten(Moved(faults, size));
            normal = NormalEquations(faults, size, signature, white);
            var change = normal.Plus(precision[0], count > 1 ? precision[1] : 0).Solve(
                normal.B0 - (size[0] - typical[0]) * precision[0], count > 1 ? normal.B1 - (size[1] - typical[1]) * precision[1] : 0, count);
            if (step == MostSteps - 1) break;
            var small = true;
            for (var k = 0; k < count; k++)
            {
                var next = Limited(faults[k], size[k], k == 0 ? change.X0 : change.X1);
                small &= Math.Abs(next - size[k]) < 1e-4 * faults[k].Spread;
                size[k] = next;
            }

            if (small) break;
        }

        var fromPrior = 0.0;
        for (var k = 0; k < count; k++) fromPrior += (size[k] - typical[k]) * (size[k] - typical[k]) * precision[k];
        var priorDeterminant = count > 1 ? precision[0] * precision[1] : precision[0];
        var laplace = Math.Log(priorDeterminant / normal.Plus(precision[0], count > 1 ? precision[1] : 0).Determinant(count));
        var alone = normal.Solve(normal.B0, normal.B1, count);
        return new(
            count > 1 ? [size[0] + alone.X0, size[1] + alone.X1] : [size[0] + alone.X0],
            count > 1 ? [Math.Sqrt(normal.A11 / normal.Determinant(2)), Math.Sqrt(normal.A00 / normal.Determinant(2))] : [1 / Math.Sqrt(normal.A00)],
            LogLikelihoodRatio(Moved(faults, size), residual, white) + (laplace - fromPrior) / 2);
    }

    /// <summary>What a fault moves and how that grows with its size, whitened, at a size.</summary>
    public (double[] Signature, double[] Slope) Linear(FaultHypothesis fault, double size)
    {
        var signature = whitening.Whiten(Moved([fault], [size]));
        return (signature, Slope([fault], [size], 0, signature));
    }

    Normal2 NormalEquations(FaultHypothesis[] faults, double[] size, double[] signature, double[] white)
    {
        var first = Slope(faults, size, 0, signature);
        var second = faults.Length > 1 ? Slope(faults, size, 1, signature) : [];
        double b0 = 0, b1 = 0;
        for (var i = 0; i < white.Length; i++)
        {
            b0 += first[i] * (white[i] - signature[i]);
            if (second.Length > 0) b1 += second[i] * (white[i] - signature[i]);
        }

        return second.Length > 0
            ? new(Whitening.Dot(first, first), Whitening.Dot(first, second), Whitening.Dot(second, second), b0, b1)
            : new(Whitening.Dot(first, first), 0, 0, b0, 0);
    }

    double[] Slope(FaultHypothesis[] faults, double[] size, int of, double[] signature)
    {
        var step = 0.01 * faults[of].Typical;
        var there = (double[])size.Clone();
        there[of] += step;
        return [.. whitening.Whiten(Moved(faults, there)).Zip(signature, (moved, here) => (moved - here) / step)];
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

    // A blow's reading grows with the logarithm of its size and stands still near nothing: a size of one sign changes at most threefold in a step and never quite ends.
    static double Limited(FaultHypothesis h, double size, double change) => h.EitherSign
        ? Math.Clamp(size + change, -h.Largest, h.Largest)
        : Math.Min(h.Largest, Math.Clamp(size + change, size / 3, 3 * size));

    /// <summary>The normal equations of one or two unknowns: A·x = b.</summary>
    readonly record struct Normal2(double A00, double A01, double A11, double B0, double B1)
    {
        public Normal2 Plus(double d0, double d1) => this with { A00 = A00 + d0, A11 = A11 + d1 };

        public double Determinant(int count) => count > 1 ? A00 * A11 - A01 * A01 : A00;

        public (double X0, double X1) Solve(double b0, double b1, int count) => count > 1
            ? ((A11 * b0 - A01 * b1) / Determinant(2), (A00 * b1 - A01 * b0) / Determinant(2))
            : (b0 / A00, 0);
    }
}
