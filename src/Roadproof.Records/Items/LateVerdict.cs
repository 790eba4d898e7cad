using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Judging;
using Roadproof.Records.Captures;
using Roadproof.Records.Curves;
using Roadproof.Records.Ledger;
using Roadproof.Records.Lots;
using Roadproof.Records.Messages;
using Roadproof.Records.Orders;
using static System.FormattableString;

namespace Roadproof.Records.Items;

/// <summary>A step that was waiting for a capture, and whether all of its captures are there now.</summary>
/// <param name="StepSequence">The record that ended the step; the name under which <see cref="LateVerdict"/> completes it.</param>
/// <param name="NeedsJudging">A load test: its captures have to be judged before it is completed.</param>
public sealed record WaitingStep(long StepSequence, string Unit, string Step, int Attempt, string Station, IReadOnlyList<(string Sha256, string Name)> Captures, bool Complete, bool NeedsJudging);

/// <summary>Steps that have ended and wait for captures.</summary>
/// <remarks>
/// Ask after a capture was kept, and after a message was answered with <c>waiting</c>: whichever of the two came last finds the step complete.
/// At a start ask for all: what came while nobody looked is judged then.
/// </remarks>
public static class WaitingSteps
{
    public static IReadOnlyList<WaitingStep> All(SqliteConnection connection) => Steps(connection, "s.verdict = 'waiting'", null);

    /// <param name="sha256">A capture that they name.</param>
    public static IReadOnlyList<WaitingStep> Naming(SqliteConnection connection, string sha256) => Steps(
        connection,
        "s.verdict = 'waiting' and exists (select 1 from capture_ref n where n.sha256 = @sha256 and n.unit = s.unit and n.step = s.step and n.attempt = s.attempt)",
        sha256);

    static List<WaitingStep> Steps(SqliteConnection connection, string where, string? sha256) => connection
        .Query<(long Sequence, string Unit, string Step, long Attempt, string Station, string Sha256, string Name, string State, bool Run)>(
            $"""
            select s.sequence, s.unit, s.step, s.attempt, s.station, r.sha256, r.name, r.state, exists (select 1 from load_test l where l.step_sequence = s.sequence)
            from unit_step s join capture_ref r on r.unit = s.unit and r.step = s.step and r.attempt = s.attempt where {where} order by s.sequence, r.name
            """,
            new { sha256 })
        .GroupBy(r => (r.Sequence, r.Unit, r.Step, r.Attempt, r.Station, r.Run))
        .Select(g => new WaitingStep(g.Key.Sequence, g.Key.Unit, g.Key.Step, (int)g.Key.Attempt, g.Key.Station, g.Select(r => (r.Sha256, r.Name)).ToList(), g.All(r => r.State == "kept"), g.Key.Run))
        .ToList();
}

/// <summary>A verdict given after its step's record: the captures have come, or a run is judged anew.</summary>
public static class LateVerdict
{
    /// <param name="stepSequence">The record that ended the step.</param>
    /// <param name="outcome">What judging the run came to; null for a step other than a load test.</param>
    /// <param name="key">One for each judging: the same key is taken once.</param>
    /// <param name="curves">What judging the curves of the step's checks came to; null where it has none.</param>
    /// <returns>The answer that the station would have had; the same again for a key used before.</returns>
    /// <exception cref="InvalidOperationException">Bug: no step has that record, or a load test is completed without a verdict.</exception>
    public static MessageAnswer Decide(LedgerTransaction t, long stepSequence, LoadTestOutcome? outcome, PlantContext plant, string key, IReadOnlyList<CurveOutcome>? curves = null)
    {
        var ended = t.Connection.QueryFirstOrDefault<(string Body, string Station)>(
            "select body, station from ledger where sequence = @stepSequence and kind = @StepDone", new { stepSequence, RecordKinds.StepDone }, t.Transaction);
        if (ended.Body is null) throw new InvalidOperationException(Invariant($"Bug in Roadproof: record {stepSequence} ends no step and cannot be judged."));
        if (t.Find(key) is { } earlier) return Answer(earlier, RecordJson.Read<JudgedBody>(earlier.Body).Decided, repeat: true);

        var body = RecordJson.Read<StepBody>(ended.Body);
        var decided = Decision(t, stepSequence, body, ended.Station, outcome, curves ?? [], plant);
        var record = t.Append(new(key, RecordKinds.Judged, decided.Unit, decided.Rig, t.Now, "", RecordJson.Text(new JudgedBody(decided))));
        if (decided is { Completes: true, LoadTest.Verdict: { } verdict }) LotShiftWatch.After(t, decided.Unit, decided.Attempt, verdict, plant.RevisionOf(body.Decided.Revision).Parts);
        if (decided.LoadTest is not null || decided.Curves.Count > 0) Retention.After(t, plant.Standing[0].Plant);
        return Answer(record, decided, repeat: false);
    }

    static JudgedDecision Decision(LedgerTransaction t, long stepSequence, StepBody body, string station, LoadTestOutcome? outcome, IReadOnlyList<CurveOutcome> curves, PlantContext plant)
    {
        var ended = body.Decided;
        var (order, revision) = OrderBook.Built(t.Connection, t.Transaction, UnitRow.Find(t.Connection, t.Transaction, ended.Unit), plant.RevisionOf(ended.Revision));
        var step = revision.StepOf(ended.Step)!;
        var steps = StepRow.Of(t.Connection, t.Transaction, ended.Unit);
        var row = steps.First(s => s.Step == ended.Step && s.Attempt == ended.Attempt);
        var completes = row.Verdict == "waiting";
        var earlier = steps.Where(s => s.Attempt < row.Attempt).ToList();

        // A run that a person has undone, or that was run again meanwhile, keeps its verdict and moves nothing; a fail that no repair has answered still holds the unit.
        var overtaken = row.SentBack == 1 || steps.Any(s => s.Step == row.Step && s.Attempt > row.Attempt);
        if (ended.LoadTest is null)
        {
            var kept = ended.WhenCaptured ?? throw new InvalidOperationException(Invariant($"Bug in Roadproof: record {stepSequence} waits for no capture."));
            // Curves that were there when the step ended have been judged with it.
            var late = ended.Curves.Count == 0 ? curves.Select(c => c.HeldAgainst(body.Said)).ToList() : [];
            if (late.Count == 0) return Completed(new(kept, ended.Word, [], [], [], false), null);
            var read = CurveJudgement.Of(step, late);
            return Completed(StepJudgement.Of(step, body.Said, late, order?.Said(revision)), null) with { Curves = [.. late.Select(c => c.Decision())], Readings = read.Readings, Screws = read.Screws };
        }

        if (outcome is null) throw new InvalidOperationException(Invariant($"Bug in Roadproof: load test {stepSequence} of {ended.Unit} was completed without a verdict."));
        var (judgement, run) = LoadTestStep.Judge(revision, step, station, outcome, Retests.RunsBefore(t.Connection, t.Transaction, ended.Unit, earlier, step.Id), ended.LoadTest.Rig);
        return Completed(judgement, run);

        bool StandsByPass() => !Route.IsTest(step) || step.Retests.Stands([.. Retests.Tries(t.Connection, t.Transaction, ended.Unit, earlier, step.Id), new(RunVerdict.Pass)]);

        JudgedDecision Completed(StepJudgement judgement, LoadTestDecision? run)
        {
            var stands = completes ? !overtaken && judgement.Verdict == "pass" && StandsByPass() : row.Stands == 1;
            var holds = completes && row.Repaired == 0 && !(overtaken && run?.State == "problem");
            var alsoStands = stands ? step.Id : null;
            string[] undone = stands || overtaken ? [] : [step.Id];
            return new(ended.Unit, ended.Step, ended.Attempt, station, stepSequence, completes, judgement.Verdict, judgement.Word, stands, judgement.SafetyFailed, run,
                holds ? judgement.Holds : [], Route.ToNext(Route.Next(revision, steps, alsoStands, undone)), LoadTestStep.Good(revision, steps, alsoStands, undone), overtaken);
        }
    }

    static MessageAnswer Answer(LedgerRecord record, JudgedDecision d, bool repeat) => new(
        record.Sequence, d.Unit, d.Step, "finish", d.Verdict, null, d.Holds.Select(h => h.Reason).ToList(),
        d.LoadTest?.Verdict?.Requirements.Select(r => new AnswerReading(r.Id, r.Verdict.ToString().ToLowerInvariant())).ToList() ?? [],
        d.LoadTest?.Verdict?.Distance, repeat, []);
}
