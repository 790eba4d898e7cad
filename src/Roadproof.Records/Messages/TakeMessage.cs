using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Captures;
using Roadproof.Records.Curves;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Lots;
using Roadproof.Records.Orders;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.Messages;

/// <summary>What deciding on a message needs to know beside the ledger.</summary>
/// <param name="Standing">The revisions that new units start on, one for each line.</param>
/// <param name="Revision">An approved revision by its id; units keep the one that they started on.</param>
public sealed record PlantContext(IReadOnlyList<RouteRevision> Standing, Func<string, RouteRevision?> Revision)
{
    /// <summary>Products of standing revisions on which no new unit starts any more.</summary>
    public IReadOnlyList<WithdrawnProduct> Withdrawn { get; init; } = [];

    /// <summary>What is built at a station; null where the plant has no such station.</summary>
    public RouteRevision? At(string station) => Standing.FirstOrDefault(r => r.StationOf(station) is not null);

    /// <summary>The parts of every line, each once.</summary>
    public IReadOnlyList<PartDefinition> Parts => Standing.SelectMany(r => r.Parts).DistinctBy(p => p.Id).ToList();

    /// <summary>A part's name with what tells it from the others.</summary>
    public string PartSaid(string part) => Standing.SelectMany(r => r.Parts).FirstOrDefault(p => p.Id == part) is { } known ? Orders.PartSaid.Of(known) : part;

    public string PartName(string part) => Standing.SelectMany(r => r.Parts).FirstOrDefault(p => p.Id == part)?.Name ?? part;

    public RouteRevision RevisionOf(string id) => Standing.FirstOrDefault(r => r.Id == id) ?? Revision(id)
        ?? throw new InvalidOperationException($"Bug in Roadproof: units run on revision {id}, and it is not there.");
}

/// <summary>Takes what a station says: decides it, keeps it, answers it, all in one transaction.</summary>
public static class TakeMessage
{
    /// <param name="loadTest">What judging the run came to, where the message ends a load test and all its captures are there; null lets the step wait.</param>
    /// <param name="curves">What judging the curves of the step's checks came to, where all of them are there; null lets the step wait.</param>
    /// <returns>An answer, or a refusal; either stands in the ledger when the transaction is kept.</returns>
    /// <exception cref="InputException">The message cannot be understood; it belongs into <see cref="Quarantine"/>. Nothing was kept.</exception>
    /// <param name="reference">What judging the run of a reference unit came to; null while a capture of it is still to come.</param>
    public static MessageOutcome Decide(LedgerTransaction t, string station, StationMessage said, PlantContext plant, LoadTestOutcome? loadTest = null, IReadOnlyList<CurveOutcome>? curves = null, ReferenceOutcome? reference = null)
    {
        var earlier = Repeats.Find(t, said.Key, station, said);
        if (earlier is { Same: true }) return AnswerOf(earlier.Record, repeat: true);

        if (RigBook.ReferenceOf(plant, said.Item) is { } of) return OfReference(t, station, said, plant, of, reference, earlier);

        var unit = UnitRow.Find(t.Connection, t.Transaction, said.Item);
        var own = unit is null ? null : plant.RevisionOf(unit.Revision);
        // A unit keeps the stations that it started with, also where its line was withdrawn and another one has them now.
        var here = own?.StationOf(station) is null ? plant.At(station) : own;
        var isAstray = here is not null && own is not null && own.Product.Id != here.Product.Id;
        var revision = (isAstray ? here : own ?? here) ?? plant.Standing[0];
        MessageCheck.Require(station, said, revision, plant);
        if (isAstray) return Refuse(t, said, station, unit!.Unit, WrongLine(station, unit, own!, here!));
        if (earlier is not null) return RefuseOtherContent(t, station, said, earlier.Record);

        var steps = unit is null ? [] : StepRow.Of(t.Connection, t.Transaction, unit.Unit);
        var place = revision.StationOf(station) ?? here!.StationOf(station)!;
        var order = OrderBook.Of(t.Connection, t.Transaction, unit, said, revision);
        revision = revision.For(revision.VariantOf(order?.Variant));
        var withdrawn = plant.Withdrawn.FirstOrDefault(w => w.Product == revision.Product.Id);
        var s = new Situation(t.Connection, t.Transaction, place, said, revision, revision.StepOf(said.Step)!, unit, steps, loadTest, curves?.Select(o => o.HeldAgainst(said)).ToList(), withdrawn, order) { Rig = RigBook.Standing(t.Connection, t.Transaction, plant, station, said.OccurredAt) };
        var broken = said.Kind == "request" ? Interlocks.Broken(s).Take(1).ToList() : Interlocks.Broken(s).ToList();
        if (said.Kind == "request" && broken.Count > 0) return Refuse(t, said, station, s.UnitCode, broken[0]);
        if (said.Stage == "scan") return new MessageAnswer(0, s.UnitCode, said.Step, said.Stage, null, null, [], [], null, Repeat: false, PartInterlocks.Warnings(s).ToList());

        var decided = Decision(t, s);
        decided = decided with { Holds = [.. decided.Holds, .. broken.Where(b => decided.Holds.All(h => h.Reason != b.Reason.TrimEnd('.'))).Select(b => new DecidedHold(b.Reason, "report"))] };
        var kind = said.Stage == "begin" ? RecordKinds.StepBegun : RecordKinds.StepDone;
        var record = t.Append(new(said.Key, kind, decided.Unit, station, said.OccurredAt, said.Person ?? "", RecordJson.Text(new StepBody(said, decided))));
        if (decided.LoadTest?.Verdict is { } verdict) LotShiftWatch.After(t, decided.Unit, decided.Attempt, verdict, revision.Parts);
        if (decided.LoadTest is { State: not "waiting" } || decided.Curves.Count > 0) Retention.After(t, plant.Standing[0].Plant);
        return Answer(record, decided, repeat: false);
    }

    static MessageOutcome OfReference(LedgerTransaction t, string station, StationMessage said, PlantContext plant, (RouteRevision Revision, ReferenceUnit Unit) of, ReferenceOutcome? reference, Earlier? earlier)
    {
        MessageCheck.Require(station, said, plant.At(station) ?? of.Revision, plant);
        if (earlier is not null) return RefuseOtherContent(t, station, said, earlier.Record);
        var outcome = TakeReferenceRun.Decide(t, station, said, plant, of, reference);
        return outcome.Done is { } answer ? answer : Refuse(t, said, station, of.Unit.Code, outcome.Refused!);
    }

    static StepDecision Decision(LedgerTransaction t, Situation s)
    {
        var attempt = (int)(s.Running?.Attempt ?? s.Steps.Where(r => r.Step == s.Step.Id).Select(r => r.Attempt).DefaultIfEmpty(0).Max() + 1);
        var frame = new StepDecision
        {
            Unit = s.UnitCode, Product = s.Revision.Product.Id, Revision = s.Revision.Id, Creates = s.Unit is null, Order = s.Unit?.Order is null ? s.Order?.Order : null,
            Step = s.Step.Id, Number = s.Step.Number, Stage = s.Said.Stage, Attempt = attempt,
            Next = Route.ToNext(Route.Next(s.Revision, s.Steps)), Good = Good(s, standing: null, undone: null),
        };
        if (s.Said.Stage == "begin") return s.Step.Kind == StepKind.Mark ? frame with { Serial = MarkInterlocks.Issue(t, s) } : frame;
        if (Interlocks.IsSpoiledMark(s)) return Spoiled(t, s, frame);
        return Finish(s, frame);
    }

    static StepDecision Spoiled(LedgerTransaction t, Situation s, StepDecision frame) =>
        frame with { MarkSpoiled = true, Verdict = "fail", Word = "mark spoiled", Serial = MarkInterlocks.GiveUp(t, s), Next = new(s.Step.Id, s.Step.Number) };

    static StepDecision Finish(Situation s, StepDecision frame)
    {
        var captures = s.Said.Captures.Select(c => new NamedCapture(c.Sha256, c.Name, Kept(s, c.Sha256))).ToList();
        var checks = CurveCheck.Of(s.Revision, s.Step);
        var curves = checks.Count > 0 && captures.Where(k => checks.Any(c => c.IsNamed(k.Name))).All(k => k.Kept) ? s.Curves : null;
        // What nobody named will not come.
        if (curves is null && checks.Where(c => !captures.Exists(k => c.IsNamed(k.Name))).ToList() is { Count: > 0 } unnamed) curves = [.. unnamed.Select(c => CurveOutcome.NotNamed(c.Id))];
        var judgement = StepJudgement.Of(s.Step, s.Said, curves ?? [], s.Order?.Said(s.Revision));
        LoadTestDecision? judged = null;
        if (s.Step.Kind == StepKind.LoadTest)
            (judgement, judged) = LoadTestStep.Judge(s.Revision, s.Step, s.Station, captures.All(c => c.Kept) ? s.Run : null, Retests.RunsBefore(s.Connection, s.Transaction, s.UnitCode, s.Steps, s.Step.Id), s.Rig);

        // Only a report comes here with another number on the metal than the one issued: such a mark is kept and does not stand.
        var marked = s.Step.Kind == StepKind.Mark ? MarkInterlocks.Marked(s) : null;
        if (s.Step.Kind == StepKind.Mark && marked is null) judgement = judgement with { Verdict = "fail", Word = "not the number issued" };

        // A pass waits for captures; what has failed has failed.
        var waitsForCurves = checks.Count > 0 && curves is null;
        var waits = judged is null && judgement.Verdict == "pass" && (waitsForCurves || captures.Any(c => !c.Kept));
        var verdict = waits ? "waiting" : judgement.Verdict;
        IReadOnlyList<TestTry> tries = verdict == "pass" && Route.IsTest(s.Step) ? [.. Retests.Tries(s.Connection, s.Transaction, s.UnitCode, s.Steps, s.Step.Id), new(RunVerdict.Pass)] : [];
        var onceMore = s.Step.Retests.IsOneOfTwo(tries);
        var stands = verdict == "pass" && (tries.Count == 0 || s.Step.Retests.Stands(tries));
        var next = stands ? Route.Next(s.Revision, s.Steps, alsoStands: s.Step.Id) : Route.Next(s.Revision, s.Steps, undone: [s.Step.Id]);
        return frame with
        {
            Verdict = verdict, WhenCaptured = waits ? judgement.Verdict : null, Word = waits && waitsForCurves ? "waits for curves" : judgement.Word, Stands = stands, SafetyFailed = judgement.SafetyFailed,
            Parts = PartInterlocks.Used(s),
            Readings = judgement.Readings, Screws = judgement.Screws, Captures = captures, LoadTest = judged, Curves = [.. (curves ?? []).Select(c => c.Decision())],
            Holds = judgement.Holds, Warnings = [.. PartInterlocks.Warnings(s), .. onceMore ? new[] { $"{s.Step.Name} failed before and nothing was repaired: this is one pass of two, do it once more." } : []],
            Serial = marked,
            Customer = TextOf(s, PackReadings.Customer), Box = TextOf(s, PackReadings.Box),
            Next = Route.ToNext(next), Good = stands ? Good(s, s.Step.Id, null) : Good(s, null, s.Step.Id),
            Shipped = stands && next is null && s.Step.Kind == StepKind.Pack,
        };
    }

    static bool Kept(Situation s, string sha256) =>
        s.Connection.Any("select 1 from capture where sha256 = @sha256 and state = 'kept'", new { sha256 }, s.Transaction);

    static bool Good(Situation s, string? standing, string? undone) => LoadTestStep.Good(s.Revision, s.Steps, standing, undone is null ? null : [undone]);

    static string? TextOf(Situation s, string id) => s.Step.Kind == StepKind.Pack ? s.Said.Readings.FirstOrDefault(r => r.Id == id)?.Text : null;

    // A report of such a step is refused as well: no route has a place for it. The refusal stands in the ledger with all that was said.
    static Refusal WrongLine(string station, UnitRow unit, RouteRevision own, RouteRevision here)
    {
        var next = unit.NextStep is null ? null : own.StepOf(unit.NextStep);
        return new(
            $"{unit.Unit} is no {Wording.Lower(here.Product.Name)}: it belongs to {own.Line.Name}.",
            next is null ? $"Take it back to {own.Line.Name}." : $"Take it back to {own.Line.Name}, to {Route.StationsOf(own, next.Id)} for {next.Name}.", here.Product.Name, own.Product.Name);
    }

    static MessageRefused Refuse(LedgerTransaction t, StationMessage said, string station, string unit, Refusal refusal)
    {
        var body = RecordJson.Text(new RefusedBody(said, station, unit, refusal));
        var record = t.Append(new(said.Key, RecordKinds.Refused, unit, station, said.OccurredAt, said.Person ?? "", body));
        return new(record.Sequence, unit, refusal, Repeat: false);
    }

    static MessageOutcome RefuseOtherContent(LedgerTransaction t, string station, StationMessage said, LedgerRecord first)
    {
        var key = Repeats.OtherKey(said.Key, station, said);
        if (t.Find(key) is { } again) return AnswerOf(again, repeat: true);
        var refusal = new Refusal($"Key {said.Key} was used before for something else; the first stands.", "Send this message with a key of its own.", "a key never used before", said.Key);
        var item = first.Item;
        var record = t.Append(new(key, RecordKinds.Refused, item, station, said.OccurredAt, said.Person ?? "", RecordJson.Text(new RefusedBody(said, station, item, refusal))));
        return new MessageRefused(record.Sequence, item, refusal, Repeat: false);
    }

    /// <summary>The answer that a record stands for: the same whenever it is asked again.</summary>
    static MessageOutcome AnswerOf(LedgerRecord record, bool repeat)
    {
        if (record.Kind == RecordKinds.Refused)
        {
            var refused = RecordJson.Read<RefusedBody>(record.Body);
            return new MessageRefused(record.Sequence, refused.Unit, refused.Decided, repeat);
        }

        if (record.Kind == RecordKinds.ReferenceRun)
        {
            var (said, decided) = RecordJson.Read<ReferenceRunBody>(record.Body);
            return TakeReferenceRun.Answer(record, decided, said, repeat);
        }

        return Answer(record, RecordJson.Read<StepBody>(record.Body).Decided, repeat);
    }

    static MessageAnswer Answer(LedgerRecord record, StepDecision decided, bool repeat) => new(
        record.Sequence, decided.Unit, decided.Step, decided.Stage, decided.Verdict, decided.Serial,
        decided.Holds.Select(h => h.Reason).ToList(), Readings(decided), decided.LoadTest?.Verdict?.Distance, repeat, decided.Warnings);

    static List<AnswerReading> Readings(StepDecision decided)
    {
        var own = decided.Readings.Select(r => new AnswerReading(r.Id, r.Verdict?.ToString().ToLowerInvariant()));
        var run = decided.LoadTest?.Verdict?.Requirements.Select(r => new AnswerReading(r.Id, r.Verdict.ToString().ToLowerInvariant())) ?? [];
        return own.Concat(run).ToList();
    }
}
