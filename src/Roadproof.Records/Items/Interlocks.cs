using System.Globalization;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Curves;
using Roadproof.Records.Definitions;
using Roadproof.Records.Messages;
using Roadproof.Records.Orders;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.Items;

/// <summary>Everything that a decision on one message looks at, as it stands inside the transaction.</summary>
/// <param name="Place">The station, as the unit's own revision has it; one that came later, as the plant has it now.</param>
/// <param name="Revision">As the variant of the unit's order goes it.</param>
/// <param name="Order">The order that the unit is built for, or takes with this step; null where none is.</param>
/// <param name="Run">What judging the captures of a load test came to; null elsewhere, and while one is still to come.</param>
/// <param name="Curves">What judging the curves of the step's checks came to; null while one is still to come.</param>
sealed record Situation(
    SqliteConnection Connection, SqliteTransaction Transaction, StationDefinition Place, StationMessage Said, RouteRevision Revision, RouteStep Step,
    UnitRow? Unit, IReadOnlyList<StepRow> Steps, LoadTestOutcome? Run, IReadOnlyList<CurveOutcome>? Curves, WithdrawnProduct? Withdrawn, OrderRow? Order)
{
    /// <summary>A repair changes a part: what the same step put in before comes out.</summary>
    public bool Swaps { get; init; }

    /// <summary>What the rig can show for itself; null elsewhere, and where no reference units are asked for.</summary>
    public RigStanding? Rig { get; init; }

    public string Station => Place.Id;

    public string UnitCode => Unit?.Unit ?? Said.Item;

    public bool IsFirstStep => Revision.Steps[0].Id == Step.Id;

    /// <summary>The attempt that has begun and not ended.</summary>
    public StepRow? Running => Steps.FirstOrDefault(s => s.Step == Step.Id && s.IsRunning);

    public string StationsOf(RouteStep step) => Route.StationsOf(Revision, step.Id);
}

/// <summary>What stands in the way of a step: each as what was needed, what was found and what to do now, the most telling first.</summary>
/// <remarks>The table of interlocks is in <c>docs/methods/interlocks.md</c>. A request stops at the first; a report is kept and every one puts the unit on hold.</remarks>
static class Interlocks
{
    public static IEnumerable<Refusal> Broken(Situation s) =>
        Place(s).Concat(UnitState(s)).Concat(Order(s)).Concat(Retests.Broken(s)).Concat(Occupied(s)).Concat(OrderInterlocks.Broken(s)).Concat(StationInterlocks.Broken(s)).Concat(RigInterlocks.Broken(s)).Concat(s.Said.Stage switch
        {
            "finish" => Content(s),
            "scan" => PartInterlocks.OfScan(s).Concat(ScrewOrder.Broken(s)),
            _ => [],
        });

    static IEnumerable<Refusal> Content(Situation s) =>
        IsSpoiledMark(s) ? MarkInterlocks.Spoiled(s) : PartInterlocks.Broken(s).Concat(Screws(s)).Concat(Readings(s)).Concat(Captures(s)).Concat(CurveInterlocks.Broken(s)).Concat(MarkInterlocks.Broken(s));

    public static bool IsSpoiledMark(Situation s) =>
        s.Step.Kind == StepKind.Mark && s.Said.Stage == "finish" && s.Said.Readings.Any(r => r.Id == MarkReadings.Spoiled);

    static IEnumerable<Refusal> Place(Situation s)
    {
        if (s.Place.Step == s.Step.Id) yield break;
        var own = s.Revision.StepOf(s.Place.Step)?.Name ?? s.Place.Step;
        yield return new($"{s.Station} does {own}, not {s.Step.Name}.", $"Take {s.UnitCode} to {s.StationsOf(s.Step)}.", s.StationsOf(s.Step), s.Station);
    }

    static IEnumerable<Refusal> UnitState(Situation s)
    {
        var first = s.Revision.Steps[0];
        if (s.Unit is null)
        {
            if (!s.IsFirstStep)
                yield return new($"Unit {s.Said.Item} is not known.", $"Scan the code again; a new unit starts with {first.Name} at {s.StationsOf(first)}.", "a unit that has started", s.Said.Item);
            else if (s.Withdrawn is { } withdrawn)
                yield return new($"{s.Revision.Product.Name} is withdrawn{(withdrawn.Reason.Length > 0 ? $": {withdrawn.Reason.TrimEnd('.')}" : "")}. No new unit starts on it.", "Put the shell aside and tell the shift lead; units on the way go on.", "a product that is built", "a withdrawn one");
            yield break;
        }

        if (s.Unit.State == "scrapped")
            yield return new($"Unit {s.UnitCode} is scrapped.", "Put it aside; it does not come back to the line.", "a unit of the line", "scrapped");
        else if (s.Unit.ShippedAt is not null)
            yield return new($"Unit {s.UnitCode} is already packed and shipped.", "Scan the code again; a returned unit does not re-enter the line.", "a unit of the line", "shipped");
        else if (Inside(s) is { } outer)
            yield return new($"{s.UnitCode} is inside unit {outer}.", $"Scan {outer}; what is inside it is worked on again when it has come out.", "a unit of its own", $"inside {outer}");
        else if (s.IsFirstStep && Route.Stands(s.Steps, first.Id))
            yield return new($"Shell code {s.Said.Item} is already in use: that unit started on {Day(s.Unit.StartedAt)}.", "Scan the shell again; if the code is right, put this shell aside and tell the shift lead.", "a new shell code", s.Said.Item);
        else if (s.Unit.OpenHolds(s.Connection, s.Transaction) is { Count: > 0 } holds)
            yield return new($"Unit {s.UnitCode} is on hold. {string.Join("; ", holds.Select(h => h.TrimEnd('.')))}.", "Put it on the hold rack; a person releases it with a reason.", "a unit free to move", "on hold");
    }

    static string? Inside(Situation s) => s.Connection.Rows(
        "select unit from part_use where built_unit = @UnitCode and replaced is null and via is null limit 1", new { s.UnitCode }, s.Transaction, row => row.GetString(0)).FirstOrDefault();

    static IEnumerable<Refusal> Order(Situation s)
    {
        // The first step of a unit that exists is answered above.
        if (s.Unit is null || s.IsFirstStep) yield break;
        if (s.Steps.LastOrDefault(r => r.Step == s.Step.Id) is { Verdict: "waiting", SentBack: 0 } waiting)
        {
            yield return new($"{s.Step.Name} of {s.UnitCode} has run and waits for its captures.", $"Send the captures of run {waiting.Attempt.ToString(CultureInfo.InvariantCulture)}; the verdict follows by itself. If they are lost, hold {s.UnitCode} and send it back to {s.Step.Name}.", "captures", "a second run");
            yield break;
        }

        var next = Route.Next(s.Revision, s.Steps);
        if (next?.Id == s.Step.Id) yield break;
        if (next is null || Route.Stands(s.Steps, s.Step.Id))
        {
            var remedy = next is null ? "Nothing is left to do on it." : $"Next is {next.Name} at {s.StationsOf(next)}.";
            yield return new($"{s.Step.Name} is already done on {s.UnitCode}.", remedy, next?.Name ?? "nothing", s.Step.Name);
            yield break;
        }

        var missing = s.Revision.Steps.TakeWhile(r => r.Id != s.Step.Id).Where(r => !Route.Stands(s.Steps, r.Id)).ToList();
        var telling = missing.FirstOrDefault(r => Guards(r.Kind, s.Step.Kind)) ?? missing[0];
        var tried = s.Steps.LastOrDefault(r => r.Step == telling.Id) switch
        {
            null => "is missing",
            { Verdict: "pass", SentBack: 0 } => "has passed once of two times",
            _ => "has not passed",
        };
        var reason = s.Step.Kind == StepKind.Pack && missing.Count > 1
            ? $"The record of {s.UnitCode} has gaps: {string.Join(", ", missing.Select(m => m.Name))}."
            : $"{telling.Name} {tried} on {s.UnitCode}; it comes before {s.Step.Name}.";
        yield return new(reason, $"Take it to {s.StationsOf(missing[0])} for {missing[0].Name}.", telling.Name, s.Step.Name);
    }

    // Load test before label, label before mark: what the later step stands for says more than which step happens to be next.
    static bool Guards(StepKind missing, StepKind step) => (missing, step) is (StepKind.LoadTest, StepKind.Label) or (StepKind.Label, StepKind.Mark);

    static IEnumerable<Refusal> Occupied(Situation s)
    {
        foreach (var occupant in s.Connection.Rows(
            "select unit from station_state where station = @Station and unit is not null and unit <> @UnitCode", new { s.Station, s.UnitCode }, s.Transaction, row => row.GetString(0)))
            yield return new($"{s.Station} is busy with {occupant}.", $"Finish {occupant} first.", $"{s.Station} free", occupant);

        if (s.Running is not { } running) yield break;
        if (running.Station != s.Station)
            yield return new($"{s.UnitCode} has begun {s.Step.Name} at {running.Station}.", $"Finish it there.", running.Station, s.Station);
        else if (running.BeganAt is not null && s.Said.Stage == "finish" && Utc.Text(s.Said.OccurredAt).CompareTo(running.BeganAt, StringComparison.Ordinal) < 0)
            yield return new($"{s.Step.Name} of {s.UnitCode} cannot end before it began.", $"Set the clock of {s.Station} and send it again with a new key.", $"after {running.BeganAt}", Utc.Text(s.Said.OccurredAt));
    }

    static IEnumerable<Refusal> Screws(Situation s)
    {
        foreach (var group in s.Step.Screws.Where(g => g.Curve is null))
        {
            var given = s.Said.Screws.Where(w => w.Group == group.Id).Select(w => w.Number).ToList();
            var missing = Enumerable.Range(1, group.Count).Except(given).ToList();
            var twice = given.GroupBy(n => n).Where(g => g.Count() > 1).Select(g => g.Key).ToList();
            var found = $"{Text(given.Distinct().Count())} of {Text(group.Count)}";
            if (missing.Count > 0)
                yield return new($"{group.Name}: {(missing.Count == 1 ? "screw" : "screws")} {Join(missing)} {(missing.Count == 1 ? "has" : "have")} no result.", "Tighten what is missing and send all results.", $"{Text(group.Count)} of {Text(group.Count)}", found);
            if (twice.Count > 0)
                yield return new($"{group.Name}: screw {Join(twice)} was reported twice.", "Check which screw was tightened twice; never tighten again to make it pass.", "each screw once", $"screw {Join(twice)} twice");
        }
    }

    static IEnumerable<Refusal> Readings(Situation s)
    {
        foreach (var reading in s.Step.Readings.Where(r => !s.Step.IsFromCurve(r)))
        {
            if (s.Said.Readings.All(r => r.Id != reading.Id))
                yield return new($"{reading.Name} is missing.", $"Read it and send {s.Step.Name} again with a new key.", reading.Name, "no reading");
        }
    }

    static IEnumerable<Refusal> Captures(Situation s)
    {
        if (s.Step.Kind == StepKind.LoadTest && s.Said.Captures.Count == 0)
            yield return new($"{s.Step.Name} of {s.UnitCode} names no capture.", "Send the captures of the run and name them by their hashes.", "captures", "none");
        foreach (var owner in OtherOwners(s).Distinct(StringComparer.Ordinal))
            yield return new($"The captures are of {owner}, not of {s.UnitCode}.", $"Check which unit is at {s.Station} and send the captures of its own run.", $"captures of {s.UnitCode}", $"captures of {owner}");
    }

    // What the files say of themselves, and what an earlier message said of them.
    static IEnumerable<string> OtherOwners(Situation s) => s.Said.Captures
        .SelectMany(c => s.Connection.Rows("select unit from capture_ref where sha256 = @Sha256 and unit <> @UnitCode", new { c.Sha256, s.UnitCode }, s.Transaction, row => row.GetString(0)))
        .Prepend(s.Run?.OtherUnit)
        .Concat((s.Curves ?? []).Select(c => c.OtherUnit))
        .OfType<string>();

    static string Day(string utc) => utc[..10];

    static string Text(int number) => number.ToString(CultureInfo.InvariantCulture);

    static string Join(IEnumerable<int> numbers) => string.Join(", ", numbers.Select(Text));
}
