using System.Globalization;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Lots;
using Roadproof.Records.Messages;
using Roadproof.Records.Orders;

namespace Roadproof.Records.Items;

/// <summary>What stands in the way of the parts that a step puts in.</summary>
static class PartInterlocks
{
    public static IEnumerable<Refusal> Broken(Situation s) => Broken(s, Given(s), whole: true);

    /// <summary>The same of parts as they are scanned one by one: what is still to come is not missing.</summary>
    public static IEnumerable<Refusal> OfScan(Situation s) => Broken(s, s.Said.Parts, whole: false);

    static IEnumerable<Refusal> Broken(Situation s, IReadOnlyList<MessagePart> given, bool whole)
    {
        foreach (var twice in given.GroupBy(p => p.Part).Where(g => g.Count() > 1))
            yield return new($"{Name(s, twice.Key)} was scanned twice.", "Scan each part once.", "one", "two");

        var missing = s.Step.Parts.Where(p => given.All(g => g.Part != p.Part)).Select(p => Definition(s, p.Part)).ToList();
        foreach (var part in given.Where(g => s.Step.Parts.All(p => p.Part != g.Part)).Select(g => Definition(s, g.Part)))
        {
            if ((missing.Find(m => OfOtherVariant(s, m, part)) ?? missing.Find(m => m.Variant.Length > 0 && part.Variant.Length > 0)) is { } wanted)
            {
                missing.Remove(wanted);
                yield return WrongVariant(s, wanted, part);
            }
            else
            {
                yield return new($"{part.Name} does not belong to {s.Step.Name}.", "Put it back and scan what the step asks for.", Wanted(s), part.Name);
            }
        }

        foreach (var part in whole ? missing : []) yield return new($"{part.Name} is missing.", $"Scan the {Lower(part.Name)}.", part.Name, "not scanned");

        foreach (var part in given.Where(g => s.Step.Parts.Any(p => p.Part == g.Part)))
        {
            var definition = Definition(s, part.Part);
            foreach (var refusal in OfLot(s, definition, part).Concat(OpenLots.Broken(s, definition, part)).Concat(OfSerial(s, definition, part))) yield return refusal;
        }
    }

    /// <summary>The parts as scanned; the shell is known by the unit's own code and need not be scanned again.</summary>
    public static IReadOnlyList<MessagePart> Given(Situation s)
    {
        var shell = s.Step.Parts.Select(p => Definition(s, p.Part)).FirstOrDefault(p => p.Shell);
        return shell is null || s.Said.Parts.Any(p => p.Part == shell.Id) ? s.Said.Parts : [new(shell.Id, Serial: s.UnitCode), .. s.Said.Parts];
    }

    /// <summary>The parts as they go in; of one that the plant built itself, which unit it is.</summary>
    public static IReadOnlyList<UsedPart> Used(Situation s) =>
        [.. Given(s).Select(p => new UsedPart(p.Part, p.Lot, p.Serial, Quantity(s.Step, p.Part), Built(s, Definition(s, p.Part), p.Serial)))];

    static string? Built(Situation s, PartDefinition part, string? serial) =>
        part.Product is null || serial is null || UnitRow.Find(s.Connection, s.Transaction, serial) is not { } built || built.Product != part.Product ? null : built.Unit;

    static IEnumerable<Refusal> OfLot(Situation s, PartDefinition part, MessagePart given)
    {
        if (given.Lot is not { } code)
        {
            // What the plant built itself is known by its own code; its record has the lots.
            if (part is { Shell: false, Product: null }) yield return new($"The lot of the {Lower(part.Name)} is missing.", "Scan the lot label.", "a lot", "no lot");
            yield break;
        }

        var lot = s.Connection.Rows(
            "select part, state, reason, expires_at from lot where lot = @code", new { code }, s.Transaction, row => new LotRow(row.GetString(0), row.GetString(1), row.Text(2), row.Text(3))).FirstOrDefault();
        if (lot is null)
        {
            yield return LotBook.Unknown(code);
            yield break;
        }

        if (lot.Part != part.Id)
        {
            var other = s.Revision.Parts.FirstOrDefault(p => p.Id == lot.Part);
            yield return other is not null && (OfOtherVariant(s, part, other) || (other.Variant.Length > 0 && part.Variant.Length > 0))
                ? WrongVariant(s, part, other)
                : new($"Lot {code} is {other?.Name ?? lot.Part}, not {part.Name}.", $"Put it back and scan a lot of {Lower(part.Name)}.", part.Name, other?.Name ?? lot.Part);
        }

        if (lot.State == "held")
            yield return new($"Lot {code} is on hold: {lot.Reason}.", "Put it aside and take another lot.", "an open lot", $"{code} on hold");
        else if (LotFamily.HeldSources(s.Connection, s.Transaction, code) is [var source, ..])
            yield return new($"Lot {code} is on hold because {source.Lot}, which went into it, is: {source.Reason}.", "Put it aside and take another lot.", "an open lot", $"{code} on hold");
        if (lot.ExpiresAt is { } expiry && Utc.Text(s.Said.OccurredAt).CompareTo(expiry, StringComparison.Ordinal) > 0)
            yield return new($"Lot {code} expired on {expiry[..10]}.", "Put it aside and take a lot that has not expired.", "a lot within its shelf life", $"expired {expiry[..10]}");
    }

    static IEnumerable<Refusal> OfSerial(Situation s, PartDefinition part, MessagePart given)
    {
        if (!part.Serialised) yield break;
        if (given.Serial is not { } serial)
        {
            yield return new($"The number of the {Lower(part.Name)} is missing.", "Scan the code on the part itself.", "the part's number", "lot only");
            yield break;
        }

        if (part.Shell && serial != s.UnitCode)
            yield return new($"Shell {serial} is not the unit {s.UnitCode}.", "Scan the shell that lies in the fixture.", s.UnitCode, serial);

        foreach (var refusal in OfBuilt(s, part, serial)) yield return refusal;
        if (part.Product is null && TakenOut(s, part, serial) is { } gone) yield return gone;

        var elsewhere = s.Connection.Rows(
            """
            select unit from part_use where unit <> @UnitCode and replaced is null and via is null and (built_unit = @built or (serial = @serial and part = @Part)) limit 1
            """,
            new { serial, given.Part, s.UnitCode, built = Built(s, part, serial) }, s.Transaction, row => row.GetString(0)).FirstOrDefault();
        if (elsewhere is not null)
            yield return new($"{part.Name} {serial} is already in unit {elsewhere}.", $"Scan the part again; if the code is right, put both aside and tell the shift lead.", "a part not used yet", $"in {elsewhere}");
    }

    // What a repair took out goes in again only where it was put back to stock.
    static Refusal? TakenOut(Situation s, PartDefinition part, string serial) => s.Connection.Rows(
        "select place, unit, reason from part_out where serial = @serial and part = @Id order by sequence desc limit 1", new { serial, part.Id }, s.Transaction,
        row => (Place: row.GetString(0), Unit: row.GetString(1), Reason: row.GetString(2))).FirstOrDefault() switch
    {
        { Place: "scrap" } was => new($"{part.Name} {serial} was scrapped when it came out of {was.Unit}: {was.Reason.TrimEnd('.')}.", "Put it aside and take another.", $"a good {Lower(part.Name)}", "scrapped"),
        { Place: "hold" } was => new($"{part.Name} {serial} is on hold since it came out of {was.Unit}: {was.Reason.TrimEnd('.')}.", "Put it aside and take another; a person decides on it at the rework station.", $"a {Lower(part.Name)} free to use", "on hold"),
        _ => null,
    };

    /// <summary>A part that the plant built itself must be through its own route, and free to move.</summary>
    static IEnumerable<Refusal> OfBuilt(Situation s, PartDefinition part, string code)
    {
        if (part.Product is not { } product) yield break;
        var name = Lower(part.Name);
        if (UnitRow.Find(s.Connection, s.Transaction, code) is not { } built)
            yield return new($"{part.Name} {code} is not known.", $"Scan the code on the {name} again; it is known once its first step is done.", $"a {name} that was built here", code);
        else if (built.Product != product)
            yield return new($"{code} is no {name}.", $"Put it back and scan a {name}.", product, built.Product);
        else if (built.State == "scrapped")
            yield return new($"{part.Name} {code} is scrapped.", "Put it aside and take another.", $"a good {name}", "scrapped");
        else if (built.OpenHolds(s.Connection, s.Transaction) is { Count: > 0 } holds)
            yield return new($"{part.Name} {code} is on hold. {string.Join("; ", holds.Select(h => h.TrimEnd('.')))}.", "Put it aside and take another.", $"a {name} free to move", "on hold");
        else if (built.ShippedAt is not null)
            yield return new($"{part.Name} {code} is already packed and shipped.", "Scan the code again.", $"a {name} of this plant", "shipped");
        else if (built.NextStep is { } next)
            yield return new($"{part.Name} {code} is not finished: {next} comes next.", "Take it back to its own line and take a finished one.", $"a finished {name}", next);
    }

    /// <summary>What was accepted and still wants a look: more of a lot used than was received.</summary>
    public static IEnumerable<string> Warnings(Situation s)
    {
        foreach (var part in Given(s))
        {
            if (part.Lot is not { } code) continue;
            foreach (var quantity in s.Connection.Rows(
                "select quantity from lot where lot = @code and used + @taken > quantity", new { code, taken = Quantity(s.Step, part.Part) }, s.Transaction, row => row.GetInt64(0)))
                yield return $"Lot {code} was received with {quantity.ToString(CultureInfo.InvariantCulture)} and is used up: count what is left.";
            foreach (var warning in OpenLots.Warnings(s, Definition(s, part.Part), code)) yield return warning;
        }
    }

    /// <summary>How many pieces a step takes of a part: one, or as many screws as its group has (part <c>cover-screw</c>, group <c>cover</c>).</summary>
    public static int Quantity(RouteStep step, string part) => step.Screws.FirstOrDefault(g => part == g.PartId())?.Count ?? 1;

    // Another variant of the product takes it in the same place.
    static bool OfOtherVariant(Situation s, PartDefinition wanted, PartDefinition found) =>
        s.Order is not null && s.Step.Parts.Any(p => p.OfVariant && p.Part == wanted.Id) && s.Revision.SamePlace(wanted.Id, found.Id);

    static Refusal WrongVariant(Situation s, PartDefinition wanted, PartDefinition found) => OfOtherVariant(s, wanted, found)
        ? new($"Order {s.Order!.Said(s.Revision)} takes {PartSaid.Of(wanted)}; {PartSaid.Of(found)} was scanned.", "Put it back and take the right one; check what else lies in the tray.", PartSaid.Of(wanted), PartSaid.Of(found))
        : new($"Wrong {Lower(wanted.Name)}: {wanted.Variant} needed, {found.Variant} found.", "Put it back and take the right one; check what else lies in the tray.", wanted.Variant, found.Variant);

    static string Wanted(Situation s) => s.Step.Parts.Count == 0 ? "no part" : string.Join(", ", s.Step.Parts.Select(p => Name(s, p.Part)));

    static string Name(Situation s, string part) => Definition(s, part).Name;

    static PartDefinition Definition(Situation s, string part) => s.Revision.Parts.FirstOrDefault(p => p.Id == part)
        ?? throw new InvalidOperationException($"Bug in Roadproof: part {part} of step {s.Step.Id} is not in revision {s.Revision.Id}.");

    static string Lower(string name) => Wording.Lower(name);

    sealed record LotRow(string Part, string State, string? Reason, string? ExpiresAt);
}
