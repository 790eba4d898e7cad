using Microsoft.Data.Sqlite;
using Roadproof.Records.Curves;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Items;

/// <summary>Lays out readings, of a step's end or of a curve that came later.</summary>
static class UnitReadings
{
    public static void Lay(SqliteConnection c, SqliteTransaction t, LedgerRecord record, string unit, string step, int attempt, string station, IReadOnlyList<JudgedReading> readings)
    {
        foreach (var r in readings)
        {
            c.Run(
                """
                insert into reading (unit, step, attempt, id, station, taken_at, value, unit_word, text, verdict, judgement, sequence)
                values (@unit, @step, @attempt, @Id, @station, @at, @Value, @word, @Text, @verdict, @judgement, @Sequence)
                """,
                new
                {
                    unit, step, attempt, r.Id, station, at = Utc.Text(record.OccurredAt), r.Value, word = r.Unit, r.Text, record.Sequence,
                    verdict = r.Verdict?.ToString().ToLowerInvariant(), judgement = r.Requirement is null ? null : RecordJson.Text(r.Requirement),
                },
                t);
        }
    }
}

/// <summary>Lays out the results of screws.</summary>
static class UnitScrews
{
    public static void Lay(SqliteConnection c, SqliteTransaction t, string unit, string step, int attempt, IReadOnlyList<JudgedScrew> screws)
    {
        foreach (var w in screws)
        {
            // A report may name a screw twice; its last result is the one that the screw has.
            c.Run(
                "insert or replace into screw (unit, step, attempt, screws, number, torque_nm, angle_deg, verdict) values (@unit, @step, @attempt, @Group, @Screw, @TorqueNm, @AngleDeg, @verdict)",
                new { unit, step, attempt, w.Group, Screw = w.Number, w.TorqueNm, w.AngleDeg, verdict = w.Verdict.ToString().ToLowerInvariant() }, t);
        }
    }
}

/// <summary>Lays out what the curves of a step's checks came to.</summary>
static class CurveRecord
{
    public static void Lay(SqliteConnection c, SqliteTransaction t, LedgerRecord record, string unit, string step, int attempt, long stepSequence, IReadOnlyList<CurveDecision> curves)
    {
        foreach (var curve in curves)
        {
            c.Run(
                """
                insert into curve_check (unit, step, attempt, id, sha256, verdict, judgement, problem, sequence, step_sequence)
                values (@unit, @step, @attempt, @Check, @Sha256, @verdict, @judgement, @Problem, @Sequence, @stepSequence)
                """,
                new
                {
                    unit, step, attempt, curve.Check, curve.Sha256, curve.Problem, record.Sequence, stepSequence,
                    verdict = curve.Verdict?.Verdict.ToString().ToLowerInvariant(), judgement = curve.Verdict is null ? null : RecordJson.Text(curve.Verdict),
                },
                t);
        }
    }
}
