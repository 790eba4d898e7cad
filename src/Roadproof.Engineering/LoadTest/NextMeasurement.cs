using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest;

/// <summary>A reading that the plant can take of a unit beside the load test.</summary>
/// <param name="UsualValue">Mean over sound units.</param>
/// <param name="UsualSpread">Standard deviation over sound units.</param>
/// <param name="StandardUncertainty">Of one reading.</param>
/// <param name="CostS">What taking it costs, with everything that has to be done again for it, s.</param>
/// <param name="Value">As it was read of this unit already; null where it was not.</param>
public sealed record PossibleMeasurement(
    string Id, string Name, string Unit, MeasuredQuantity Quantity, double UsualValue, double UsualSpread, double StandardUncertainty, double CostS, double? Value);

/// <summary>A cause with what is thought of it now.</summary>
/// <param name="Probability">With every reading that was taken beside the load test.</param>
/// <param name="Before">By the load test alone.</param>
public sealed record RemainingCause(string Fault, string Name, double Probability, double Before);

/// <summary>Two causes, the more probable first.</summary>
public sealed record CausePair(string One, string Other);

/// <summary>What a measurement would read if a cause were the right one.</summary>
public sealed record CausePrediction(string Fault, double Value, double StandardDeviation);

/// <summary>What one measurement would decide.</summary>
/// <param name="TellsApart">Pairs of which it names the wrong one at most once in twenty times.</param>
/// <param name="Share">Of the doubt that is left: the chance that two causes drawn by their probabilities are such a pair, among all that differ.</param>
public sealed record MeasurementPower(string Id, double CostS, IReadOnlyList<CausePair> TellsApart, double Share, IReadOnlyList<CausePrediction> Expected);

/// <summary>What is still possible, and what to measure next.</summary>
/// <param name="Remaining">Causes that are worth a look, most probable first.</param>
/// <param name="Measurements">Those that tell some of them apart, the one with the least time for the doubt it removes first; empty where none does.</param>
/// <param name="CannotTell">Pairs that nothing on offer tells apart.</param>
public sealed record MeasurementAdvice(IReadOnlyList<RemainingCause> Remaining, IReadOnlyList<MeasurementPower> Measurements, IReadOnlyList<CausePair> CannotTell);

/// <summary>Chooses what to measure next on a stopped unit: the reading that removes most doubt for its time.</summary>
/// <remarks>
/// Sources: Bayes' rule; least cost for the chance of success first (the usual order of a sequential search, textbook); two normal readings with one threshold between them (textbook).
/// Method: <c>docs/methods/diagnosis.md</c>.
/// </remarks>
public static class NextMeasurement
{
    /// <summary>Causes less probable than this are not worth a measurement of their own.</summary>
    public const double WorthALook = 0.05;

    /// <summary>Each of two causes is taken for the other at most this often.</summary>
    public const double WrongAtMost = 0.05;

    // A reading is of another unit, or has a slipped digit, this often: it never rules a cause out for good. Common practice, no source.
    const double WrongReading = 0.02;

    static readonly double Apart = Normal.Quantile(1 - WrongAtMost);

    /// <param name="diagnosis">Of the load test that stopped the unit.</param>
    /// <param name="unit">The product as drawn.</param>
    public static MeasurementAdvice Of(IReadOnlyList<DiagnosisLine> diagnosis, DriveUnit unit, IReadOnlyList<PossibleMeasurement> possible)
    {
        var faults = FaultHypotheses.Of(unit).ToDictionary(f => f.Id, StringComparer.Ordinal);
        // A line of a fault that this version computes no more, and "unknown", can be anything: they keep their share and are not told apart.
        if (diagnosis.Count == 0) return new([], [], []);
        var causes = diagnosis.Select(d => new Cause(d, FaultsOf(d, faults), d.Fault == "sound")).ToList();
        var probability = Updated(causes, unit, possible);
        var ranked = causes.Zip(probability, (c, p) => (Cause: c, Probability: p)).OrderByDescending(c => c.Probability).ToList();
        // What the readings cannot part from the first is in question however the sizes speak: a probability favours one of two by its usual size alone.
        var twins = ranked[0].Cause.Line.InseparableFrom;
        var remaining = ranked.Where(c => c.Probability >= WorthALook || twins.Contains(c.Cause.Id)).ToList();
        var predictable = remaining.Where(c => c.Cause.IsPredictable).ToList();

        var pairs = (from i in Enumerable.Range(0, predictable.Count)
                     from j in Enumerable.Range(i + 1, predictable.Count - i - 1)
                     select (One: predictable[i], Other: predictable[j])).ToList();
        var doubt = pairs.Sum(p => p.One.Probability * p.Other.Probability);
        var measurements = possible.Where(m => m.Value is null)
            .Select(m =>
            {
                var told = pairs.Where(p => TellsApart(p.One.Cause.In(m, unit), p.Other.Cause.In(m, unit))).ToList();
                return new MeasurementPower(m.Id, m.CostS, [.. told.Select(p => new CausePair(p.One.Cause.Id, p.Other.Cause.Id))],
                    doubt > 0 ? told.Sum(p => p.One.Probability * p.Other.Probability) / doubt : 0,
                    [.. predictable.Select(c => Prediction(c.Cause, m, unit))]);
            })
            .Where(m => m.TellsApart.Count > 0)
            .OrderBy(m => m.CostS / m.Share).ThenBy(m => m.Id, StringComparer.Ordinal)
            .ToList();
        var cannot = pairs.Select(p => new CausePair(p.One.Cause.Id, p.Other.Cause.Id)).Where(p => !measurements.Any(m => m.TellsApart.Contains(p))).ToList();
        return new([.. remaining.Select(c => new RemainingCause(c.Cause.Id, c.Cause.Line.Name, c.Probability, c.Cause.Line.Probability))], measurements, cannot);
    }

    /// <summary>The faults of a line with the size that the load test read of each; null where one is computed no more.</summary>
    static IReadOnlyList<SizedFault>? FaultsOf(DiagnosisLine line, Dictionary<string, FaultHypothesis> faults)
    {
        List<(string Id, double Size, Interval Interval)> parts = line.With is { } second
            ? [(line.Fault.Split(DiagnosisLine.Both)[0], line.Magnitude, line.Interval), (second.Fault, second.Magnitude, second.Interval)]
            : [(line.Fault, line.Magnitude, line.Interval)];
        return parts.All(p => faults.ContainsKey(p.Id)) ? [.. parts.Select(p => new SizedFault(faults[p.Id], p.Size, p.Interval))] : null;
    }

    static CausePrediction Prediction(Cause cause, PossibleMeasurement m, DriveUnit unit)
    {
        var (mean, sd) = cause.In(m, unit);
        return new(cause.Id, mean, sd);
    }

    // One threshold between the two: where it lies as many of its own standard deviations from the one as from the other, both are wrong equally often.
    static bool TellsApart((double Mean, double Sd) one, (double Mean, double Sd) other) => Math.Abs(one.Mean - other.Mean) >= Apart * (one.Sd + other.Sd);

    static double[] Updated(List<Cause> causes, DriveUnit unit, IReadOnlyList<PossibleMeasurement> possible)
    {
        var weight = causes.Select(c => Math.Log(c.Line.Probability)).ToArray();
        foreach (var m in possible)
        {
            if (m.Value is not { } value) continue;
            var widest = causes.Max(c => c.IsPredictable ? Math.Abs(c.In(m, unit).Mean - m.UsualValue) : 0);
            var wide = 10 * Sound(m) + widest;
            for (var i = 0; i < weight.Length; i++)
            {
                var anywhere = Normal.Density((value - m.UsualValue) / wide) / wide;
                var (mean, sd) = causes[i].IsPredictable ? causes[i].In(m, unit) : (m.UsualValue, wide);
                weight[i] += Math.Log((1 - WrongReading) * Normal.Density((value - mean) / sd) / sd + WrongReading * anywhere + double.Epsilon);
            }
        }

        var most = weight.Max();
        // What the diagnosis left out as improbable keeps its share.
        var listed = causes.Sum(c => c.Line.Probability);
        var total = weight.Sum(w => Math.Exp(w - most));
        return [.. weight.Select(w => listed * Math.Exp(w - most) / total)];
    }

    static double Sound(PossibleMeasurement m) => double.Hypot(m.UsualSpread, m.StandardUncertainty);

    sealed record Cause(DiagnosisLine Line, IReadOnlyList<SizedFault>? Faults, bool IsSound)
    {
        public string Id => Line.Fault;

        public bool IsPredictable => IsSound || Faults is not null;

        /// <summary>What a measurement reads if this is the cause: sound units' scatter and the reading's uncertainty, and what is not known of each fault's size.</summary>
        public (double Mean, double Sd) In(PossibleMeasurement m, DriveUnit unit)
        {
            var (mean, variance) = (m.UsualValue, Sound(m) * Sound(m));
            foreach (var fault in Faults ?? [])
            {
                var (change, sd) = fault.In(m.Quantity, unit);
                (mean, variance) = (mean + change, variance + sd * sd);
            }

            return (mean, Math.Sqrt(variance));
        }
    }

    /// <param name="Read">Of the size, by the load test.</param>
    sealed record SizedFault(FaultHypothesis Fault, double Read, Interval Interval)
    {
        public (double Change, double Sd) In(MeasuredQuantity quantity, DriveUnit unit)
        {
            var (size, sd) = Size();
            var step = 0.01 * Fault.Typical;
            var change = MeasuredQuantities.Change(quantity, unit, Fault, size);
            return (change, (MeasuredQuantities.Change(quantity, unit, Fault, size + step) - change) / step * sd);
        }

        // What the load test read of the size, and what is known of sizes, each by its precision.
        (double Size, double Sd) Size()
        {
            var read = (Interval.Upper - Interval.Lower) / (2 * Normal.Quantile(0.975));
            if (!(double.IsFinite(read) && read > 0 && double.IsFinite(Read))) return (Fault.Typical, Fault.Spread);
            var typical = Fault.EitherSign && Read < 0 ? -Fault.Typical : Fault.Typical;
            var (known, seen) = (1 / (Fault.Spread * Fault.Spread), 1 / (read * read));
            var size = (known * typical + seen * Read) / (known + seen);
            return (Fault.EitherSign ? size : Math.Max(0, size), 1 / Math.Sqrt(known + seen));
        }
    }
}
