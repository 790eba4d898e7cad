using Roadproof.Engineering.Judging;

namespace Roadproof.Engineering.LoadTest.Rigs;

/// <summary>How far a rig has moved in one characteristic between when it was right and when it was found wrong, as a reference unit shows it.</summary>
/// <param name="Moved">The wrong reading less what is known of the reference, in the characteristic's unit.</param>
/// <param name="StandardUncertainty">Of that difference.</param>
/// <param name="Known">What is known of the reference: a gain that moved moves another unit in proportion to it.</param>
public readonly record struct ShownMove(double Moved, double StandardUncertainty, double Known)
{
    /// <summary>In its standard uncertainties.</summary>
    public double Sigma => Moved == 0 ? 0 : Math.Abs(Moved) / StandardUncertainty;
}

/// <summary>The drift of a rig, by characteristic, as the reference unit shows it that found the rig wrong.</summary>
public sealed record ShownDrift(string Reference, IReadOnlyDictionary<string, ShownMove> Moves)
{
    /// <param name="right">The first run of this reference that the rig read right since it was put right. A later one may have drifted along already.</param>
    /// <param name="wrong">Its run that found the rig wrong.</param>
    /// <remarks>
    /// What sound units are expected to read is held against the reference's own values in the definitions, which the rig's level has learnt nothing from; what has a requirement only,
    /// against the reference's first good run on this rig, with the scatter of two runs.
    /// </remarks>
    public static ShownDrift Of(ReferenceUnit reference, LoadTestVerdict right, LoadTestVerdict wrong)
    {
        var moves = new Dictionary<string, ShownMove>(StringComparer.Ordinal);
        var read = wrong.Expectations.ToDictionary(e => e.Id, e => e.Value, StringComparer.Ordinal);
        foreach (var known in reference.Expected)
            if (read.TryGetValue(known.Id, out var value) && double.IsFinite(value)) moves[known.Id] = new(value - known.Value, double.Hypot(known.StandardDeviation, known.StandardUncertainty), known.Value);
        foreach (var now in wrong.Requirements)
            if (right.Requirements.FirstOrDefault(r => r.Id == now.Id) is { } then) moves.TryAdd(now.Id, new(now.Value - then.Value, double.Hypot(OfRun(now), OfRun(then)), then.Value));
        return new(reference.Id, moves);
    }

    // Where nobody has split it up, all of it may be drawn anew.
    static double OfRun(RequirementReading r) => r.UncertaintyOfRun ?? r.StandardUncertainty;
}
