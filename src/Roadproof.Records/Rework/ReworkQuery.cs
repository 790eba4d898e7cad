using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Rework;

/// <summary>A stopped unit: what failed, what may be wrong, what to measure next, what may be done and what has to be passed again.</summary>
public static class ReworkQuery
{
    /// <param name="code">Shell code or serial number.</param>
    /// <returns>Null where no unit has that code.</returns>
    public static ReworkView? Run(SqliteConnection c, PlantContext plant, string code)
    {
        if (UnitRow.Find(c, null, code) is not { } unit || UnitQuery.Run(c, plant, code) is not { } view) return null;
        var revision = plant.RevisionOf(unit.Revision);
        var steps = StepRow.Of(c, null, unit.Unit);
        var stopped = unit.State == "held" ? AtBench.StoppedAt(steps) : null;
        var verdict = AtBench.VerdictOf(c, null, unit.Unit, stopped);
        var holds = view.Holds.Where(h => h.ReleasedAt is null).ToList();
        var ways = Ways(revision, steps);
        var taken = Taken(c, unit.Unit, stopped);
        var readings = BenchReadings.Of(c, null, plant, unit.Unit, revision);
        var causes = new ReworkCauses(c, revision, view, stopped);
        var advice = verdict is null || revision.Product.LoadTest is not { } plan ? new([], [], [])
            : NextMeasurement.Of(verdict.Diagnosis, plan.Unit, Possible(readings, revision, steps, view, stopped!, taken));
        string NameOf(string fault) => verdict?.Diagnosis.FirstOrDefault(d => d.Fault == fault)?.Name ?? fault;
        ReworkPair Named(CausePair p) => new(NameOf(p.One), NameOf(p.Other));

        return new(unit.Unit, unit.Serial, revision.Product.Name, unit.State, [.. holds.Select(h => h.Reason)], StopOf(revision, stopped), holds.Count == 0 ? null : holds.Min(h => h.At),
            ReworkWait.For(c, plant, unit, steps, revision), Requirements(view, stopped, verdict), Expectations(verdict), verdict?.SigmaLimit,
            [.. view.Screws.Where(s => stopped is not null && s.Step == stopped.Step && s.Attempt == stopped.Attempt && s.Verdict != "pass")], Texts(revision, view, stopped),
            verdict is null ? causes.OfCheck() : causes.OfLoadTest(verdict, advice), [.. advice.Measurements.Select(m => Measurement(m, readings.First(r => r.Reading.Id == m.Id), stopped!, Named))], [.. advice.CannotTell.Select(Named)],
            advice.CannotTell.Count == 0 ? "" : verdict!.Diagnosis.FirstOrDefault(d => d.Fault == advice.CannotTell[0].One)?.NextMeasurement ?? "",
            [.. taken.Select(t => t.Shown)], Parts(view, revision), Swaps(c, unit.Unit, revision), ways, (int)unit.Repairs, revision.Product.RepairsAtMost)
        {
            Retest = view.Retest,
            Stops = view.Stops,
            Readings = [.. readings.Select(r => new ReworkReading(r.Reading.Id, r.Name, r.Reading.Unit, r.Reading.Text))],
            AsksWho = revision.Steps.Any(s => s.Qualification is not null) || revision.Line.Stations.Any(s => s.Zone is not null),
        };
    }

    static ReworkStop? StopOf(RouteRevision revision, StepRow? stopped) => stopped is null || revision.StepOf(stopped.Step) is not { } step ? null
        : new(step.Id, step.Number, step.Name, stopped.Station, (int)stopped.Attempt, Utc.Read(stopped.EndedAt!), stopped.Verdict ?? "");

    // What failed first, then what nobody can decide; each with how sure it is.
    static List<RequirementReading> Requirements(UnitView view, StepRow? stopped, LoadTestVerdict? verdict)
    {
        var own = view.Readings.Where(r => stopped is not null && r.Step == stopped.Step && r.Attempt == stopped.Attempt).Select(r => r.Reading).OfType<RequirementReading>();
        return [.. own.Concat(verdict?.Requirements ?? []).Where(r => r.Verdict != Verdict.Pass).OrderBy(r => r.Verdict == Verdict.Fail ? 0 : 1).ThenBy(r => r.ConformanceProbability)];
    }

    static List<ExpectationReading> Expectations(LoadTestVerdict? verdict)
    {
        var all = verdict?.Expectations.OrderByDescending(e => Math.Abs(e.Sigma)).ToList() ?? [];
        var unusual = all.Where(e => e.Verdict == Verdict.Unusual).ToList();
        // Unusual only together: the farthest say in which direction.
        return unusual.Count > 0 || verdict?.Requirements.Any(r => r.Verdict == Verdict.Fail) == true ? unusual : [.. all.Take(3)];
    }

    static List<string> Texts(RouteRevision revision, UnitView view, StepRow? stopped) =>
    [
        .. from r in view.Readings
           where stopped is not null && r.Step == stopped.Step && r.Attempt == stopped.Attempt && r.Text is not null
           let limit = revision.StepOf(r.Step)?.Readings.FirstOrDefault(d => d.Id == r.Id)
           where limit?.Equal is not null && limit.Equal != r.Text
           select $"{limit.Name}: {r.Text} read, {limit.Equal} required",
    ];

    static List<ReworkWay> Ways(RouteRevision revision, IReadOnlyList<StepRow> steps) =>
    [
        .. from step in revision.Steps
           where steps.Any(s => s.Step == step.Id)
           let again = ReleaseUnit.Again(revision, steps, step)
           select new ReworkWay(step.Id, step.Number, step.Name, [.. again.Select(a => revision.StepOf(a)!.Name)], again.Sum(a => revision.StepOf(a)!.WorkS), ReleaseUnit.IsRepair(steps, step)),
    ];

    static List<ReworkPart> Parts(UnitView view, RouteRevision revision) =>
    [
        .. from p in view.Parts
           where p.Via is null
           let part = revision.Parts.FirstOrDefault(d => d.Id == p.Part)
           where part is { Shell: false }
           select new ReworkPart(p.Part, p.Name, p.Serial, p.Lot, p.LotState, p.Step, part.Serialised),
    ];

    static List<ReworkSwap> Swaps(SqliteConnection c, string unit, RouteRevision revision) => c.Rows(
        """
        select o.part, o.lot, o.serial, o.place, o.step, o.reason, o.at, o.person, o.settled, p.lot, p.serial
        from part_out o left join part_use p on p.sequence = o.sequence and p.unit = o.unit and p.via is null where o.unit = @unit order by o.sequence desc
        """,
        new { unit }, null,
        row => new ReworkSwap(row.GetString(0), revision.Parts.FirstOrDefault(p => p.Id == row.GetString(0))?.Name ?? row.GetString(0), row.Text(1), row.Text(2), row.GetString(3), row.GetString(4), row.GetString(5),
            Utc.Read(row.GetString(6)), row.GetString(7) is { Length: > 0 } person ? person : null, row.Text(9), row.Text(10), row.GetBoolean(8)));

    static List<(ReworkTaken Shown, double? Value)> Taken(SqliteConnection c, string unit, StepRow? stopped) => c
        .Query<TakenRow>("select id Id, name Name, value Value, unit_word UnitWord, text Text, at At, person Person from rework_measurement where unit = @unit and sequence > @since order by sequence", new { unit, since = stopped?.Sequence ?? 0 })
        .Select(r => (new ReworkTaken(r.Id, r.Name, r.Text ?? $"{Wording.Number(r.Value ?? 0)} {r.UnitWord}".TrimEnd(), Utc.Read(r.At), r.Person.Length > 0 ? r.Person : null), r.Value))
        .ToList();

    /// <summary>The readings that the model can say something about, with what they cost now and what was read of this unit.</summary>
    static List<PossibleMeasurement> Possible(
        IReadOnlyList<BenchReading> readings, RouteRevision revision, IReadOnlyList<StepRow> steps, UnitView view, StepRow stopped, List<(ReworkTaken Shown, double? Value)> taken) =>
    [
        .. from b in readings
           let r = b.Reading
           where r.Quantity is not null
           let atBench = taken.LastOrDefault(t => t.Shown.Id == r.Id).Value
           select new PossibleMeasurement(r.Id, b.Name, r.Unit, r.Quantity!.Value, r.UsualValue, r.UsualSpread, r.StandardUncertainty, CostS(revision, b, stopped), atBench ?? Read(view, steps, b)),
    ];

    // Of the attempt that counts; what lies behind a way back was of another state of the unit, and what a cell read of a part was before it went in.
    static double? Read(UnitView view, IReadOnlyList<StepRow> steps, BenchReading b) =>
        b.Into is null && steps.LastOrDefault(s => s.Step == b.Step.Id) is { SentBack: 0 } last
            ? view.Readings.Where(v => v.Step == b.Step.Id && v.Id == b.Reading.Id && v.Attempt == last.Attempt).Select(v => v.Reading?.RawValue ?? Number(v.Text)).FirstOrDefault()
            : null;

    static double? Number(string? text) => double.TryParse(text?.Split(' ')[0], System.Globalization.CultureInfo.InvariantCulture, out var value) ? value : null;

    // A step that lies ahead can be measured at its own place and nothing is undone; one that lies behind is passed again with all that follows. A part is taken out for it.
    static double CostS(RouteRevision revision, BenchReading b, StepRow stopped) =>
        (b.Into is null && !IsAhead(b, stopped) ? 0 : b.Step.WorkS) + (IsAhead(b, stopped) ? 0 : revision.Steps.Where(s => s.Number >= (b.Into ?? b.Step).Number && s.Number <= stopped.Number).Sum(s => s.WorkS));

    static bool IsAhead(BenchReading b, StepRow stopped) => b.Into is null && b.Step.Number >= stopped.Number;

    static ReworkMeasurement Measurement(MeasurementPower m, BenchReading b, StepRow stopped, Func<CausePair, ReworkPair> named) =>
        new(m.Id, b.Name, b.Reading.Unit, b.Step.Id, b.Step.Name, b.Part, IsAhead(b, stopped), m.CostS, [.. m.TellsApart.Select(named)], m.Expected);

    sealed record TakenRow
    {
        public string Id { get; init; } = "";
        public string Name { get; init; } = "";
        public double? Value { get; init; }
        public string UnitWord { get; init; } = "";
        public string? Text { get; init; }
        public string At { get; init; } = "";
        public string Person { get; init; } = "";
    }
}
