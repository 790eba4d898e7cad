using System.Globalization;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Rigs;

/// <summary>What a person asks for the units that a rig may have judged wrong.</summary>
/// <param name="Act"><c>retest</c>: run them again. <c>keep</c>: the rig has shown that it was right all along, their verdicts stand.</param>
public sealed record RigAct(string Act, string Rig, string Key, string Reason, DateTimeOffset OccurredAt, string? Person = null);

/// <summary>What became of them.</summary>
/// <param name="NotReleased">Units that need a decision of their own, each with the reason.</param>
public sealed record RigActAnswer(string Rig, IReadOnlyList<string> Released, IReadOnlyList<string> NotReleased);

/// <summary>Sends the units that a rig's hold has stopped to their load test again, or lets their verdicts stand.</summary>
public static class DecideOnRigsUnits
{
    /// <exception cref="InputException">The act names no rig, key or reason.</exception>
    public static Outcome<RigActAnswer> Decide(LedgerTransaction t, RigAct act, PlantContext plant)
    {
        ActCheck.Require(act.Key, act.Rig, "rig", act.Reason);
        if (plant.At(act.Rig) is not { } revision || revision.StepOf(revision.StationOf(act.Rig)!.Step) is not { Kind: StepKind.LoadTest } step)
            return new Refusal($"{act.Rig} is no rig.", "Name a rig of this plant.", "a rig", act.Rig);
        var units = t.Connection.Rows(
            "select distinct unit from hold where cause = @cause and released_at is null order by unit", new { cause = TakeReferenceRun.Cause(act.Rig) }, t.Transaction, row => row.GetString(0));
        // A form that is sent again finds its own records.
        var earlier = t.Find(UnitKey(act.Key, 1)) is not null;
        if (units.Count == 0 && !earlier) return new Refusal($"No unit is on hold because of {act.Rig}.", "Nothing needs to be done.", "a unit on hold for the rig", "none");

        var (released, left) = (new List<string>(), new List<string>());
        if (earlier) return new RigActAnswer(act.Rig, [], []);
        foreach (var (unit, number) in units.Select((u, i) => (u, i + 1)))
        {
            var backTo = act.Act == "retest" ? step.Id : null;
            var outcome = ReleaseUnit.Decide(t, new("release", unit, UnitKey(act.Key, number), act.Reason, act.OccurredAt, act.Person, backTo), plant);
            if (outcome.Done is not null) released.Add(unit);
            else left.Add($"{unit}: {outcome.Refused!.Reason}");
        }

        return released.Count > 0 ? new RigActAnswer(act.Rig, released, left) : new Refusal(left[0], "Decide on each unit by itself.", "units that may be released", "none");
    }

    static string UnitKey(string key, int number) => string.Create(CultureInfo.InvariantCulture, $"{key}-{number}");
}
