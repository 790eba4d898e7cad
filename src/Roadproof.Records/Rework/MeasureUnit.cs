using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Rework;

/// <summary>Keeps what a repairer measured on a stopped unit. It judges nothing: the steps that are passed again do.</summary>
public static class MeasureUnit
{
    const string Office = "office";

    /// <exception cref="InputException">The measurement cannot be understood.</exception>
    public static Outcome<UnitMeasurementAnswer> Decide(LedgerTransaction t, UnitMeasurement said, PlantContext plant)
    {
        if (SenderKey.Wrong("act", said.Key) is { } wrong) throw new InputException(wrong);
        if (Repeats.Find(t, said.Key, Office, said) is { } earlier)
            return earlier.Same ? Answer(earlier.Record, repeat: true) : ActCheck.OtherContent(said.Key);
        if (UnitRow.Find(t.Connection, t.Transaction, said.Unit) is not { } unit)
            return new Refusal($"Unit {said.Unit} is not known.", "Scan the code again.", "a unit that has started", said.Unit);

        var reading = Require(said, plant.RevisionOf(unit.Revision), BenchReadings.Of(t.Connection, t.Transaction, plant, unit.Unit, plant.RevisionOf(unit.Revision)));
        if (AtBench.Not(t, unit) is { } no) return no;
        var decided = new UnitMeasurementDecision(unit.Unit, reading?.Reading.Id ?? "", reading?.Name ?? said.Name!.Trim());
        var record = t.Append(new(said.Key, RecordKinds.UnitMeasured, unit.Unit, Office, said.OccurredAt, said.Person ?? "", RecordJson.Text(new UnitMeasurementBody(said, decided))));
        return Answer(record, repeat: false);
    }

    /// <returns>The plant's reading; null for a measurement of the repairer's own.</returns>
    static BenchReading? Require(UnitMeasurement said, RouteRevision revision, IReadOnlyList<BenchReading> readings)
    {
        var errors = new List<InputError>();
        var reading = said.Id is null ? null : readings.FirstOrDefault(r => r.Reading.Id == said.Id);
        if (said.Id is { } id && reading is null) errors.Add(new("act", 0, "id", $"'{id}'", $"a reading of {revision.Id} or of a part in it that is built here", NearestWord.Hint(id, readings.Select(r => r.Reading.Id).ToList())));
        if (said.Id is null && string.IsNullOrWhiteSpace(said.Name)) errors.Add(new("act", 0, "name", "nothing", "what was measured, or the id of a reading of the route"));
        if (said.Value is { } value && !double.IsFinite(value)) errors.Add(new("act", 0, "value", "no finite number", "a number"));
        if (said.Value is null && string.IsNullOrWhiteSpace(said.Text)) errors.Add(new("act", 0, "value", "nothing", "a number, or what was seen as text"));
        if (reading is { Reading: { Text: false } number } && said.Value is null) errors.Add(new("act", 0, "value", "a text", $"a number in {number.Unit}"));
        if (reading is { Reading: { Text: false } limit } && (said.UnitWord ?? "") != limit.Unit) errors.Add(new("act", 0, "unit", $"'{said.UnitWord}'", limit.Unit.Length == 0 ? "no unit" : limit.Unit));
        return errors.Count > 0 ? throw new InputException(errors) : reading;
    }

    static UnitMeasurementAnswer Answer(LedgerRecord record, bool repeat)
    {
        var d = RecordJson.Read<UnitMeasurementBody>(record.Body).Decided;
        return new(record.Sequence, d.Unit, d.Id, d.Name, repeat);
    }
}
