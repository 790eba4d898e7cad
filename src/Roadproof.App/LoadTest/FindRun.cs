using Roadproof.App.Frame;
using Roadproof.App.Line;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.LoadTest;

/// <summary>One run of a load test, of a unit of the line or of a reference unit.</summary>
/// <param name="Revision">The route revision that the unit is built by; of a reference the one whose rigs it is for.</param>
public sealed record FoundRun(string Unit, RouteRevision Revision, UnitLoadTest Run);

/// <summary>Finds a run by its unit and its attempt.</summary>
public static class FindRun
{
    /// <param name="attempt">Of a reference unit, which has no attempts, the run's place in the ledger.</param>
    public static Outcome<FoundRun> Of(string code, int attempt, OpenLine line)
    {
        if (AskLine.Unit(code, line) is not { } view) return OfReference(code, attempt, line) ?? new Refusal($"No unit {code} on this line.", "Scan the code again, or search for a piece of it.");
        if (view.LoadTests.LastOrDefault(t => t.Attempt == attempt) is { } run) return new FoundRun(view.Unit, line.Plant.RevisionOf(view.Revision), run);
        return new Refusal(Invariant($"Unit {view.Unit} has no load test of attempt {attempt}."), view.LoadTests.Count == 0 ? "It has not been run yet." : Invariant($"Its attempts: {string.Join(", ", view.LoadTests.Select(t => t.Attempt))}."));
    }

    static Outcome<FoundRun>? OfReference(string code, int sequence, OpenLine line)
    {
        foreach (var revision in line.Standing)
        {
            if (revision.Product.References?.OfCode(code) is not { } reference) continue;
            if (line.Ask(c => ReferenceRuns.Find(c, reference, sequence)) is { } run) return new FoundRun(reference.Code, revision, run);
            return new Refusal(Invariant($"Reference {code} has no run {sequence}."), "The page of the rigs lists its runs.");
        }

        return null;
    }
}
