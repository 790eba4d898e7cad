using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;
using Roadproof.Records.Orders;

namespace Roadproof.Records.Rework;

/// <summary>Takes a part out of a stopped unit and puts another in, which passes the interlocks of the first assembly.</summary>
public static class SwapPart
{
    const string Office = "office";

    /// <exception cref="InputException">The swap cannot be understood.</exception>
    public static Outcome<PartSwapAnswer> Decide(LedgerTransaction t, PartSwap swap, PlantContext plant)
    {
        ActCheck.Require(swap.Key, swap.Unit, "unit", swap.Reason);
        if (swap.Out is null) throw new InputException(new InputError("act", 0, "out", "nothing", "the part that came out"));
        if (Repeats.Find(t, swap.Key, Office, swap) is { } earlier)
            return earlier.Same ? Answer(t, earlier.Record, plant, [], repeat: true) : ActCheck.OtherContent(swap.Key);
        if (UnitRow.Find(t.Connection, t.Transaction, swap.Unit) is not { } unit)
            return new Refusal($"Unit {swap.Unit} is not known.", "Scan the code again.", "a unit that has started", swap.Unit);

        var (steps, route) = PersonOnUnit.Way(t, unit, plant);
        var (order, revision) = OrderBook.Built(t.Connection, t.Transaction, unit, route);
        Require(swap, revision);
        if (AtBench.Not(t, unit) is { } no) return no;
        if (unit.Repairs >= revision.Product.RepairsAtMost) return ReleaseUnit.NoMoreRepairs(unit, revision.Product);
        if (Inside(t, swap, unit) is not { } inside) return NotInside(swap, unit, revision);
        if (revision.StepOf(inside.Step) is not { } step) throw new InvalidOperationException($"Bug in Roadproof: {inside.Step} put a part into {unit.Unit} and is no step of {revision.Id}.");
        if (revision.Parts.First(p => p.Id == swap.Out.Part).Shell)
            return new Refusal($"The {Wording.Lower(Name(revision, swap.Out.Part))} is the unit itself.", "Scrap the unit; take out what is still good.", "a part that went in", swap.Out.Part);

        var warnings = new List<string>();
        UsedPart? into = null;
        if (swap.In is { } given)
        {
            var s = AsAtAssembly(t, swap, given, unit, steps, revision, step, order);
            if (given.Serial is { } number && number == inside.Serial)
                return new Refusal($"{number} is the part that came out.", "Scan the new part; a part that stays in is not swapped.", "another part", number);
            if (PartInterlocks.OfScan(s).Concat(StationInterlocks.Qualified(s)).FirstOrDefault() is { } refused) return refused;
            warnings.AddRange(PartInterlocks.Warnings(s));
            into = PartInterlocks.Used(s)[^1];
        }

        var used = new UsedPart(swap.Out.Part, inside.Lot, inside.Serial, PartInterlocks.Quantity(step, swap.Out.Part), inside.BuiltUnit);
        var decided = new PartSwapDecision(unit.Unit, step.Id, step.Number, StationOf(revision, step), used, swap.Place, into,
            new($"{Name(revision, swap.Out.Part)} was changed: from {step.Name} on it is passed again", "rework"));
        var record = t.Append(new(swap.Key, RecordKinds.PartSwapped, unit.Unit, Office, swap.OccurredAt, swap.Person ?? "", RecordJson.Text(new PartSwapBody(swap, decided))));
        return Answer(t, record, plant, warnings, repeat: false);
    }

    static void Require(PartSwap swap, RouteRevision revision)
    {
        var errors = new List<InputError>();
        foreach (var (part, field) in new[] { (swap.Out, "out"), (swap.In, "in") })
        {
            if (part is not null && revision.Parts.All(p => p.Id != part.Part))
                errors.Add(new("act", 0, $"{field}.part", $"'{part.Part}'", $"a part of {revision.Product.Name}", NearestWord.Hint(part.Part ?? "", revision.Parts.Select(p => p.Id).ToList())));
        }

        if (string.IsNullOrWhiteSpace(swap.Out.Lot) && string.IsNullOrWhiteSpace(swap.Out.Serial)) errors.Add(new("act", 0, "out", "neither lot nor serial", "the number or the lot of the part that came out"));
        if (!PartPlaces.All.Contains(swap.Place)) errors.Add(new("act", 0, "place", $"'{swap.Place}'", "scrap, stock or hold"));
        if (errors.Count > 0) throw new InputException(errors);
    }

    static InsidePart? Inside(LedgerTransaction t, PartSwap swap, UnitRow unit) => t.Connection.Rows(
        """
        select step, lot, serial, built_unit from part_use where unit = @Unit and part = @Part and replaced is null and via is null
          and (@Lot is null or lot = @Lot) and (@Serial is null or serial = @Serial or built_unit = @Serial) order by step_number desc limit 1
        """,
        new { unit.Unit, swap.Out.Part, swap.Out.Lot, swap.Out.Serial }, t.Transaction, row => new InsidePart(row.GetString(0), row.Text(1), row.Text(2), row.Text(3))).FirstOrDefault();

    static Refusal NotInside(PartSwap swap, UnitRow unit, RouteRevision revision)
    {
        var code = swap.Out.Serial ?? swap.Out.Lot!;
        return new($"{Name(revision, swap.Out.Part)} {code} is not in {unit.Unit}.", "Scan what came out once more; what the records say is in it stands on its page.", $"a part of {unit.Unit}", code);
    }

    // The new part is asked as if it were scanned where it first went in: the same step, one of its stations, the same words.
    static Situation AsAtAssembly(LedgerTransaction t, PartSwap swap, MessagePart given, UnitRow unit, IReadOnlyList<StepRow> steps, RouteRevision revision, RouteStep step, OrderRow? order)
    {
        var said = new StationMessage { Key = swap.Key, Kind = "request", Stage = "scan", Item = unit.Unit, Step = step.Id, OccurredAt = swap.OccurredAt, Person = swap.Person, Parts = [given] };
        var place = revision.Line.Stations.FirstOrDefault(s => s.Step == step.Id) ?? new() { Id = Office, Name = Office, Step = step.Id };
        return new(t.Connection, t.Transaction, place, said, revision, step, unit, steps, null, [], null, order) { Swaps = true };
    }

    static string StationOf(RouteRevision revision, RouteStep step) => revision.Line.Stations.FirstOrDefault(s => s.Step == step.Id)?.Id ?? Office;

    static string Name(RouteRevision revision, string part) => revision.Parts.FirstOrDefault(p => p.Id == part)?.Name ?? part;

    static PartSwapAnswer Answer(LedgerTransaction t, LedgerRecord record, PlantContext plant, IReadOnlyList<string> warnings, bool repeat)
    {
        var d = RecordJson.Read<PartSwapBody>(record.Body).Decided;
        var unit = UnitRow.Find(t.Connection, t.Transaction, d.Unit)!;
        var (steps, revision) = PersonOnUnit.Way(t, unit, plant);
        return new(record.Sequence, d.Unit, d.Out.Part, d.Place, d.Step, ReleaseUnit.Again(revision, steps, revision.StepOf(d.Step)!), warnings, repeat);
    }

    sealed record InsidePart(string Step, string? Lot, string? Serial, string? BuiltUnit);
}
