using Microsoft.Data.Sqlite;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.ReadModel;

/// <summary>A reference unit's run whose captures are at hand.</summary>
/// <param name="Unit">Code of the reference unit.</param>
/// <param name="Attempt">Its run is told by its place in the ledger: a reference has no attempts.</param>
/// <param name="Outcome">good, out, stopped, passed, warm-up, problem.</param>
public sealed record ReferenceRun(string Unit, long Attempt, string Name, string Rig, DateTimeOffset At, string Outcome, bool SameRig);

/// <summary>Runs of a product's reference units, as a run of any unit is looked at.</summary>
public static class ReferenceRuns
{
    /// <returns>Those with captures at hand, of the rig itself first, then the newest first.</returns>
    public static IReadOnlyList<ReferenceRun> AtHand(SqliteConnection c, RouteRevision revision, string rig)
    {
        if (revision.Product.References is not { } references) return [];
        var runs = c.Rows(
            "select n.sequence, n.reference, n.rig, n.at, n.outcome from reference_run n where exists (select 1 from capture_ref r where r.unit in (select value from json_each(@codes)) and r.state = 'kept' and r.sequence = n.sequence) order by n.sequence desc",
            new { codes = RecordJson.Text(references.Units.Select(u => u.Code)) }, null, row => (Sequence: row.GetInt64(0), Reference: row.GetString(1), Rig: row.GetString(2), At: Utc.Read(row.GetString(3)), Outcome: row.GetString(4)));
        return [.. from run in runs let unit = references.Units.FirstOrDefault(u => u.Id == run.Reference) where unit is not null orderby run.Rig == rig descending select new ReferenceRun(unit.Code, run.Sequence, unit.Name, run.Rig, run.At, run.Outcome, run.Rig == rig)];
    }

    /// <summary>A reference's run as a load test; null where the code has no such run.</summary>
    public static UnitLoadTest? Find(SqliteConnection c, ReferenceUnit reference, long sequence)
    {
        var body = c.Rows(
            "select l.body, l.occurred_at from reference_run n join ledger l on l.sequence = n.sequence where n.sequence = @sequence and n.reference = @Id", new { sequence, reference.Id }, null,
            row => (Body: row.GetString(0), At: DateTimeOffset.Parse(row.GetString(1), System.Globalization.CultureInfo.InvariantCulture))).FirstOrDefault();
        if (body.Body is null) return null;
        var decided = RecordJson.Read<ReferenceRunBody>(body.Body).Decided;
        return new(decided.Rig, (int)sequence, body.At, decided.Run, decided.Reason, UnitQuery.CapturesOf(c, reference.Code)[sequence].ToList(), decided.Run?.Method ?? "");
    }
}
