using Roadproof.Engineering.Judging;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Engineering.LoadTest.Rigs;

/// <summary>Judges a stored run again whose rig was found to have drifted.</summary>
/// <remarks>
/// How much of the drift was there when the unit ran is not known: a step just before or just after, or a ramp between. The run is therefore judged with none of it and with all of it taken off,
/// the drift being an offset or in proportion to the reading. What passes at each of these corners passes between them, because the readings that pass form a convex set; what fails one and
/// the same edge at each fails between them. Uncertainty of the drift is added to that of the reading, so that the guard band holds its risk at the true drift. Method: <c>docs/methods/rigs.md</c>.
/// </remarks>
static class Rejudging
{
    public const string Method = "rejudge/1: readings with none and with all of the rig's drift taken off, as an offset and in proportion; passes where every corner passes with the drift's uncertainty added (JCGM 106:2012)";

    /// <summary>Share of rigs without drift whose reference would show one of the readings moved that are never corrected.</summary>
    const double MovedByChance = 0.01;

    /// <param name="joint">Squared distance and whether all lies as sound units do, for expectation readings by id.</param>
    public static Rejudgement Of(LoadTestVerdict first, ShownDrift drift, LoadTestPlan plan, Func<IReadOnlyDictionary<string, double>, (double Distance, bool IsUnusual)> joint)
    {
        if (Missing(first, drift, plan) is { } missing) return Rejudgement.Untold(missing);
        var readings = first.Requirements.Select(r => Requirement(r, plan.Requirements.First(l => l.Id == r.Id), drift.Moves[r.Id])).ToList();
        var corners = Corners(first, drift).Select(joint).ToList();
        var (outcome, reason) = Outcome(first, readings, drift, corners.Exists(c => c.IsUnusual));
        return new(outcome, reason, [.. readings.OrderBy(r => r.Verdict == Verdict.Pass)], corners[0].Distance, corners.Max(c => c.Distance), first.DistanceLimit, Method);
    }

    static string? Missing(LoadTestVerdict first, ShownDrift drift, LoadTestPlan plan)
    {
        if (first.Method != LoadTestJudge.Method) return "It was judged by an earlier method.";
        if (plan.Requirements.FirstOrDefault(l => first.Requirements.All(r => r.Id != l.Id)) is { } unread) return $"{unread.Name} was not read.";
        var read = first.Requirements.Select(r => (r.Id, r.Name)).Concat(first.Expectations.Select(e => (e.Id, e.Name)));
        return read.FirstOrDefault(r => !drift.Moves.ContainsKey(r.Id)) is { Name: { } name } ? $"{name}: the reference does not show how far it has moved." : null;
    }

    static (RejudgedAs, string) Outcome(LoadTestVerdict first, IReadOnlyList<RejudgedReading> readings, ShownDrift drift, bool isUnusual)
    {
        if (readings.FirstOrDefault(r => r.Verdict == Verdict.Fail) is { } failed) return (RejudgedAs.Fails, $"{failed.Name} fails whatever the drift was.");
        var standing = readings.Where(r => !r.Corrected).ToList();
        if (standing.Find(r => drift.Moves[r.Id].Sigma > FarthestByChance(standing.Count)) is { } moved) return (RejudgedAs.CannotTell, $"{moved.Name} has moved on the reference, and is never corrected.");
        if (readings.FirstOrDefault(r => r.Verdict == Verdict.Undecided) is { } undecided) return (RejudgedAs.CannotTell, $"{undecided.Name} passes or not by what the drift was.");
        if (isUnusual) return (RejudgedAs.CannotTell, first.Verdict == RunVerdict.Pass ? "It may be unusual by what the drift was." : "It was unusual, and may be without the drift.");
        return (RejudgedAs.Passes, "It passes whatever the drift was.");
    }

    // Two-sided, all of them together (Šidák).
    static double FarthestByChance(int readings) => Normal.Quantile(1 - (1 - Math.Pow(1 - MovedByChance, 1.0 / readings)) / 2);

    static RejudgedReading Requirement(RequirementReading first, RequirementLimit limit, ShownMove move)
    {
        // What is never tried again is never talked round either: it stands as it was read, and what the reference leaves open is counted against it.
        double[] values = first.NeverAgain ? [first.Value] : [first.Value, first.Value - move.Moved, first.Value - InProportion(first.Value, move)];
        var u = first.NeverAgain ? Root(first.StandardUncertainty, move.StandardUncertainty, move.Moved)
            : Root(first.StandardUncertainty, move.StandardUncertainty * Math.Max(1, move.Known == 0 ? 1 : Math.Abs(first.Value / move.Known)));
        var judged = values.Select(v => Judging.Requirement.Judge(limit with { StandardUncertainty = 0 }, v, first.RawValue, u)).ToList();
        var verdict = judged.TrueForAll(r => r.Verdict == Verdict.Pass) ? Verdict.Pass : FailsOneEdge(judged) ? Verdict.Fail : Verdict.Undecided;
        return new(first.Id, first.Name, first.Unit, first.Value, values.Min(), values.Max(), u, first.Lower, first.Upper, !first.NeverAgain, verdict);
    }

    static bool FailsOneEdge(List<RequirementReading> corners) =>
        corners.TrueForAll(r => r.Verdict == Verdict.Fail) && (corners.TrueForAll(r => r.Value > r.Upper) || corners.TrueForAll(r => r.Value < r.Lower));

    static IEnumerable<IReadOnlyDictionary<string, double>> Corners(LoadTestVerdict first, ShownDrift drift)
    {
        yield return first.Expectations.ToDictionary(e => e.Id, e => e.Value, StringComparer.Ordinal);
        yield return first.Expectations.ToDictionary(e => e.Id, e => e.Value - drift.Moves[e.Id].Moved, StringComparer.Ordinal);
        yield return first.Expectations.ToDictionary(e => e.Id, e => e.Value - (HasGain(e.Unit) ? InProportion(e.Value, drift.Moves[e.Id]) : drift.Moves[e.Id].Moved), StringComparer.Ordinal);
    }

    // A gain moves a logarithm by as much whatever it is, and an angle not at all.
    static bool HasGain(string unit) => !unit.StartsWith("ln", StringComparison.Ordinal) && !unit.StartsWith('°');

    static double InProportion(double value, ShownMove move) => move.Known == 0 ? move.Moved : move.Moved * value / move.Known;

    static double Root(params ReadOnlySpan<double> parts)
    {
        var sum = 0.0;
        foreach (var part in parts) sum += part * part;
        return Math.Sqrt(sum);
    }
}
