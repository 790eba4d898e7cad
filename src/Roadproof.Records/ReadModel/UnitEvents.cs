using System.Text.Json;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;

namespace Roadproof.Records.ReadModel;

/// <summary>A unit's records in plain words, with the holds that came from its lots.</summary>
static class UnitEvents
{
    public static IReadOnlyList<UnitEvent> Of(IReadOnlyList<LedgerRecord> records, IReadOnlyList<UnitHold> holds, RouteRevision revision)
    {
        var own = records.Select(r => new UnitEvent(r.Sequence, r.OccurredAt.ToUniversalTime(), r.Kind, r.Station, Text(r, revision), r.Person));
        var lots = holds.Where(h => h.Cause.StartsWith("lot:", StringComparison.Ordinal)).Select(h => new UnitEvent(0, h.At, RecordKinds.LotHeld, "", $"{h.Reason.TrimEnd('.')}.", ""));
        return own.Concat(lots).OrderBy(e => e.At).ThenBy(e => e.Sequence).ToList();
    }

    static string Text(LedgerRecord record, RouteRevision revision) => record.Kind switch
    {
        RecordKinds.StepBegun => Begun(RecordJson.Read<StepBody>(record.Body), revision),
        RecordKinds.StepDone => Done(RecordJson.Read<StepBody>(record.Body), revision),
        RecordKinds.Refused => $"Refused: {RecordJson.Read<RefusedBody>(record.Body).Decided.Reason}",
        RecordKinds.Judged => Judged(RecordJson.Read<JudgedBody>(record.Body).Decided, revision),
        RecordKinds.UnitHeld => $"Held by a person: {Act(record).Reason}.",
        RecordKinds.UnitReleased => Act(record) is { BackTo: { } backTo } act ? $"Sent back to {Name(revision, backTo)}: {act.Reason}." : $"Released: {Act(record).Reason}.",
        RecordKinds.UnitScrapped => $"Scrapped: {Act(record).Reason}.",
        RecordKinds.SerialIssued => $"Serial number {Field(record, "serial")} issued.",
        RecordKinds.SerialVoid => $"Serial number {Field(record, "serial")} is void: {Field(record, "reason")}.",
        var kind => $"{kind}.",
    };

    static string Begun(StepBody body, RouteRevision revision) => $"{Name(revision, body.Decided.Step)} begun{Report(body)}.{Holds(body.Decided.Holds)}";

    static string Done(StepBody body, RouteRevision revision)
    {
        var d = body.Decided;
        var what = d switch
        {
            { MarkSpoiled: true } => "mark spoiled",
            { Verdict: "waiting" } => "done, waits for captures",
            { Verdict: "pass" } => d.Attempt > 1 ? $"passed at attempt {Figures.Count(d.Attempt)}" : "passed",
            { Verdict: "fail" } => "failed",
            _ => "on hold",
        };
        return $"{Name(revision, d.Step)} {what}{(d.Word.Length > 0 && !d.MarkSpoiled ? $", {d.Word}" : "")}{Report(body)}.{Holds(d.Holds)}";
    }

    static string Judged(JudgedDecision d, RouteRevision revision) =>
        $"{Name(revision, d.Step)} judged{(d.Completes ? "" : " again")}: {d.Verdict}{(d.Word.Length > 0 ? $", {d.Word}" : "")}.{Holds(d.Holds)}";

    static string Report(StepBody body) => body.Said.Kind == "report" ? ", reported afterwards" : "";

    static string Holds(IReadOnlyList<DecidedHold> holds) => holds.Count == 0 ? "" : $" Held: {string.Join("; ", holds.Select(h => h.Reason.TrimEnd('.')))}.";

    static UnitAct Act(LedgerRecord record) => RecordJson.Read<UnitActBody>(record.Body).Said;

    static string Name(RouteRevision revision, string step) => revision.StepOf(step)?.Name ?? step;

    static string Field(LedgerRecord record, string name)
    {
        using var body = JsonDocument.Parse(record.Body);
        return body.RootElement.TryGetProperty(name, out var field) ? field.ToString() : "";
    }
}
