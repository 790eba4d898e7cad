using Microsoft.Data.Sqlite;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.Rework;

/// <summary>What holds for a unit that a repairer has in hand.</summary>
static class AtBench
{
    /// <returns>Null where the unit may be worked on.</returns>
    public static Refusal? Not(LedgerTransaction t, UnitRow unit)
    {
        if (PersonOnUnit.Ended(unit) is { } ended) return ended;
        return unit.State == "held" ? null
            : new($"Unit {unit.Unit} is not stopped.", "Put it on hold with a reason first, so that no station goes on with it meanwhile.", "a unit on hold", unit.State);
    }

    /// <summary>The first step whose part was swapped since the unit last went back; null where none was.</summary>
    public static RouteStep? SwappedAt(SqliteConnection c, SqliteTransaction? t, string unit, RouteRevision revision) =>
        c.Rows("select step from part_out where unit = @unit and settled = 0 order by step_number limit 1", new { unit }, t, row => row.GetString(0))
            .Select(revision.StepOf).FirstOrDefault();

    /// <summary>Where the unit was stopped: the last step that neither stands nor was sent back.</summary>
    public static StepRow? StoppedAt(IReadOnlyList<StepRow> steps) =>
        steps.GroupBy(s => s.Step).Select(g => g.Last()).Where(s => s is { EndedAt: not null, Stands: 0, SentBack: 0 } && s.Verdict != "pass").MaxBy(s => s.Number);

    /// <summary>The load test's verdict that stopped the unit; null where another step did, or no verdict is there.</summary>
    public static LoadTestVerdict? VerdictOf(SqliteConnection c, SqliteTransaction? t, string unit, StepRow? stopped) => stopped is null ? null : c.Rows(
            "select judgement from load_test where unit = @unit and attempt = @Attempt and step_sequence = @Sequence and judgement is not null order by sequence desc limit 1",
            new { unit, stopped.Attempt, stopped.Sequence }, t, row => RecordJson.Read<LoadTestVerdict>(row.GetString(0))).FirstOrDefault();

    /// <summary>What stopped a unit at its load test, with the step's name before it: the test, the figure, the evidence; null where another step did, or the run was not judged or does not count.</summary>
    public static string? Headline(SqliteConnection c, string unit, IReadOnlyList<StepRow> steps, RouteRevision revision) =>
        StoppedAt(steps) is { } stopped && !Retests.IsUnjudged(c, null, unit, stopped) && VerdictOf(c, null, unit, stopped) is { } verdict ? $"{revision.StepOf(stopped.Step)?.Name ?? stopped.Step}: {Wording.Headline(verdict)}" : null;

    /// <summary>The same reasons one by one, the worst first; empty where it is none of a load test.</summary>
    public static IReadOnlyList<StopLine> Stops(SqliteConnection c, string unit, IReadOnlyList<StepRow> steps) =>
        StoppedAt(steps) is not { } stopped || Retests.IsUnjudged(c, null, unit, stopped) || VerdictOf(c, null, unit, stopped) is not { } verdict ? [] : [.. StopReasons.Of(verdict).Select(r => new StopLine(r, Wording.WithFigure(verdict, r)))];

    /// <summary>What a person found, beside what the diagnosis had put first; null where nobody said what it was.</summary>
    public static ReworkFinding? Finding(LedgerTransaction t, UnitAct act, UnitRow unit, IReadOnlyList<StepRow> steps)
    {
        if (string.IsNullOrWhiteSpace(act.Cause)) return null;
        var stopped = StoppedAt(steps);
        var first = VerdictOf(t.Connection, t.Transaction, unit.Unit, stopped)?.Diagnosis.MaxBy(d => d.Probability);
        return new(stopped?.Step ?? unit.NextStep ?? "", act.Cause.Trim(), first?.Fault, first?.Name, first?.Probability);
    }
}
