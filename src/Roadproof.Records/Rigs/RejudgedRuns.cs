using Microsoft.Data.Sqlite;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Lots;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Rigs;

/// <summary>What judging again would come to, for the units that a rig's reference run has stopped or would have.</summary>
public static class RejudgedRuns
{
    /// <param name="judgeOf">The load test's judge of a revision.</param>
    /// <returns>Units on hold for the rig, then those that have left, each in the order in which they ran; null for a station that is no rig with references.</returns>
    public static IReadOnlyList<RejudgedUnit>? Of(SqliteConnection c, PlantContext plant, string rig, Func<RouteRevision, LoadTestJudge> judgeOf)
    {
        if (RigBook.AskedOf(plant, rig) is not { } asked) return null;
        var drifts = new Dictionary<long, (ShownDrift? Drift, string Why)>();
        return [.. Suspects(c, rig).Select(s => new RejudgedUnit(s.Unit, s.Attempt, s.RunSequence, s.WrongSequence, s.RanAt, One(s), s.Left)).OrderBy(u => u.Left is not null).ThenBy(u => u.RunSequence)];

        Rejudgement One(Suspect s)
        {
            if (!drifts.TryGetValue(s.WrongSequence, out var shown)) drifts[s.WrongSequence] = shown = Drift(c, asked, rig, s.WrongSequence);
            if (shown.Drift is not { } drift) return Rejudgement.Untold(shown.Why);
            if (s.HasOtherRuns) return Rejudgement.Untold("Its verdict rests on more than one run.");
            return s.Judgement is null ? Rejudgement.Untold("Its run was not judged.") : judgeOf(plant.RevisionOf(s.Revision)).Rejudge(RecordJson.Read<LoadTestVerdict>(s.Judgement), drift);
        }
    }

    sealed record Suspect(string Unit, int Attempt, long RunSequence, long WrongSequence, string Revision, DateTimeOffset RanAt, bool HasOtherRuns, string? Judgement, ShippedUnit? Left);

    // The first reference run that made a run doubtful is the one that lies nearest to it.
    static List<Suspect> Suspects(SqliteConnection c, string rig) => c.Rows(
        """
        select s.unit, s.attempt, s.run_sequence, min(s.sequence), u.revision, n.ended_at,
          exists (select 1 from unit_step o where o.unit = n.unit and o.step = n.step and o.attempt <> n.attempt and o.repaired = 0),
          (select judgement from load_test l where l.unit = s.unit and l.step_sequence = s.run_sequence and l.state = 'judged' order by l.sequence limit 1),
          u.serial, u.customer, u.box, u.shipped_at
        from rig_suspect s join unit u on u.unit = s.unit join unit_step n on n.unit = s.unit and n.sequence = s.run_sequence
        where s.rig = @rig and (
          exists (select 1 from hold h where h.unit = s.unit and h.cause = @cause and h.released_at is null)
          or u.shipped_at is not null and not exists (select 1 from load_test l where l.unit = s.unit and l.step_sequence > s.run_sequence))
          and not exists (select 1 from rig_suspect later where later.unit = s.unit and later.rig = s.rig and later.run_sequence > s.run_sequence)
        group by s.unit, s.run_sequence
        """,
        new { rig, cause = TakeReferenceRun.Cause(rig) }, null,
        row => new Suspect(row.GetString(0), row.GetInt32(1), row.GetInt64(2), row.GetInt64(3), row.GetString(4), Utc.Read(row.GetString(5)), row.GetBoolean(6), row.Text(7),
            row.Text(11) is null ? null : new ShippedUnit(row.GetString(0), row.Text(8), row.Text(9), row.Text(10))));

    /// <returns>What the reference shows, or why it shows nothing.</returns>
    static (ShownDrift?, string Why) Drift(SqliteConnection c, RigReferences asked, string rig, long wrong)
    {
        var found = Run(c, wrong);
        if (found.Kind != "sound" || found.Readings is not { Readings.Count: > 0 }) return (null, "The run that found the rig wrong does not show by how much.");
        if (asked.Units.FirstOrDefault(u => u.Id == found.Reference) is not { } reference) return (null, $"The reference {found.Reference} is not in the definitions any more.");
        var right = c.Rows(
            """
            select min(sequence) from reference_run where rig = @rig and reference = @Reference and outcome = 'good' and sequence < @wrong
              and sequence > (select coalesce(max(sequence), 0) from calibration where station = @rig and sequence < @wrong)
            """,
            new { rig, found.Reference, wrong }, null, row => row.IsDBNull(0) ? (long?)null : row.GetInt64(0))[0];
        return right is { } sequence ? (ShownDrift.Of(reference, Run(c, sequence).Run!, found.Run!), "") : (null, $"{reference.Name} had not run on it before: what it moved by is not known.");
    }

    static ReferenceRunDecision Run(SqliteConnection c, long sequence) =>
        RecordJson.Read<ReferenceRunBody>(c.Rows("select body from ledger where sequence = @sequence", new { sequence }, null, row => row.GetString(0)).Single()).Decided;
}
