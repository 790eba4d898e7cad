using Dapper;
using Roadproof.Records.Definitions;
using Roadproof.Records.Ledger;
using static System.FormattableString;

namespace Roadproof.Records.Captures;

/// <summary>The plant's rule of how long captures are kept: so many of the newest runs that passed, and of the newest that were stopped.</summary>
/// <remarks>
/// Decided in the transaction that makes the older runs too many, so that the same messages give the same records; the files are deleted afterwards, and no station waits for that
/// (<see cref="CaptureStore.DeleteRetired"/>).
/// </remarks>
static class Retention
{
    /// <summary>Retires what the run or curve that was just judged has made too old.</summary>
    public static void After(LedgerTransaction t, PlantDefinition plant)
    {
        foreach (var sha256 in Beyond(t, plant.KeepPassedCaptures, passed: true))
            CaptureStore.AppendRetirement(t, sha256, Invariant($"The run passed and {plant.KeepPassedCaptures} newer passed runs are kept."), "");
        foreach (var sha256 in Beyond(t, plant.KeepStoppedCaptures, passed: false))
            CaptureStore.AppendRetirement(t, sha256, Invariant($"The run was stopped and {plant.KeepStoppedCaptures} newer stopped runs are kept."), "");
    }

    // Runs of the load test are counted together, curves for each step of its own: the cover's do not push out the leak check's.
    static List<string> Beyond(LedgerTransaction t, int keep, bool passed) => t.Connection.Query<string>(
        """
        with kept as (
          select distinct s.unit, s.step, s.attempt, s.sequence,
            case when exists (select 1 from load_test l where l.step_sequence = s.sequence) then '' else s.step end of
          from capture_ref r indexed by capture_ref_kept
          join unit_step s on s.unit = r.unit and s.step = r.step and s.attempt = r.attempt
          where r.state = 'kept' and (s.verdict = 'pass') = @passed and s.verdict <> 'waiting'
            and (exists (select 1 from load_test l where l.step_sequence = s.sequence) or exists (select 1 from curve_check k where k.step_sequence = s.sequence))),
        old as (select unit, step, attempt from (select unit, step, attempt, row_number() over (partition by of order by sequence desc) place from kept) where place > @keep)
        select r.sha256 from capture_ref r join old o on o.unit = r.unit and o.step = r.step and o.attempt = r.attempt
        where r.state = 'kept' order by r.sequence, r.sha256
        """,
        new { keep, passed }, t.Transaction).Distinct(StringComparer.Ordinal).ToList();
}
