using System.Text.Json;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Rework;
using Roadproof.Records.Rigs;

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
        RecordKinds.UnitReleased => Act(record) is { BackTo: { } backTo } act ? $"Sent back to {Name(revision, backTo)}: {act.Reason}.{Cause(act)}" : $"Released: {Act(record).Reason}.",
        RecordKinds.UnitScrapped => $"Scrapped: {Act(record).Reason}.{Cause(Act(record))}",
        RecordKinds.PartSwapped => Swapped(RecordJson.Read<PartSwapBody>(record.Body), revision),
        RecordKinds.PartPlaced => Placed(RecordJson.Read<PartPlacingBody>(record.Body).Said, revision),
        RecordKinds.UnitMeasured => Measured(RecordJson.Read<UnitMeasurementBody>(record.Body)),
        RecordKinds.UnitRejudged => Rejudged(RecordJson.Read<RejudgedBody>(record.Body)),
        RecordKinds.SerialIssued => $"Serial number {Field(record, "serial")} issued.",
        RecordKinds.SerialVoid => $"Serial number {Field(record, "serial")} is void: {Field(record, "reason")}.",
        var kind => $"{kind}.",
    };

    static string Swapped(PartSwapBody body, RouteRevision revision)
    {
        var (said, d) = body;
        var into = d.In is null ? "" : $" {PartName(revision, d.In.Part)} {d.In.Serial ?? d.In.Lot} went in.";
        return $"{PartName(revision, d.Out.Part)} {d.Out.Serial ?? d.Out.Lot} came out, to {Place(d.Place)}: {said.Reason.TrimEnd('.')}.{into}";
    }

    static string Placed(PartPlacing said, RouteRevision revision) => $"{PartName(revision, said.Part.Part)} {said.Part.Serial ?? said.Part.Lot} that came out of it goes to {Place(said.Place)}: {said.Reason.TrimEnd('.')}.";

    static string Measured(UnitMeasurementBody body) =>
        $"Measured at rework: {Wording.Lower(body.Decided.Name)} {body.Said.Text ?? $"{Wording.Number(body.Said.Value ?? 0)} {body.Said.UnitWord}".TrimEnd()}.";

    static string Rejudged(RejudgedBody body) =>
        $"Its run on {body.Said.Rig} judged again for the rig's drift: {body.Said.Reason.TrimEnd('.')}. {body.Decided.Rejudged.Reason}{(body.Decided.Released ? " It goes on." : " It is tested again.")}";

    static string Place(string place) => place switch { "stock" => "stock again", "hold" => "hold", _ => "scrap" };

    static string PartName(RouteRevision revision, string part) => revision.Parts.FirstOrDefault(p => p.Id == part)?.Name ?? part;

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

    static string Cause(UnitAct act) => string.IsNullOrWhiteSpace(act.Cause) ? "" : $" Found: {act.Cause.Replace('-', ' ')}.";

    static UnitAct Act(LedgerRecord record) => RecordJson.Read<UnitActBody>(record.Body).Said;

    static string Name(RouteRevision revision, string step) => revision.StepOf(step)?.Name ?? step;

    static string Field(LedgerRecord record, string name)
    {
        using var body = JsonDocument.Parse(record.Body);
        return body.RootElement.TryGetProperty(name, out var field) ? field.ToString() : "";
    }
}
