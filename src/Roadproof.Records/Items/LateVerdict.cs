using Dapper;
using Roadproof.Records.Ledger;
using Roadproof.Records.Lots;
using Roadproof.Records.Messages;
using static System.FormattableString;

namespace Roadproof.Records.Items;

/// <summary>A step that was waiting for a capture, and whether all of its captures are there now.</summary>
/// <param name="StepSequence">The record that ended the step; the name under which <see cref="LateVerdict"/> completes it.</param>
/// <param name="NeedsJudging">A load test: its captures have to be judged before it is completed.</param>
public sealed record WaitingStep(long StepSequence, string Unit, string Step, int Attempt, string Station, IReadOnlyList<string> Sha256, bool Complete, bool NeedsJudging);

/// <summary>A capture has arrived, before or after the message that names it.</summary>
public static class CaptureArrived
{
    /// <summary>Keeps that it is there. Call it when the bytes are on disk; a capture that was there already changes nothing.</summary>
    /// <returns>The steps that waited for it; complete ones go on to <see cref="LateVerdict"/>. Empty where nothing waits.</returns>
    public static IReadOnlyList<WaitingStep> Decide(LedgerTransaction t, string sha256, long bytes)
    {
        var key = $"capture-kept/{sha256}";
        if (t.Find(key) is not null) return [];
        var waiting = t.Connection.Query<(string Unit, string Step, long Attempt)>(
            "select unit, step, attempt from capture_ref where sha256 = @sha256 and state = 'awaited' order by sequence", new { sha256 }, t.Transaction).AsList();
        t.Append(new(key, RecordKinds.CaptureKept, sha256, "captures", t.Now, "", RecordJson.Write(new CaptureKeptBody(bytes))));
        return waiting.Select(w => Waiting(t, w.Unit, w.Step, w.Attempt)).OfType<WaitingStep>().ToList();
    }

    static WaitingStep? Waiting(LedgerTransaction t, string unit, string step, long attempt)
    {
        var row = t.Connection.QueryFirstOrDefault<(long Sequence, string Station)>(
            "select sequence, station from unit_step where unit = @unit and step = @step and attempt = @attempt and verdict = 'waiting'", new { unit, step, attempt }, t.Transaction);
        if (row.Station is null) return null;
        var captures = t.Connection.Query<(string Sha256, string State)>(
            "select sha256, state from capture_ref where unit = @unit and step = @step and attempt = @attempt order by name", new { unit, step, attempt }, t.Transaction).AsList();
        var run = t.Connection.ExecuteScalar<bool>("select exists (select 1 from load_test where step_sequence = @Sequence)", new { row.Sequence }, t.Transaction);
        return new(row.Sequence, unit, step, (int)attempt, row.Station, captures.Select(x => x.Sha256).ToList(), captures.All(x => x.State == "kept"), run);
    }
}

/// <summary>A verdict given after its step's record: the captures have come, or a run is judged anew.</summary>
public static class LateVerdict
{
    /// <param name="stepSequence">The record that ended the step.</param>
    /// <param name="outcome">What judging the run came to; null for a step other than a load test.</param>
    /// <param name="key">One for each judging: the same key is taken once.</param>
    /// <returns>The answer that the station would have had; the same again for a key used before.</returns>
    /// <exception cref="InvalidOperationException">Bug: no step has that record, or a load test is completed without a verdict.</exception>
    public static MessageAnswer Decide(LedgerTransaction t, long stepSequence, LoadTestOutcome? outcome, PlantContext plant, string key)
    {
        var ended = t.Connection.QueryFirstOrDefault<(string Body, string Station)>(
            "select body, station from ledger where sequence = @stepSequence and kind = @StepDone", new { stepSequence, RecordKinds.StepDone }, t.Transaction);
        if (ended.Body is null) throw new InvalidOperationException(Invariant($"Bug in Roadproof: record {stepSequence} ends no step and cannot be judged."));
        if (t.Find(key) is { } earlier) return Answer(earlier, RecordJson.Read<JudgedBody>(earlier.Body).Decided, repeat: true);

        var decided = Decision(t, stepSequence, RecordJson.Read<StepBody>(ended.Body).Decided, ended.Station, outcome, plant);
        var record = t.Append(new(key, RecordKinds.Judged, decided.Unit, decided.Rig, t.Now, "", RecordJson.Write(new JudgedBody(decided))));
        if (decided is { Completes: true, LoadTest.Verdict: { } verdict }) LotShiftWatch.After(t, decided.Unit, decided.Attempt, verdict);
        return Answer(record, decided, repeat: false);
    }

    static JudgedDecision Decision(LedgerTransaction t, long stepSequence, StepDecision ended, string station, LoadTestOutcome? outcome, PlantContext plant)
    {
        var revision = plant.RevisionOf(ended.Revision);
        var step = revision.StepOf(ended.Step)!;
        var steps = StepRow.Of(t.Connection, t.Transaction, ended.Unit);
        var row = steps.First(s => s.Step == ended.Step && s.Attempt == ended.Attempt);
        var completes = row.Verdict == "waiting";
        if (ended.LoadTest is null)
        {
            var kept = ended.WhenCaptured ?? throw new InvalidOperationException(Invariant($"Bug in Roadproof: record {stepSequence} waits for no capture."));
            return Completed(new(kept, ended.Word, [], [], [], false), null);
        }

        if (outcome is null) throw new InvalidOperationException(Invariant($"Bug in Roadproof: load test {stepSequence} of {ended.Unit} was completed without a verdict."));
        var (judgement, run) = LoadTestStep.Judge(step, outcome);
        return Completed(judgement, run);

        JudgedDecision Completed(StepJudgement judgement, LoadTestDecision? run)
        {
            var stands = completes ? judgement.Verdict == "pass" : row.Stands == 1;
            var next = stands ? Route.Next(revision, steps, alsoStands: step.Id) : Route.Next(revision, steps, undone: [step.Id]);
            return new(ended.Unit, ended.Step, ended.Attempt, station, stepSequence, completes, judgement.Verdict, judgement.Word, stands, judgement.SafetyFailed, run,
                completes ? judgement.Holds : [], Route.ToNext(next), LoadTestStep.Good(revision, steps, stands ? step.Id : null, stands ? null : [step.Id]));
        }
    }

    static MessageAnswer Answer(LedgerRecord record, JudgedDecision d, bool repeat) => new(
        record.Sequence, d.Unit, d.Step, "finish", d.Verdict, null, d.Holds.Select(h => h.Reason).ToList(),
        d.LoadTest?.Verdict?.Requirements.Select(r => new AnswerReading(r.Id, r.Verdict.ToString().ToLowerInvariant())).ToList() ?? [],
        d.LoadTest?.Verdict?.Distance, repeat, []);
}
