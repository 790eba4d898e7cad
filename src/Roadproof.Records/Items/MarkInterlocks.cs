using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Ledger;
using Roadproof.Records.Marking;

namespace Roadproof.Records.Items;

/// <summary>What stands in the way of a mark: the number on the metal must be the one that was issued for this unit.</summary>
static class MarkInterlocks
{
    public static IEnumerable<Refusal> Broken(Situation s)
    {
        if (s.Step.Kind != StepKind.Mark || ReadBack(s) is not { } read) yield break;
        if (Issued(s) is not { } serial)
            yield return new($"No serial number has been issued for {s.UnitCode}.", $"Begin {s.Step.Name} at {s.Station}: the number comes with the answer.", "an issued serial number", read);
        else if (serial != read)
            yield return new($"The mark reads {read}, but {serial} was issued for {s.UnitCode}.", "Read it again; if it stands so on the metal, report the mark as spoiled.", serial, read);
    }

    public static IEnumerable<Refusal> Spoiled(Situation s)
    {
        var spoiled = s.Said.Readings.First(r => r.Id == MarkReadings.Spoiled).Text!;
        if (Issued(s) is not { } serial || serial != spoiled)
            yield return new($"{spoiled} is not the serial number issued for {s.UnitCode}.", "Name the number that went wrong on this unit.", Issued(s) ?? "an issued serial number", spoiled);
        if (string.IsNullOrWhiteSpace(s.Said.Remark))
            yield return new("A spoiled mark needs a reason.", "Say what happened in the remark: every number that is on no unit is explained.", "a remark", "none");
    }

    /// <summary>The number to mark: the one issued before, or the next one.</summary>
    public static string Issue(LedgerTransaction t, Situation s) =>
        SerialBook.Issue(t, s.UnitCode, s.Revision.Line.SerialPrefix, s.Station, s.Said.OccurredAt, s.Said.Person ?? "");

    /// <summary>Gives up the number of a spoiled mark. A report may name one that was never issued; then nothing is given up, and the unit is on hold for it.</summary>
    public static string GiveUp(LedgerTransaction t, Situation s)
    {
        var spoiled = s.Said.Readings.First(r => r.Id == MarkReadings.Spoiled).Text!;
        if (Issued(s) == spoiled) SerialBook.Void(t, spoiled, s.Said.Remark ?? "mark spoiled", s.Station, s.Said.OccurredAt, s.Said.Person ?? "");
        return spoiled;
    }

    /// <summary>Gives up the number of a unit that will never be marked.</summary>
    /// <returns>The number; null where none was open.</returns>
    public static string? GiveUpUnused(LedgerTransaction t, UnitAct act, string unit)
    {
        if (SerialBook.OfUnit(t.Connection, unit, t.Transaction) is not { State: "issued" } open) return null;
        SerialBook.Void(t, open.Serial, $"unit scrapped: {act.Reason}", "office", act.OccurredAt, act.Person ?? "");
        return open.Serial;
    }

    /// <summary>The number that the mark carries, where it is the one issued for this unit; else null.</summary>
    public static string? Marked(Situation s) => ReadBack(s) is { } read && read == Issued(s) ? read : null;

    static string? ReadBack(Situation s) => s.Said.Readings.FirstOrDefault(r => r.Id == MarkReadings.ReadBack)?.Text;

    static string? Issued(Situation s) => SerialBook.OfUnit(s.Connection, s.UnitCode, s.Transaction)?.Serial;
}
