using Roadproof.Engineering.Quantities;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Rework;

/// <summary>Decides on a part that came out of a unit and was put on hold: scrap, or back to stock.</summary>
/// <remarks>A part that the plant built itself is a unit with a page and acts of its own; it is released or scrapped as one.</remarks>
public static class PlacePart
{
    const string Office = "office";

    /// <exception cref="InputException">The decision cannot be understood.</exception>
    public static Outcome<PartPlacingAnswer> Decide(LedgerTransaction t, PartPlacing said)
    {
        ActCheck.Require(said.Key, said.Unit, "unit", said.Reason);
        if (said.Part is null) throw new InputException(new InputError("act", 0, "part", "nothing", "the part that came out"));
        if (said.Place is not (PartPlaces.Scrap or PartPlaces.Stock)) throw new InputException(new InputError("act", 0, "place", $"'{said.Place}'", "scrap or stock"));
        if (Repeats.Find(t, said.Key, Office, said) is { } earlier)
            return earlier.Same ? Answer(earlier.Record, repeat: true) : ActCheck.OtherContent(said.Key);

        var unit = UnitRow.Find(t.Connection, t.Transaction, said.Unit)?.Unit ?? said.Unit;
        var held = t.Connection.Rows(
            """
            select sequence, lot, quantity from part_out
            where unit = @unit and part = @Part and place = 'hold' and built_unit is null and (@Lot is null or lot = @Lot) and (@Serial is null or serial = @Serial) order by sequence limit 1
            """,
            new { unit, said.Part.Part, said.Part.Lot, said.Part.Serial }, t.Transaction, row => new PartPlacingDecision(row.GetInt64(0), row.Text(1), row.GetInt32(2))).FirstOrDefault();
        if (held is null)
            return new Refusal($"No {said.Part.Part} {said.Part.Serial ?? said.Part.Lot} out of {said.Unit} is on hold.", "Look at the list again; someone else may have decided.", "a part on hold", "none");

        var record = t.Append(new(said.Key, RecordKinds.PartPlaced, unit, Office, said.OccurredAt, said.Person ?? "", RecordJson.Text(new PartPlacingBody(said, held))));
        return Answer(record, repeat: false);
    }

    static PartPlacingAnswer Answer(LedgerRecord record, bool repeat)
    {
        var said = RecordJson.Read<PartPlacingBody>(record.Body).Said;
        return new(record.Sequence, record.Item, said.Part.Part, said.Place, repeat);
    }
}
