using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Ranks what may be wrong with a unit by the evidence in its readings: one fault, two at once, nothing, or something unknown.</summary>
/// <remarks>
/// Each hypothesis says: the readings are those of a sound unit moved along the fault's own signature, which the model computes at the size in question.
/// Evidence is the Gaussian likelihood
/// over the sizes that happen (Laplace's approximation around the most likely one), times how often the fault happens; two faults come together as often as chance brings them together. "Sound" is
/// no move; "unknown" is a move anywhere, four standard deviations wide.
/// Source: Bayes' rule and Laplace's approximation (textbook). Method and advice: <c>docs/methods/diagnosis.md</c>.
/// </remarks>
sealed class Diagnosis
{
    /// <summary>Signatures closer than this cannot be told apart by these readings.</summary>
    const double InseparableCosine = 0.95;

    // How wide "unknown" is, as a multiple of the standard deviation in every direction.
    const double UnknownWidth = 4;

    const double LeastProbability = 0.001;

    readonly int count;
    readonly FaultFitting fitting;
    readonly FaultPairs pairs;

    // A fault that moves nothing of what was read is neither likelier nor less likely than before: the readings are not asked about it.
    readonly FaultHypothesis[] faults;
    readonly double[][] direction;

    /// <param name="rows">The rows that this run has: joint expectations and the torque sensor's zero.</param>
    public Diagnosis(ExpectationSpread spread, int[] rows)
    {
        count = rows.Length;
        fitting = new(spread, rows);
        faults = [.. spread.Model.Faults.Where(h => fitting.Moved([h], [h.Typical]).Any(m => m != 0))];

        // Two signatures are alike when the rig's errors and noise hide their difference; how parts scatter has no say in that.
        var reading = new Whitening(spread.ReadingCovariance(rows));
        direction = [.. faults.Select(h => Unit(reading.Whiten(fitting.Moved([h], [h.Typical]))))];
        pairs = new(fitting, faults, direction, InseparableCosine);
    }

    /// <summary>A reason with the logarithm of its evidence against "sound" and of its share before anything is read.</summary>
    readonly record struct Reason(FaultHypothesis[] Faults, FaultExplanation Explanation, double LogPrior)
    {
        public double LogWeight => LogPrior + Explanation.LogEvidence;
    }

    /// <param name="residual">Readings less the mean of sound units, shape [rows].</param>
    /// <returns>Every hypothesis that is worth a look, most probable first; probabilities over all hypotheses add up to one.</returns>
    public IReadOnlyList<DiagnosisLine> Of(ReadOnlySpan<double> residual)
    {
        var read = residual.ToArray();
        var white = fitting.Whitening.Whiten(read);
        var distance = Whitening.Dot(white, white);

        // Relative to the likelihood of a sound unit; a wide Gaussian pays for every direction that it could have explained.
        const double wide = UnknownWidth * UnknownWidth;
        var (sound, unknownEvidence) = (Math.Log(FaultHypotheses.PriorOfSound), distance * wide / (1 + wide) / 2 - count * Math.Log(1 + wide) / 2);
        var unknown = Math.Log(FaultHypotheses.PriorOfUnknown) + unknownEvidence;

        var reasons = faults.Select(h => new Reason([h], Single(h, read, white), Math.Log(h.Prior))).ToList();
        var best = Math.Max(reasons.Max(r => r.LogWeight), Math.Max(sound, unknown));
        reasons.AddRange(Pairs(read, white, best));

        var most = Math.Max(best, reasons.Max(r => r.LogWeight));
        var total = reasons.Sum(r => Math.Exp(r.LogWeight - most)) + Math.Exp(sound - most) + Math.Exp(unknown - most);
        var lines = reasons.Select(r => Line(r, Math.Exp(r.LogWeight - most) / total, unknownEvidence))
            .Append(new("sound", "Nothing wrong: a sound unit far out", Math.Exp(sound - most) / total, 0, new(0, 0, 0.95), "", [], "", "") { AgainstSound = 0, AgainstUnknown = -unknownEvidence / Math.Log(10) })
            .Append(new("unknown", "None of the faults that are computed", Math.Exp(unknown - most) / total, Math.Sqrt(distance), new(Math.Sqrt(distance), Math.Sqrt(distance), 0.95), "σ", [],
                "The run itself: gaps, a wrong unit in the rig, the rig's last reference run.", "Run the reference unit on the same rig, then this unit again.")
            { AgainstSound = unknownEvidence / Math.Log(10), AgainstUnknown = 0 });
        return [.. lines.Where(l => l.Probability >= LeastProbability).OrderByDescending(l => l.Probability)];
    }

    /// <summary>Whether the readings can tell two faults apart.</summary>
    public bool TellsApart(FaultHypothesis one, FaultHypothesis other) => faults.Contains(one) && faults.Contains(other) && !Alike(one).Contains(other);

    FaultExplanation Single(FaultHypothesis h, double[] read, double[] white)
    {
        var forward = fitting.Explain(new([h], [h.Typical]), read, white);
        return h.EitherSign ? Either(forward, fitting.Explain(new([h], [-h.Typical]), read, white)) : forward;
    }

    static FaultExplanation Either(FaultExplanation a, FaultExplanation b)
    {
        var better = a.LogEvidence >= b.LogEvidence ? a : b;
        var worse = Math.Min(a.LogEvidence, b.LogEvidence);
        return better with { LogEvidence = better.LogEvidence + Math.Log(0.5 * (1 + Math.Exp(worse - better.LogEvidence))) };
    }

    /// <summary>Of the signs of one pair only the best is a reason of its own.</summary>
    IEnumerable<Reason> Pairs(double[] read, double[] white, double best) => pairs.WorthAFit(white, best)
        .Select(p => new Reason(p.Candidate.Faults, fitting.Explain(p.Candidate, read, white), p.LogPrior))
        .GroupBy(r => IdOf(r.Faults), StringComparer.Ordinal).Select(g => g.MaxBy(r => r.LogWeight));

    static string IdOf(IEnumerable<FaultHypothesis> of) => string.Join(DiagnosisLine.Both, of.Select(f => f.Id));

    DiagnosisLine Line(in Reason reason, double probability, double unknownEvidence)
    {
        var (h, fit) = (reason.Faults[0], reason.Explanation);
        FaultHypothesis[] alike = [.. Alike(h)];
        var againstSound = fit.LogEvidence / Math.Log(10);
        var line = new DiagnosisLine(h.Id, h.Name, probability, fit.Size[0], Around(fit, 0), h.Unit, [.. alike.Select(f => f.Id)], h.LookFirst, alike.Length > 0 ? h.NextMeasurement : "")
        {
            AgainstSound = againstSound,
            AgainstUnknown = againstSound - unknownEvidence / Math.Log(10),
        };
        if (reason.Faults.Length == 1) return line;

        var second = reason.Faults[1];
        FaultHypothesis[] alikeSecond = [.. Alike(second)];
        return line with
        {
            Fault = IdOf(reason.Faults),
            Name = $"{h.Name}; and {char.ToLowerInvariant(second.Name[0])}{second.Name[1..]}",
            InseparableFrom = [.. alike.Select(f => Ordered(f, second)), .. alikeSecond.Select(f => Ordered(h, f))],
            LookFirst = $"{h.LookFirst} {second.LookFirst}",
            NextMeasurement = string.Join(' ', ((FaultHypothesis[])[.. alike.Length > 0 ? [h] : (FaultHypothesis[])[], .. alikeSecond.Length > 0 ? [second] : (FaultHypothesis[])[]]).Select(f => f.NextMeasurement)),
            With = new(second.Id, second.Name, fit.Size[1], Around(fit, 1), second.Unit),
        };
    }

    string Ordered(FaultHypothesis a, FaultHypothesis b) => IdOf(Array.IndexOf(faults, a) < Array.IndexOf(faults, b) ? [a, b] : [b, a]);

    IEnumerable<FaultHypothesis> Alike(FaultHypothesis h)
    {
        var i = Array.IndexOf(faults, h);
        return faults.Where((_, j) => j != i && Math.Abs(Whitening.Dot(direction[i], direction[j])) > InseparableCosine);
    }

    static Interval Around(FaultExplanation fit, int k)
    {
        var half = Normal.Quantile(0.975) * fit.Uncertainty[k];
        return new(fit.Size[k] - half, fit.Size[k] + half, 0.95);
    }

    static double[] Unit(double[] signature)
    {
        var length = Math.Sqrt(Whitening.Dot(signature, signature));
        return [.. signature.Select(s => s / length)];
    }
}
