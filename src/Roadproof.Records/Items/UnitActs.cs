using System.Globalization;
using Dapper;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Ledger;
using Roadproof.Records.Lots;
using Roadproof.Records.Messages;
using Roadproof.Records.Rework;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.Items;

/// <summary>What a person hears who holds, releases or scraps a unit.</summary>
/// <param name="State">The unit's state now; a release leaves it held where a lot in it is still on hold.</param>
/// <param name="Next">The step that comes next; null where nothing is left to do.</param>
/// <param name="StillHeldFor">Reasons that this act does not lift.</param>
public sealed record UnitActAnswer(long Sequence, string Unit, string State, string? Next, IReadOnlyList<string> StillHeldFor, bool Repeat);

/// <summary>Stops a unit by a person's word.</summary>
public static class HoldUnit
{
    /// <exception cref="InputException">The act names no unit, key or reason.</exception>
    public static Outcome<UnitActAnswer> Decide(LedgerTransaction t, UnitAct act, PlantContext plant) =>
        PersonOnUnit.Decide(t, act with { Act = "hold" }, RecordKinds.UnitHeld, unit =>
        {
            if (PersonOnUnit.Ended(unit) is { } ended) return ended;
            var (steps, revision) = PersonOnUnit.Way(t, unit, plant);
            return new UnitActDecision(unit.Unit, [], [], [], Route.ToNext(Route.Next(revision, steps)), unit.Good == 1);
        });
}

/// <summary>Lets a unit go on, or sends it back to a named step after repair.</summary>
/// <remarks>
/// What was undecided or unusual counts as done when a person lets it go on. What failed is done again. A test is tried again without repair as its step's rule says (<see cref="Retests"/>), never
/// where a safety function failed or cannot be decided (common practice, no source). A hold for a lot stays until the lot is released, or the unit goes back to where the lot's part comes out.
/// </remarks>
public static class ReleaseUnit
{
    /// <exception cref="InputException">The act names no unit, key or reason.</exception>
    public static Outcome<UnitActAnswer> Decide(LedgerTransaction t, UnitAct act, PlantContext plant) =>
        PersonOnUnit.Decide(t, act with { Act = "release" }, RecordKinds.UnitReleased, unit => Decision(t, act, plant, unit));

    static Outcome<UnitActDecision> Decision(LedgerTransaction t, UnitAct act, PlantContext plant, UnitRow unit)
    {
        if (unit.ScrappedAt is not null) return PersonOnUnit.Ended(unit)!;
        var (steps, revision) = PersonOnUnit.Way(t, unit, plant);
        var causes = t.Connection.Query<string>("select distinct cause from hold where unit = @Unit and released_at is null", new { unit.Unit }, t.Transaction).AsList();
        if (causes.Count == 0) return new Refusal($"Unit {unit.Unit} is not on hold.", "Nothing needs to be released.", "a unit on hold", unit.State);

        var backTo = act.BackTo is null ? null : revision.StepOf(act.BackTo);
        if (act.BackTo is not null && backTo is null)
            return new Refusal($"The route has no step {act.BackTo}.", "Name the step by its id.", string.Join(", ", revision.Steps.Select(s => s.Id)), act.BackTo);
        if (backTo is not null && steps.All(s => s.Step != backTo.Id))
            return new Refusal($"{backTo.Name} has not been done on {unit.Unit} yet.", "Send it back to a step that it has been through.", "a step it has been through", backTo.Name);

        var loadTest = revision.Steps.FirstOrDefault(s => s.Kind == StepKind.LoadTest);
        var lifted = causes.Where(cause => cause.Split(':') switch
        {
            ["lot", ..] => backTo is not null && ComesOut(t, unit, cause["lot:".Length..], backTo),
            ["rig", var rig] => backTo?.Number <= loadTest?.Number || WasRightAllAlong(t, plant, rig, act.OccurredAt),
            _ => true,
        }).ToList();
        if (lifted.Count == 0 && causes.Find(cause => cause.StartsWith("rig:", StringComparison.Ordinal)) is { } doubt)
            return new Refusal($"{unit.Unit} was judged by {doubt["rig:".Length..]}, which read its reference wrong.", $"Send it back to {loadTest?.Name}: any rig that may judge runs it again.", "another run", "a verdict in doubt");
        if (lifted.Count == 0)
        {
            var lots = string.Join(", ", causes.Select(cause => cause["lot:".Length..]));
            return new Refusal($"Unit {unit.Unit} is on hold because lot {lots} is.", "Release the lot, or send the unit back to the step where its part comes out.", "an open lot", $"{lots} on hold");
        }

        if (AtBench.SwappedAt(t.Connection, t.Transaction, unit.Unit, revision) is { } swapped && !(backTo?.Number <= swapped.Number))
            return new Refusal($"A part of {swapped.Name} was swapped in {unit.Unit}: everything from there on is passed again.", $"Send it back to {swapped.Name}, or to a step before.", swapped.Name, backTo?.Name ?? "on from where it was stopped");
        var retest = backTo is not null && backTo == loadTest && causes.Exists(cause => cause.StartsWith("rig:", StringComparison.Ordinal));
        if (!retest && Retests.Barred(t.Connection, t.Transaction, unit, steps, revision, backTo) is { } no) return no;
        var repair = !retest && backTo is not null && IsRepair(steps, backTo);
        if (repair && unit.Repairs >= revision.Product.RepairsAtMost) return NoMoreRepairs(unit, revision.Product);
        // Nothing was changed in a unit whose rig is in doubt: its label and mark stay what they are.
        var undone = backTo is null ? [] : retest ? [backTo.Id] : Again(revision, steps, backTo);
        var accepted = Accepted(t, unit, steps).Where(s => !undone.Contains(s.Step)).ToList();
        var after = steps.Select(s => accepted.Contains(new(s.Step, (int)s.Attempt)) ? s with { Stands = 1 } : s).ToList();
        return new UnitActDecision(unit.Unit, accepted, undone, lifted, Route.ToNext(Route.Next(revision, after, undone: undone)), LoadTestStep.Good(revision, after, undone: undone), Repair: repair, Found: AtBench.Finding(t, act, unit, steps), Retest: retest);
    }

    // The rig reads its reference right again and nobody has put it right meanwhile: what it judged was judged by a right rig.
    static bool WasRightAllAlong(LedgerTransaction t, PlantContext plant, string rig, DateTimeOffset at) =>
        RigBook.Standing(t.Connection, t.Transaction, plant, rig, at) is null or { MayJudge: true }
        && !t.Connection.Any("select 1 from calibration c where c.station = @rig and c.sequence > (select max(sequence) from rig_suspect where rig = @rig)", new { rig }, t.Transaction);

    /// <summary>What is passed again from a step on: it, and everything behind it that the unit has been through.</summary>
    internal static List<string> Again(RouteRevision revision, IReadOnlyList<StepRow> steps, RouteStep backTo) =>
        revision.Steps.SkipWhile(s => s.Id != backTo.Id).Select(s => s.Id).Where(id => steps.Any(s => s.Step == id)).ToList();

    // The last attempt at a step that was undecided or unusual. A run or a curve that could not be judged proves nothing and is recorded again.
    static List<StepAttempt> Accepted(LedgerTransaction t, UnitRow unit, IReadOnlyList<StepRow> steps) => steps
        .GroupBy(s => s.Step)
        .Select(g => g.Last())
        .Where(s => s is { Verdict: "hold", Stands: 0, SentBack: 0 } && !Retests.IsUnjudged(t.Connection, t.Transaction, unit.Unit, s))
        .Select(s => new StepAttempt(s.Step, (int)s.Attempt))
        .ToList();

    static bool ComesOut(LedgerTransaction t, UnitRow unit, string lot, RouteStep backTo) => !t.Connection.ExecuteScalar<bool>(
        $"{LotFamily.Touched} select exists (select 1 from part_use where unit = @Unit and lot in (select lot from touched) and replaced is null and step_number < @Number)",
        new { unit.Unit, Lot = lot, backTo.Number }, t.Transaction);

    // What is undone and lies behind the step that it goes back to: doing that one step again is no repair.
    internal static bool IsRepair(IReadOnlyList<StepRow> steps, RouteStep backTo) =>
        steps.GroupBy(s => s.Step).Select(g => g.Last()).Any(last => last.SentBack == 0 && last.Number > backTo.Number);

    internal static Refusal NoMoreRepairs(UnitRow unit, ProductDefinition product) => new(
        $"Unit {unit.Unit} has been repaired {Times(unit.Repairs)}: it is not repaired again.", "Scrap it; the repair bench takes out what is still good.",
        string.Create(CultureInfo.InvariantCulture, $"{product.RepairsAtMost} repairs at most"), "another repair");

    internal static string Times(long number) => number switch { 1 => "once", 2 => "twice", _ => string.Create(CultureInfo.InvariantCulture, $"{number} times") };
}

/// <summary>Ends a unit's way: it never comes back to the line.</summary>
public static class ScrapUnit
{
    /// <exception cref="InputException">The act names no unit, key or reason.</exception>
    public static Outcome<UnitActAnswer> Decide(LedgerTransaction t, UnitAct act, PlantContext plant) =>
        PersonOnUnit.Decide(t, act with { Act = "scrap" }, RecordKinds.UnitScrapped, unit =>
        {
            if (PersonOnUnit.Ended(unit) is { } ended) return ended;
            var (steps, revision) = PersonOnUnit.Way(t, unit, plant);
            var causes = t.Connection.Query<string>("select distinct cause from hold where unit = @Unit and released_at is null", new { unit.Unit }, t.Transaction).AsList();
            var open = MarkInterlocks.GiveUpUnused(t, act, unit.Unit);
            return new UnitActDecision(unit.Unit, [], [], causes, Route.ToNext(Route.Next(revision, steps)), unit.Good == 1, open, Found: AtBench.Finding(t, act, unit, steps));
        });
}

/// <summary>What every act of a person on a unit has in common: it says who and why, it counts once, it is kept.</summary>
static class PersonOnUnit
{
    const string Office = "office";

    public static Outcome<UnitActAnswer> Decide(LedgerTransaction t, UnitAct act, string kind, Func<UnitRow, Outcome<UnitActDecision>> decide)
    {
        ActCheck.Require(act.Key, act.Unit, "unit", act.Reason);
        if (Repeats.Find(t, act.Key, Office, act) is { } earlier)
            return earlier.Same ? Answer(t, earlier.Record, repeat: true) : ActCheck.OtherContent(act.Key);
        if (UnitRow.Find(t.Connection, t.Transaction, act.Unit) is not { } unit)
            return new Refusal($"Unit {act.Unit} is not known.", "Scan the code again.", "a unit that has started", act.Unit);

        var outcome = decide(unit);
        if (outcome.Done is not { } decided) return outcome.Refused!;
        var record = t.Append(new(act.Key, kind, unit.Unit, Office, act.OccurredAt, act.Person ?? "", RecordJson.Text(new UnitActBody(act, decided))));
        return Answer(t, record, repeat: false);
    }

    public static Refusal? Ended(UnitRow unit) => unit switch
    {
        { ScrappedAt: not null } => new($"Unit {unit.Unit} is scrapped.", "Nothing is left to decide on it.", "a unit of the line", "scrapped"),
        { ShippedAt: not null } => new($"Unit {unit.Unit} is shipped.", "Tell the customer; the line cannot stop it any more.", "a unit of the line", "shipped"),
        _ => null,
    };

    public static (IReadOnlyList<StepRow> Steps, RouteRevision Revision) Way(LedgerTransaction t, UnitRow unit, PlantContext plant) =>
        (StepRow.Of(t.Connection, t.Transaction, unit.Unit), plant.RevisionOf(unit.Revision));

    static UnitActAnswer Answer(LedgerTransaction t, LedgerRecord record, bool repeat)
    {
        var decided = RecordJson.Read<UnitActBody>(record.Body).Decided;
        var unit = UnitRow.Find(t.Connection, t.Transaction, decided.Unit)!;
        return new(record.Sequence, unit.Unit, unit.State, decided.Next?.Step, unit.OpenHolds(t.Connection, t.Transaction), repeat);
    }
}

/// <summary>What a person's act must say, whatever it acts on.</summary>
static class ActCheck
{
    public static void Require(string key, string item, string itemName, string reason)
    {
        var errors = new List<InputError>();
        if (SenderKey.Wrong("act", key) is { } wrong) errors.Add(wrong);
        if (string.IsNullOrWhiteSpace(item)) errors.Add(new("act", 0, itemName, "nothing", $"the {itemName}'s code"));
        if (string.IsNullOrWhiteSpace(reason)) errors.Add(new("act", 0, "reason", "nothing", "a reason", "Say what was found, so that whoever decides next can check."));
        if (errors.Count > 0) throw new InputException(errors);
    }

    public static Refusal OtherContent(string key) =>
        new($"Key {key} was used before for something else; the first stands.", "Send this with a key of its own.", "a key never used before", key);
}
