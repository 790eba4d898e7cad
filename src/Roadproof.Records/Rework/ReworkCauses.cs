using System.Globalization;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.ReadModel;
using static System.FormattableString;

namespace Roadproof.Records.Rework;

/// <summary>What may be wrong with a stopped unit: by the load test's diagnosis, or by which lots, stations and screws go with the same stop.</summary>
sealed class ReworkCauses
{
    /// <summary>Over all lots and stations compared, chance alone names one this often.</summary>
    const double ByChance = 0.05;
    const int Shown = 5;
    const int ShownLooks = 6;

    readonly RouteRevision revision;
    readonly UnitView view;
    readonly StepRow? stopped;
    readonly Lazy<StepFails> fails;

    public ReworkCauses(SqliteConnection c, RouteRevision revision, UnitView view, StepRow? stopped)
    {
        (this.revision, this.view, this.stopped) = (revision, view, stopped);
        fails = new(() => new(c, revision, stopped!.Step, Failed()));
    }

    public IReadOnlyList<ReworkCause> OfLoadTest(LoadTestVerdict verdict, MeasurementAdvice advice)
    {
        var own = revision.Parts.Where(p => revision.Steps.Any(s => s.Parts.Any(put => put.Part == p.Id))).ToList();
        return
        [
            .. from cause in advice.Remaining.Take(Shown)
               let line = verdict.Diagnosis.First(d => d.Fault == cause.Fault)
               select new ReworkCause("fault", cause.Fault, cause.Name, cause.Probability, cause == advice.Remaining[0], line.LookFirst, [.. FaultParts.Of(cause.Fault, own).SelectMany(part => Looks(part, cause.Fault)).Distinct().Take(ShownLooks)]),
        ];
    }

    /// <summary>Of a station's check: the screws that were out, then the lots and the station that the same stop goes with more often than by chance, then the others.</summary>
    public IReadOnlyList<ReworkCause> OfCheck()
    {
        if (stopped is null || revision.StepOf(stopped.Step) is not { } step) return [];
        var lots = view.Parts.Where(p => p.Lot is not null && p.StepNumber <= stopped.Number).DistinctBy(p => p.Lot).ToList();
        var many = revision.Line.Stations.Count(s => s.Step == step.Id) > 1;
        var compared = lots.Count + (many ? 1 : 0);
        var causes = lots.Select(p => (P: fails.Value.OfLot(p.Lot!), Cause: (Func<FailShare, bool, ReworkCause>)((f, likely) =>
                new("lot", p.Lot!, Invariant($"{p.Name}, lot {p.Lot}"), null, likely, Word(f, "with it", "without", compared), [.. Looks(p.Part)]))))
            .Append((P: fails.Value.OfStation(stopped.Station), Cause: (f, likely) =>
                new("station", stopped.Station, Invariant($"{step.Name} at {stopped.Station}: its gauge or tool"), null, likely, many ? Word(f, "here", "at the others", compared) : Alone(f), [])))
            .Select(c => (c.P, Cause: c.Cause(c.P, c.P.P * compared < ByChance)))
            .OrderBy(c => c.P.P).ThenByDescending(c => c.Cause.Kind == "station").ThenByDescending(c => c.Cause.Looks.Any(l => l.Step == step.Id))
            .Select(c => c.Cause).ToList();
        return [.. Screws(step), .. causes.Take(Shown)];
    }

    IEnumerable<ReworkCause> Screws(RouteStep step) =>
        from w in view.Screws
        where w.Step == step.Id && w.Attempt == stopped!.Attempt && w.Verdict != "pass"
        let g = step.Screws.FirstOrDefault(s => s.Id == w.Group)
        where g is not null
        select new ReworkCause("screw", Invariant($"{w.Group}-{w.Number}"), Invariant($"{w.Name}, screw {w.Number}"), null, true,
            string.Create(CultureInfo.InvariantCulture, $"{w.TorqueNm:0.0#} N·m at {w.AngleDeg:0}°: {Sign(w, g)}"), [.. Looks(g.PartId())]);

    // Two windows, four signs; common practice, no source.
    static string Sign(UnitScrew w, ScrewGroup g) => (w.TorqueNm < g.TorqueLowerNm, w.TorqueNm > g.TorqueUpperNm, w.AngleDeg < g.AngleLowerDeg, w.AngleDeg > g.AngleUpperDeg) switch
    {
        (true, _, _, true) => "turned far and never tight, as with a stripped thread, a missing part or a soft gasket",
        (true, _, _, _) => "stopped before it was tight: look at the driver's setting and its record",
        (_, _, true, _) => "tight too soon, as with a crossed thread, dirt, a wrong or used screw",
        (_, true, _, _) => "driven past its torque: look at the driver's setting and its record",
        (_, _, _, true) => "turned far before it was tight: something gives way under the head",
        _ => "within the guard band: measure it again with a calibrated wrench",
    };

    // Of a part that the plant built itself the lots that went into it, such as the magnets of a rotor, are looked at behind it; for a fault of the load test those that could show in it.
    IEnumerable<ReworkLook> Looks(string part, string? fault = null) => view.Parts
        .Where(p => p.Part == part || (p is { Via: not null, Lot: not null } && view.Parts.Any(b => b.Part == part && b.BuiltUnit == p.Via)
            && (fault is null || revision.Parts.Any(d => d.Id == p.Part && FaultParts.MayShow(fault, d)))))
        .OrderBy(p => p.Via is not null).Select(p =>
    {
        var step = view.Steps.FirstOrDefault(s => s.Step == p.Step);
        return new ReworkLook(p.Part, p.Name, p.Serial, p.Lot, p.LotState, p.Step, step?.Name ?? p.Step, step?.Station, step?.Word ?? "", p.Lot is null || stopped is null ? null : fails.Value.OfLot(p.Lot), p.BuiltUnit, p.Via);
    });

    // A load test is stopped for what it reads together: every stop counts.
    List<string> Failed() => revision.StepOf(stopped!.Step)?.Kind == StepKind.LoadTest ? [] :
    [
        .. view.Readings.Where(r => r.Step == stopped.Step && r.Attempt == stopped.Attempt && r.Reading is { Verdict: not Engineering.Judging.Verdict.Pass }).Select(r => r.Id),
        .. view.Screws.Where(w => w.Step == stopped.Step && w.Attempt == stopped.Attempt && w.Verdict != "pass").Select(w => w.Group).Distinct(),
    ];

    static string Word(FailShare f, string inside, string outside, int compared)
    {
        var counts = Invariant($"{f.Stopped} of {f.Of} {inside} were stopped for this, {f.OtherStopped} of {f.OtherOf} {outside}");
        if (f.OtherOf == 0) return Invariant($"{counts}: nothing to compare with.");
        var chance = Math.Min(1, f.P * compared);
        return chance < ByChance ? Invariant($"{counts}: by chance once in {Math.Max(20, 1 / chance):0}, with {compared} compared.") : Invariant($"{counts}: may be chance.");
    }

    static string Alone(FailShare f) => Invariant($"{f.Stopped} of the last {f.Of} were stopped for this. No other station to compare with: check it with its master.");
}
