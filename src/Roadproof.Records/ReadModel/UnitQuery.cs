using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Curves;
using Roadproof.Records.Definitions;
using Roadproof.Records.Genealogy;
using Roadproof.Records.Items;
using Roadproof.Records.Lots;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;
using Roadproof.Records.Rework;

namespace Roadproof.Records.ReadModel;

/// <summary>Everything about one unit.</summary>
public static class UnitQuery
{
    /// <summary>Whether a unit has that shell code or serial number.</summary>
    public static bool IsKnown(SqliteConnection c, string code) => UnitRow.Find(c, null, code) is not null;

    /// <param name="code">Shell code or serial number.</param>
    /// <returns>Null where no unit has that code.</returns>
    public static UnitView? Run(SqliteConnection c, PlantContext plant, string code)
    {
        if (UnitRow.Find(c, null, code) is not { } unit) return null;
        var revision = plant.RevisionOf(unit.Revision);
        var more = c.QueryFirst<MoreRow>(
            "select customer, box, scrap_reason ScrapReason, stopped_at StoppedAt, (select station from station_state s where s.unit = u.unit) Station from unit u where unit = @Unit", new { unit.Unit });
        var rows = StepRow.Of(c, null, unit.Unit);
        var persons = c.Query<(string Step, long Attempt, string Person, string Word)>("select step, attempt, person, word from unit_step where unit = @Unit", new { unit.Unit })
            .ToDictionary(p => (p.Step, p.Attempt), p => (p.Person, p.Word));
        var readings = Readings(c, unit.Unit);
        var holds = Holds(c, unit.Unit);
        var records = LedgerRows.OfItem(c, unit.Unit).ToList();
        return new(unit.Unit, unit.Serial, revision.Product.Name, revision.Id, unit.State, Sentence(unit, more, revision, holds, unit.State == "held" ? AtBench.Headline(c, unit.Unit, rows, revision) : null), Where(unit, more, revision),
            Utc.Read(unit.StartedAt), Utc.ReadOrNull(unit.ScrappedAt ?? unit.ShippedAt), more.Customer, more.Box,
            revision.Steps.Select(s => Step(s, rows, persons, readings)).ToList(), Parts(c, unit.Unit, revision), readings,
            LoadTests(c, unit.Unit), holds, UnitEvents.Of(records, holds, revision), LedgerCheck.OfItem(c, unit.Unit))
        {
            Screws = Screws(c, unit.Unit, revision),
            Order = unit.Order is null ? null : OrderQuery.Of(c, plant, unit.Order),
            Curves = Curves(c, unit.Unit, revision),
            Was = Was(c, unit.Unit, revision),
            Stops = unit.State == "held" ? AtBench.Stops(c, unit.Unit, rows) : [],
            Retest = RetestQuery.Of(c, unit, rows, revision, readings.Where(r => r.Reading is not null).Select(r => (r.Step, r.Attempt, r.Reading!))),
        };
    }

    static string Sentence(UnitRow unit, MoreRow more, RouteRevision revision, IReadOnlyList<UnitHold> holds, string? headline)
    {
        var open = holds.Where(h => h.ReleasedAt is null).ToList();
        var next = unit.NextStep is null ? null : revision.StepOf(unit.NextStep);
        return unit.State switch
        {
            "scrapped" => $"Scrapped: {more.ScrapReason}.",
            "shipped" when open.Count > 0 => $"Shipped to {more.Customer ?? "a customer"}, and should not have been: {open[0].Reason.TrimEnd('.')}.",
            "shipped" => $"{(more.StoppedAt is null ? "Passed everything" : "Passed after it was stopped")}, shipped to {more.Customer ?? "a customer"}.",
            // A load test that stopped it says more than its hold: which test, how far beyond which limit, and what the evidence says.
            "held" => $"Held: {(open[0].Cause.StartsWith("step:", StringComparison.Ordinal) ? headline : null) ?? open[0].Reason.TrimEnd('.')}{(open.Count > 1 ? $", and {Figures.Of(open.Count - 1, "more reason")}" : "")}.",
            _ when more.Station is not null && next is not null => $"{next.Name} is running at {more.Station}.",
            "passed" => $"Passed its load test, waits for {next?.Name ?? "nothing"}.",
            _ => $"Waits for {next?.Name ?? "nothing"}.",
        };
    }

    static string Where(UnitRow unit, MoreRow more, RouteRevision revision) => unit.State switch
    {
        "scrapped" => "scrap",
        "shipped" => more.Box is null ? "shipped" : $"shipped, box {more.Box}",
        "held" => "hold rack",
        _ when more.Station is not null => more.Station,
        _ when unit.NextStep is not null => $"before {Route.StationsOf(revision, unit.NextStep)}",
        _ => "end of the line",
    };

    static UnitStep Step(RouteStep step, IReadOnlyList<StepRow> rows, Dictionary<(string Step, long Attempt), (string Person, string Word)> persons, IReadOnlyList<UnitReading> readings)
    {
        if (rows.LastOrDefault(r => r.Step == step.Id) is not { } row) return new(step.Id, step.Number, step.Name, null, "waiting", null, null, 0, "", null);
        var (person, word) = persons[(row.Step, row.Attempt)];
        var sentBack = row is { SentBack: 1, Stands: 0 };
        var said = row switch
        {
            _ when sentBack => "to be done again",
            { Verdict: "pass", Stands: 0 } => $"{word}, one pass of two",
            { Verdict: "hold", Stands: 1 } => $"{word}, let go on by a person",
            _ => word,
        };
        return new(step.Id, step.Number, step.Name, row.Station, sentBack ? "waiting" : State(row, readings), Utc.ReadOrNull(row.BeganAt), Utc.ReadOrNull(row.EndedAt), (int)row.Attempt, said, person.Length > 0 ? person : null);
    }

    static string State(StepRow row, IReadOnlyList<UnitReading> readings) => row.Verdict switch
    {
        null or "waiting" => "running",
        "hold" when readings.Any(r => r.Step == row.Step && r.Attempt == row.Attempt && r.Reading?.Verdict == Verdict.Undecided) => "undecided",
        var verdict => verdict,
    };

    static List<UnitPart> Parts(SqliteConnection c, string unit, RouteRevision revision) => c
        .Query<PartRow>(
            $"""
            {LotFamily.Held}
            select p.part Part, p.step Step, p.step_number StepNumber, p.lot Lot, p.serial Serial, case when p.lot in (select lot from held) then 'held' else coalesce(l.state, '') end LotState, p.used_at UsedAt, p.built_unit BuiltUnit, p.via Via,
              (select count(distinct o.unit) from part_use o where o.lot = p.lot and o.replaced is null) UnitsWithLot
            from part_use p left join lot l on l.lot = p.lot where p.unit = @unit and p.replaced is null order by p.step_number, p.via is not null, p.part
            """,
            new { unit })
        .Select(p => new UnitPart(p.Part, revision.Parts.FirstOrDefault(d => d.Id == p.Part)?.Name ?? p.Part, p.Step, (int)p.StepNumber, p.Lot, p.Serial, p.LotState, (int)p.UnitsWithLot, Utc.Read(p.UsedAt), p.BuiltUnit, p.Via))
        .ToList();

    static List<UnitPartWas> Was(SqliteConnection c, string unit, RouteRevision revision) => GenealogyQuery.PartsOf(c, unit)
        .Where(p => p.OutAt is not null)
        .Select(p => new UnitPartWas(p.Part, revision.Parts.FirstOrDefault(d => d.Id == p.Part)?.Name ?? p.Part, p.Lot, p.Serial, p.Step, p.At, p.OutAt!.Value, p.Place, p.Why))
        .ToList();

    static List<UnitReading> Readings(SqliteConnection c, string unit) => c
        .Query<ReadingRow>(
            "select step Step, station Station, taken_at TakenAt, attempt Attempt, id Id, value Value, unit_word UnitWord, text Text, judgement Judgement from reading where unit = @unit order by sequence, id", new { unit })
        .Select(r => new UnitReading(r.Step, r.Station, Utc.Read(r.TakenAt), (int)r.Attempt, r.Judgement is null ? null : RecordJson.Read<RequirementReading>(r.Judgement), r.Id,
            r.Text ?? (r.Judgement is null && r.Value is { } value ? $"{Wording.Number(value)} {r.UnitWord}".TrimEnd() : null)))
        .ToList();

    static List<UnitScrew> Screws(SqliteConnection c, string unit, RouteRevision revision)
    {
        var names = revision.Steps.SelectMany(s => s.Screws).ToDictionary(g => g.Id, g => g.Name, StringComparer.Ordinal);
        return c
            .Query<(string Step, long Attempt, string Group, long Number, double TorqueNm, double? AngleDeg, string Verdict)>(
                """
                select w.step, w.attempt, w.screws, w.number, w.torque_nm, w.angle_deg, w.verdict from screw w join unit_step s using (unit, step, attempt)
                where w.unit = @unit order by s.number, w.attempt, w.screws, w.number
                """,
                new { unit })
            .Select(w => new UnitScrew(w.Step, (int)w.Attempt, w.Group, names.GetValueOrDefault(w.Group, w.Group), (int)w.Number, w.TorqueNm, w.AngleDeg, w.Verdict))
            .ToList();
    }

    static List<UnitCurve> Curves(SqliteConnection c, string unit, RouteRevision revision)
    {
        var names = revision.Steps.SelectMany(s => s.Screws.Select(g => (g.Id, g.Name)).Concat(s.Readings.Select(r => (r.Id, r.Name)))).Append((Id: FunctionalPlan.CheckId, Name: FunctionalCurveCheck.Title)).DistinctBy(n => n.Id).ToDictionary(n => n.Id, n => n.Name, StringComparer.Ordinal);
        return c
            .Query<(string Step, long Attempt, string Id, string Sha256, string? Judgement, string Problem, string? State)>(
                """
                select k.step, k.attempt, k.id, k.sha256, k.judgement, k.problem, r.state from curve_check k
                join unit_step s using (unit, step, attempt) left join capture_ref r using (unit, step, attempt, sha256)
                where k.unit = @unit order by s.number, k.attempt, k.id
                """,
                new { unit })
            .Select(k => new UnitCurve(k.Step, (int)k.Attempt, k.Id, names.GetValueOrDefault(k.Id, k.Id), k.Sha256, k.Judgement is null ? null : RecordJson.Read<JudgedCurve>(k.Judgement), k.Problem,
                k.State is null or "awaited" ? "missing" : k.State))
            .ToList();
    }

    static List<UnitLoadTest> LoadTests(SqliteConnection c, string unit)
    {
        var captures = CapturesOf(c, unit);
        return c
            .Query<RunRow>("select step_sequence StepSequence, rig Rig, attempt Attempt, at At, state State, judgement Judgement, problem Problem, method Method from load_test where unit = @unit order by attempt, sequence", new { unit })
            .Select(r => new UnitLoadTest(r.Rig, (int)r.Attempt, Utc.Read(r.At), r.Judgement is null ? null : RecordJson.Read<LoadTestVerdict>(r.Judgement),
                r.State == "waiting" ? "Waits for its captures." : r.Problem,
                captures[r.StepSequence].ToList(), r.Method))
            .ToList();
    }

    /// <summary>The files that runs of a unit, or of a reference unit, named, by the record that named them.</summary>
    internal static ILookup<long, UnitCapture> CapturesOf(SqliteConnection c, string unit) => c.Query<CaptureRow>(
        "select r.sequence StepSequence, r.sha256 Sha256, r.name Name, r.state State, coalesce(k.bytes, 0) Bytes from capture_ref r left join capture k on k.sha256 = r.sha256 where r.unit = @unit order by r.name", new { unit })
        .ToLookup(r => r.StepSequence, k => new UnitCapture(k.Sha256, k.Name, k.State == "awaited" ? "missing" : k.State, k.Bytes));

    static List<UnitHold> Holds(SqliteConnection c, string unit) => c
        .Query<HoldRow>("select reason Reason, cause Cause, at At, released_at ReleasedAt, release_reason ReleaseReason, coalesce(released_by, by) By from hold where unit = @unit order by id", new { unit })
        .Select(h => new UnitHold(h.Reason, h.Cause, Utc.Read(h.At), Utc.ReadOrNull(h.ReleasedAt), h.ReleaseReason, h.By.Length > 0 ? h.By : null))
        .ToList();

    internal sealed record MoreRow
    {
        public string? Customer { get; init; }
        public string? Box { get; init; }
        public string? ScrapReason { get; init; }
        public string? StoppedAt { get; init; }
        public string? Station { get; init; }
    }

    sealed record PartRow
    {
        public string Part { get; init; } = "";
        public string Step { get; init; } = "";
        public long StepNumber { get; init; }
        public string? Lot { get; init; }
        public string? Serial { get; init; }
        public string LotState { get; init; } = "";
        public string UsedAt { get; init; } = "";
        public long UnitsWithLot { get; init; }
        public string? BuiltUnit { get; init; }
        public string? Via { get; init; }
    }

    sealed record ReadingRow(string Step, string Station, string TakenAt, long Attempt, string Id, double? Value, string UnitWord, string? Text, string? Judgement);

    sealed record CaptureRow
    {
        public long StepSequence { get; init; }
        public string Sha256 { get; init; } = "";
        public string Name { get; init; } = "";
        public string State { get; init; } = "";
        public long Bytes { get; init; }
    }

    sealed record RunRow(long StepSequence, string Rig, long Attempt, string At, string State, string? Judgement, string Problem, string Method);

    sealed record HoldRow
    {
        public string Reason { get; init; } = "";
        public string Cause { get; init; } = "";
        public string At { get; init; } = "";
        public string? ReleasedAt { get; init; }
        public string? ReleaseReason { get; init; }
        public string By { get; init; } = "";
    }
}
