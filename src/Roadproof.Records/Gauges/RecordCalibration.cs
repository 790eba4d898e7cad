using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Gauges;

/// <summary>A tool or gauge of a station was calibrated, and when that is due again.</summary>
/// <param name="Reason">What proves it, such as the certificate's number.</param>
public sealed record Calibration(string Station, string Instrument, DateTimeOffset DueAt, string Key, string Reason, DateTimeOffset OccurredAt, string? Person = null);

/// <summary>Body of a calibration.</summary>
public sealed record CalibrationBody(Calibration Said);

/// <summary>What is on record of a calibration.</summary>
public sealed record CalibrationAnswer(long Sequence, string Station, string Instrument, DateTimeOffset DueAt, bool Repeat);

/// <summary>Keeps a calibration; the station's requests are taken until it is due again.</summary>
public static class RecordCalibration
{
    const string Office = "office";

    /// <exception cref="InputException">The calibration cannot be understood.</exception>
    public static Outcome<CalibrationAnswer> Decide(LedgerTransaction t, Calibration said, PlantContext plant)
    {
        Require(said, plant);
        if (Repeats.Find(t, said.Key, Office, said) is { } earlier)
            return earlier.Same ? new CalibrationAnswer(earlier.Record.Sequence, said.Station, said.Instrument, said.DueAt, Repeat: true) : ActCheck.OtherContent(said.Key);
        if (said.DueAt <= said.OccurredAt)
            return new Refusal($"The calibration of {said.Instrument} would have been due before it was done.", "Give the day on which it is due again.", "a later day", Utc.Text(said.DueAt)[..10]);
        var record = t.Append(new(said.Key, RecordKinds.Calibrated, said.Station, Office, said.OccurredAt, said.Person ?? "", RecordJson.Text(new CalibrationBody(said))));
        return new CalibrationAnswer(record.Sequence, said.Station, said.Instrument, said.DueAt, Repeat: false);
    }

    static void Require(Calibration said, PlantContext plant)
    {
        ActCheck.Require(said.Key, said.Station, "station", said.Reason);
        var errors = new List<InputError>();
        var station = plant.At(said.Station)?.StationOf(said.Station);
        if (station is null)
            errors.Add(new("act", 0, "station", $"'{said.Station}'", "a station of this plant", NearestWord.Hint(said.Station, [.. plant.Standing.SelectMany(r => r.Line.Stations).Select(s => s.Id)])));
        else if (!station.Instruments.Contains(said.Instrument, StringComparer.Ordinal))
            errors.Add(new("act", 0, "instrument", $"'{said.Instrument}'", $"an instrument of {station.Id}: {(station.Instruments.Count > 0 ? string.Join(", ", station.Instruments) : "its definition names none")}"));
        if (errors.Count > 0) throw new InputException(errors);
    }
}

/// <summary>When calibrations are due.</summary>
static class CalibrationBook
{
    /// <summary>When the last calibration before a time was, or is, due again; null where there is none.</summary>
    public static DateTimeOffset? Last(SqliteConnection c, SqliteTransaction? t, string station, string instrument, DateTimeOffset at) => c.Rows(
        "select due_at from calibration where station = @station and instrument = @instrument and calibrated_at <= @at order by calibrated_at desc, sequence desc limit 1",
        new { station, instrument, at = Utc.Text(at) }, t, row => Utc.ReadOrNull(row.GetString(0))).FirstOrDefault();
}

/// <summary>Lays out a calibration.</summary>
static class CalibrationRecord
{
    public static void Apply(LedgerRecord record, SqliteConnection c, SqliteTransaction t)
    {
        var said = RecordJson.Read<CalibrationBody>(record.Body).Said;
        c.Run(
            "insert into calibration (station, instrument, calibrated_at, due_at, sequence) values (@Station, @Instrument, @at, @due, @Sequence)",
            new { said.Station, said.Instrument, at = Utc.Text(record.OccurredAt), due = Utc.Text(said.DueAt), record.Sequence }, t);
    }
}
