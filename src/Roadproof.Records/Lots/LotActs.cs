using System.Globalization;
using Dapper;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Lots;

/// <summary>A lot as it comes in.</summary>
public sealed record LotReceipt(string Key, string Lot, string Part, int Quantity, DateTimeOffset? ExpiresAt, DateTimeOffset OccurredAt, string? Person = null);

/// <summary>What a person asks for a lot: hold or release.</summary>
public sealed record LotAct(string Act, string Lot, string Key, string Reason, DateTimeOffset OccurredAt, string? Person = null);

/// <summary>What a person hears about a lot.</summary>
/// <param name="UnitsHeld">Units that a hold stopped.</param>
/// <param name="UnitsReleased">Units that a release let go on; those on hold for another reason stay.</param>
/// <param name="State">open or held; a lot stays held where another lot that went into it is.</param>
/// <param name="UnitsShipped">Units with this lot that have left: tell their customers.</param>
/// <param name="LotsTouched">Lots that have some of it, split off or poured together: the act reaches them and their units.</param>
public sealed record LotActAnswer(
    long Sequence, string Lot, string State, IReadOnlyList<string> UnitsHeld, IReadOnlyList<string> UnitsReleased, IReadOnlyList<ShippedUnit> UnitsShipped, bool Repeat,
    IReadOnlyList<string> LotsTouched);

/// <summary>A unit that has left, and where it went.</summary>
public sealed record ShippedUnit(string Unit, string? Serial, string? Customer, string? Box);

/// <summary>Body of a lot's receipt.</summary>
public sealed record LotReceivedBody(LotReceipt Said);

/// <summary>Body of a lot's hold or release.</summary>
public sealed record LotActBody(LotAct Said, LotActDecision Decided);

/// <summary>What a lot's hold or release came to.</summary>
/// <param name="Touched">Lots that have some of it; records from before lots were split have none.</param>
/// <param name="HeldThrough">On release: lots that went into it and are still on hold.</param>
public sealed record LotActDecision(
    string Lot, IReadOnlyList<string> Units, IReadOnlyList<ShippedUnit> Shipped, IReadOnlyList<string>? Touched = null, IReadOnlyList<string>? HeldThrough = null);

/// <summary>Takes a lot into the plant.</summary>
public static class ReceiveLot
{
    /// <exception cref="InputException">The receipt cannot be understood.</exception>
    public static Outcome<LotActAnswer> Decide(LedgerTransaction t, LotReceipt said, PlantContext plant)
    {
        Require(said, plant.Parts);
        if (Repeats.Find(t, said.Key, LotBook.Office, said) is { } earlier)
            return earlier.Same ? Answer(earlier.Record.Sequence, said, repeat: true) : ActCheck.OtherContent(said.Key);
        if (LotBook.State(t, said.Lot) is not null)
            return new Refusal($"Lot {said.Lot} was received before.", "Scan the label again; a new delivery of the same lot needs a lot code of its own.", "a new lot code", said.Lot);

        var record = t.Append(new(said.Key, RecordKinds.LotReceived, said.Lot, LotBook.Office, said.OccurredAt, said.Person ?? "", RecordJson.Text(new LotReceivedBody(said))));
        return Answer(record.Sequence, said, repeat: false);
    }

    static LotActAnswer Answer(long sequence, LotReceipt said, bool repeat) => new(sequence, said.Lot, "open", [], [], [], repeat, []);

    static void Require(LotReceipt said, IReadOnlyList<PartDefinition> parts)
    {
        var errors = new List<InputError>();
        if (SenderKey.Wrong("lot", said.Key) is { } wrong) errors.Add(wrong);
        if (LotBook.WrongCode("lot", 0, "lot", said.Lot) is { } code) errors.Add(code);
        if (LotBook.WrongPart("lot", 0, said.Part, parts) is { } part) errors.Add(part);
        if (said.Quantity < 1) errors.Add(new("lot", 0, "quantity", said.Quantity.ToString(CultureInfo.InvariantCulture), "1 or more pieces"));
        if (errors.Count > 0) throw new InputException(errors);
    }
}

/// <summary>Stops a lot and every unit that contains it and has not left.</summary>
public static class HoldLot
{
    /// <exception cref="InputException">The act names no lot, key or reason.</exception>
    public static Outcome<LotActAnswer> Decide(LedgerTransaction t, LotAct act) => LotBook.Decide(t, act with { Act = "hold" }, RecordKinds.LotHeld, state =>
    {
        if (state == "held") return new Refusal($"Lot {act.Lot} is already on hold.", "Nothing needs to be done; its units are on hold.", "an open lot", "on hold");
        var units = t.Connection.Query<string>(
            $"""
            {LotFamily.Touched}
            select distinct p.unit from part_use p join unit u on u.unit = p.unit
            where p.lot in (select lot from touched) and p.replaced is null and u.shipped_at is null and u.scrapped_at is null order by p.unit
            """,
            new { act.Lot }, t.Transaction).AsList();
        return new LotActDecision(act.Lot, units, LotBook.Shipped(t, act.Lot), LotFamily.MadeOf(t.Connection, t.Transaction, act.Lot));
    });
}

/// <summary>Lets a lot go on, and the units that were held for nothing else.</summary>
public static class ReleaseLot
{
    /// <exception cref="InputException">The act names no lot, key or reason.</exception>
    public static Outcome<LotActAnswer> Decide(LedgerTransaction t, LotAct act) => LotBook.Decide(t, act with { Act = "release" }, RecordKinds.LotReleased, state =>
    {
        var through = LotFamily.HeldSources(t.Connection, t.Transaction, act.Lot).Select(s => s.Lot).ToList();
        if (state != "held" && through.Count > 0)
        {
            var sources = string.Join(", ", through);
            return new Refusal($"Lot {act.Lot} is on hold because {sources} is.", $"Release {sources}; what is sorted out as bad is split off and held first.", "a lot held by itself", $"held through {sources}");
        }

        if (state != "held") return new Refusal($"Lot {act.Lot} is not on hold.", "Nothing needs to be released.", "a lot on hold", "open");
        var units = t.Connection.Query<string>(
            """
            select unit from hold where cause = @cause and released_at is null
              and not exists (select 1 from hold o where o.unit = hold.unit and o.released_at is null and o.cause <> @cause)
            order by unit
            """,
            new { cause = $"lot:{act.Lot}" }, t.Transaction).AsList();
        return new LotActDecision(act.Lot, units, LotBook.Shipped(t, act.Lot), LotFamily.MadeOf(t.Connection, t.Transaction, act.Lot), through);
    });
}

/// <summary>What the acts on a lot have in common.</summary>
static class LotBook
{
    public const string Office = "office";

    public static Outcome<LotActAnswer> Decide(LedgerTransaction t, LotAct act, string kind, Func<string, Outcome<LotActDecision>> decide)
    {
        ActCheck.Require(act.Key, act.Lot, "lot", act.Reason);
        if (Repeats.Find(t, act.Key, Office, act) is { } earlier)
            return earlier.Same ? Answer(earlier.Record, repeat: true) : ActCheck.OtherContent(act.Key);
        if (State(t, act.Lot) is not { } state) return Unknown(act.Lot);

        var outcome = decide(state);
        if (outcome.Done is not { } decided) return outcome.Refused!;
        return Answer(t.Append(new(act.Key, kind, act.Lot, Office, act.OccurredAt, act.Person ?? "", RecordJson.Text(new LotActBody(act, decided)))), repeat: false);
    }

    public static Refusal Unknown(string lot) => new($"Lot {lot} is not known.", "Scan the lot label again, or receive the lot first.", "a lot that was received", lot);

    /// <returns>What is wrong with a lot's code; null where nothing is.</returns>
    public static InputError? WrongCode(string source, int line, string column, string? code) => code switch
    {
        _ when string.IsNullOrWhiteSpace(code) => new(source, line, column, "nothing", "the code on the lot label"),
        { Length: > SenderKey.Longest } => new(source, line, column, $"{code.Length.ToString(CultureInfo.InvariantCulture)} characters", $"at most {SenderKey.Longest.ToString(CultureInfo.InvariantCulture)} characters"),
        // A part's own number and its lot are scanned as one, with one of these between.
        _ when code.Any(char.IsControl) || code.AsSpan().IndexOfAny(" ;|") >= 0 => new(source, line, column, $"'{code}'", "a code without spaces, semicolons or bars"),
        _ => null,
    };

    public static InputError? WrongPart(string source, int line, string part, IReadOnlyList<PartDefinition> parts) =>
        parts.Any(p => p.Id == part) ? null : new(source, line, "part", $"'{part}'", "a part of this plant", NearestWord.Hint(part, parts.Select(p => p.Id).ToList()));

    public static string? State(LedgerTransaction t, string lot) =>
        t.Connection.QueryFirstOrDefault<string>("select state from lot where lot = @lot", new { lot }, t.Transaction);

    public static IReadOnlyList<ShippedUnit> Shipped(LedgerTransaction t, string lot) => t.Connection.Query<ShippedUnit>(
        $"""
        {LotFamily.Touched}
        select distinct u.unit Unit, u.serial Serial, u.customer Customer, u.box Box from part_use p join unit u on u.unit = p.unit
        where p.lot in (select lot from touched) and p.replaced is null and u.shipped_at is not null order by u.unit
        """,
        new { Lot = lot }, t.Transaction).AsList();

    static LotActAnswer Answer(LedgerRecord record, bool repeat)
    {
        var (said, d) = RecordJson.Read<LotActBody>(record.Body);
        var held = said.Act == "hold";
        return new(record.Sequence, d.Lot, held || d.HeldThrough is { Count: > 0 } ? "held" : "open", held ? d.Units : [], held ? [] : d.Units, d.Shipped, repeat, d.Touched ?? []);
    }
}
