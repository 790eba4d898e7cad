using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>One way in which a known fault moves a unit's readings together, and what a move along it says for the fault.</summary>
/// <remarks>
/// Of a fault of size a a sound unit's move x along the direction is shifted by λ(a) standard deviations: how much likelier the move is with the fault than without it is
/// ln Σ p(a)·exp(λ(a)·x − λ(a)²/2), the logarithm of a likelihood ratio over the sizes that happen (Neyman and Pearson's lemma, textbook). A fault that usually lies far out says nothing for itself before a unit lies far out.
/// </remarks>
sealed class FaultDirection
{
    // Evidence is smooth and read far more often than made.
    const int StepsPerSigma = 16, Steps = 10 * StepsPerSigma;

    readonly double[] white, evidence = new double[Steps + 1];

    /// <param name="white">Whitened and of unit length.</param>
    /// <param name="sizes">How far out the fault's sizes lie along it, and the share of each.</param>
    public FaultDirection(FaultHypothesis fault, double[] white, IReadOnlyList<(double Sigma, double Share)> sizes)
    {
        (Fault, this.white) = (fault, white);
        for (var i = 0; i <= Steps; i++) evidence[i] = Math.Log(sizes.Sum(s => s.Share * Math.Exp(s.Sigma * (i / (double)StepsPerSigma - s.Sigma / 2))));
    }

    public FaultHypothesis Fault { get; }

    /// <summary>The move along it, in standard deviations of a sound unit.</summary>
    public double Along(ReadOnlySpan<double> whitened) => Whitening.Dot(white, whitened);

    /// <summary>Logarithm of how many times likelier the move is with the fault than in a sound unit; a move the other way counts as none.</summary>
    public double EvidenceOf(double sigma)
    {
        var place = Math.Max(0, sigma) * StepsPerSigma;
        var below = Math.Min((int)place, Steps - 1);
        return evidence[below] + (place - below) * (evidence[below + 1] - evidence[below]);
    }

    /// <summary>The move with that evidence.</summary>
    public double SigmaAt(double asked)
    {
        var above = Array.FindIndex(evidence, 1, e => e >= asked);
        if (above < 0) above = Steps;
        return Math.Max(0, above - 1 + (asked - evidence[above - 1]) / (evidence[above] - evidence[above - 1])) / StepsPerSigma;
    }
}
