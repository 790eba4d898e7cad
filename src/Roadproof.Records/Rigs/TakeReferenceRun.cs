using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;
using static System.FormattableString;

namespace Roadproof.Records.Rigs;

/// <summary>Takes a run of a reference unit: it says whether the rig may judge, and never becomes a unit of the line.</summary>
static class TakeReferenceRun
{
    /// <param name="run">What judging its captures came to; null while one is still to come.</param>
    /// <returns>An answer, or what stands in the way.</returns>
    public static Outcome<MessageAnswer> Decide(LedgerTransaction t, string station, StationMessage said, PlantContext plant, (RouteRevision Revision, ReferenceUnit Unit) reference, ReferenceOutcome? run)
    {
        var (revision, unit) = reference;
        var place = plant.At(station)!.StationOf(station)!;
        if (revision.StationOf(station) is null || revision.StepOf(place.Step) is not { Kind: StepKind.LoadTest } step || said.Step != step.Id)
            return new Refusal($"{unit.Code} is a reference unit: it is no unit of the line.", $"Take it back to its place at the rigs of {revision.Line.Name}.", "a unit of the line", unit.Name);

        var s = new Situation(t.Connection, t.Transaction, place, said, revision, step, null, [], null, null, null, null);
        if (said.Kind == "request" && (StationInterlocks.Broken(s).FirstOrDefault() ?? Busy(t, station)) is { } broken) return broken;
        if (said.Stage != "finish") return new MessageAnswer(0, unit.Code, said.Step, said.Stage, null, null, [], [], null, Repeat: false, []);
        if (said.Kind == "request" && run is null)
            return new Refusal($"The captures of {unit.Code} are not here.", "Send the captures first, then the run that names them.", "captures", said.Captures.Count == 0 ? "none named" : "not here yet");

        var decided = Decision(t, station, said, unit, plant, run ?? new(null, "its captures were never here", null));
        var record = t.Append(new(said.Key, RecordKinds.ReferenceRun, unit.Code, station, said.OccurredAt, said.Person ?? "", RecordJson.Text(new ReferenceRunBody(said, decided))));
        ReferenceCaptures.Retire(t, station);
        return Answer(record, decided, said, repeat: false);
    }

    static Refusal? Busy(LedgerTransaction t, string station) => t.Connection.Rows(
        "select unit from station_state where station = @station and unit is not null", new { station }, t.Transaction, row => row.GetString(0)).FirstOrDefault() is { } occupant
        ? new($"{station} is busy with {occupant}.", $"Finish {occupant} first.", $"{station} free", occupant)
        : null;

    static ReferenceRunDecision Decision(LedgerTransaction t, string rig, StationMessage said, ReferenceUnit unit, PlantContext plant, ReferenceOutcome run)
    {
        var kind = unit.Kind == ReferenceKind.Sound ? "sound" : "known-bad";
        ReferenceRunDecision Says(string outcome, string reason, ReferenceVerdict? readings = null) => new(rig, unit.Id, kind, outcome, reason, readings, run.Verdict, [], []);
        if (run.Verdict is not { } verdict) return Says("problem", run.Problem);

        var asked = RigBook.AskedOf(plant, rig)!;
        var runs = ReferenceRow.Of(t.Connection, t.Transaction, rig, RigBook.LastCalibration(t.Connection, t.Transaction, rig));
        var level = LevelOf(runs);
        var readings = run.Judge?.Judge(verdict, level);
        if (RigBook.WarmUpRunsDone(t.Connection, t.Transaction, rig, asked, said.OccurredAt) is { } done)
            return Says("warm-up", Invariant($"warm-up run {done + 1} of {asked.WarmUpRuns}"), readings is null ? null : readings with { Level = level });

        if (unit.Kind == ReferenceKind.KnownBad)
            return verdict.Verdict == RunVerdict.Pass ? WithUnits(t, Says("passed", $"{unit.Name} was passed"), LastGood(t, rig, unit.Id, "stopped")) : Says("stopped", "", null);
        if (verdict.Kind is { IdleIsKnown: false }) return Says("problem", "how long it had stood is not known, and its grease may have settled; run it again");
        return readings!.Good ? Says("good", "", readings) : WithUnits(t, Says("out", readings.Reason, readings), LastGood(t, rig, null, "good"));
    }

    static ReferenceRunDecision WithUnits(LedgerTransaction t, ReferenceRunDecision decided, long good)
    {
        var (held, shipped) = SuspectUnits.Of(t, decided.Rig, good);
        // What an earlier run of this stop has stopped already is not stopped twice.
        var open = t.Connection.Rows("select unit from hold where cause = @cause and released_at is null", new { cause = Cause(decided.Rig) }, t.Transaction, row => row.GetString(0)).ToHashSet(StringComparer.Ordinal);
        return decided with { Held = [.. held.Where(u => !open.Contains(u.Unit))], Shipped = shipped };
    }

    // A rig that was calibrated since was wrong or right before that all the same.
    static long LastGood(LedgerTransaction t, string rig, string? reference, string outcome) => t.Connection.Rows(
        "select coalesce(max(sequence), 0) from reference_run where rig = @rig and outcome = @outcome and (@reference is null or reference = @reference)",
        new { rig, outcome, reference }, t.Transaction, row => row.GetInt64(0))[0];

    // What a rig adds is its own, whichever sound reference shows it.
    static RigLevel LevelOf(List<ReferenceRow> runs) =>
        runs.FindLast(r => r.Level is not null)?.Level is { } level ? RecordJson.Read<RigLevel>(level) : RigLevel.None;

    public static string Cause(string rig) => $"rig:{rig}";

    public static MessageAnswer Answer(LedgerRecord record, ReferenceRunDecision d, StationMessage said, bool repeat) => new(
        record.Sequence, record.Item, said.Step, said.Stage, d.Outcome switch { "out" or "passed" => "fail", "problem" => "hold", "warm-up" => null, _ => "pass" }, null,
        d.StopsRig || d.Outcome == "problem" ? [$"{d.Rig} may not judge: {d.Reason}."] : [], [], d.Run?.Distance, repeat,
        [
            .. d.Outcome == "warm-up" ? [$"{d.Rig} was cold: {d.Reason}, which does not count."] : (string[])[],
            .. d.Held.Count > 0 ? [Invariant($"{d.Held.Count} units that it judged are on hold: {string.Join(", ", d.Held.Select(u => u.Unit))}.")] : (string[])[],
            .. d.Shipped.Count > 0 ? [Invariant($"{d.Shipped.Count} more have left: {string.Join(", ", d.Shipped.Select(u => u.Unit))}.")] : (string[])[],
        ]);
}
