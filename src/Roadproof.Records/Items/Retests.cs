using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Items;

/// <summary>The tries of a test as they stand in the records, and what its rule makes of them.</summary>
/// <remarks>Tries are those since the last repair. One that could not be judged, or that began too warm, is none; the rule is <see cref="RetestRule"/>.</remarks>
static class Retests
{
    /// <summary>The tries that count, the oldest first.</summary>
    public static IReadOnlyList<TestTry> Tries(SqliteConnection c, SqliteTransaction? t, string unit, IEnumerable<StepRow> steps, string step) =>
        [.. Counted(c, t, unit, steps, step).Select(s => ToTry(s, s.Verdict == "hold" && JudgedOf(c, t, unit, s).Exists(run => StopReasons.IsUnusual(run.Verdict))))];

    /// <summary>The runs of a load test that count, with the verdict that each was given first.</summary>
    static List<(string Rig, LoadTestVerdict Verdict)> Runs(SqliteConnection c, SqliteTransaction? t, string unit, IEnumerable<StepRow> steps, string step) =>
        [.. Counted(c, t, unit, steps, step).SelectMany(s => JudgedOf(c, t, unit, s))];

    static List<(string Rig, LoadTestVerdict Verdict)> JudgedOf(SqliteConnection c, SqliteTransaction? t, string unit, StepRow s) => c.Rows(
        "select rig, judgement from load_test where unit = @unit and step_sequence = @Sequence and state = 'judged' and judgement is not null order by sequence limit 1",
        new { unit, s.Sequence }, t, row => (row.GetString(0), RecordJson.Read<LoadTestVerdict>(row.GetString(1))));

    /// <summary>The runs of a load test before this one without a repair since; null where this is the first.</summary>
    public static RunsBefore? RunsBefore(SqliteConnection c, SqliteTransaction? t, string unit, IReadOnlyList<StepRow> steps, string step) =>
        Before(steps, step) is null ? null : new(Runs(c, t, unit, steps, step));

    /// <summary>The last time that the test ended without a repair since, whether it counts or not: it warmed the unit.</summary>
    public static StepRow? Before(IEnumerable<StepRow> steps, string step) => steps.LastOrDefault(s => s.Step == step && s is { Repaired: 0, EndedAt: not null });

    /// <summary>A run or a curve that could not be judged, or does not count.</summary>
    public static bool IsUnjudged(SqliteConnection c, SqliteTransaction? t, string unit, StepRow step) => c.Any(
        """
        select 1 where exists (select 1 from load_test where unit = @unit and attempt = @Attempt and step_sequence = @Sequence and state = 'problem')
          or exists (select 1 from curve_check where step_sequence = @Sequence and verdict is null)
        """,
        new { unit, step.Attempt, step.Sequence }, t);

    /// <summary>Why a unit on hold may not go the way that a person wants it to go; null where it may.</summary>
    /// <param name="backTo">The step to which it is sent back; null lets it go on. Back past the test is a repair.</param>
    public static Refusal? Barred(SqliteConnection c, SqliteTransaction? t, UnitRow unit, IReadOnlyList<StepRow> steps, RouteRevision revision, RouteStep? backTo)
    {
        foreach (var last in steps.GroupBy(s => s.Step).Select(g => g.Last()).Where(s => s is { EndedAt: not null, Repaired: 0 } && (backTo is null || s.Number <= backTo.Number)))
        {
            if (revision.StepOf(last.Step) is not { } test || !Route.IsTest(test) || IsUnjudged(c, t, unit.Unit, last)) continue;
            var tries = Tries(c, t, unit.Unit, steps, last.Step);
            if (last.Verdict == "fail" || backTo?.Id == last.Step)
            {
                if (test.Retests.Bar(tries) is { } bar) return Says(bar, tries, unit.Unit);
            }
            else if (last is { Verdict: "hold", Stands: 0, SentBack: 0 } && !RetestRule.MayBeLetGoOn(tries))
            {
                return tries.Any(n => n.NeverAgain) ? Says(RetestBar.NeverAgain, tries, unit.Unit)
                    : new($"{test.Name} failed on {unit.Unit} and cannot be decided now: it is not let go on.", $"Send it back to {test.Name} if a try is left, to a step before for repair, or scrap it.", "two passes, or a repair", "a fail, then undecided");
            }
        }

        return null;
    }

    /// <summary>The test has had its tries, and nothing was repaired since: only a report can have brought it here.</summary>
    public static IEnumerable<Refusal> Broken(Situation s)
    {
        if (s.Unit is null || !Route.IsTest(s.Step)) yield break;
        if (s.Step.Retests.Bar(Tries(s.Connection, s.Transaction, s.UnitCode, s.Steps, s.Step.Id)) is { } bar)
        {
            yield return Says(bar, Tries(s.Connection, s.Transaction, s.UnitCode, s.Steps, s.Step.Id), s.UnitCode);
            yield break;
        }

        if (s.Step.CoolDownS is not { } leastS || Before(s.Steps, s.Step.Id) is not { EndedAt: { } endedAt }) yield break;
        var freeAt = Utc.Read(endedAt).AddSeconds(leastS);
        if (Begins(s) >= freeAt) yield break;
        yield return new($"{s.Step.Name} of {s.UnitCode} may begin again at {Clock(s, freeAt)}: it cools down for {CoolDown.Minutes(leastS)} after {Clock(s, Utc.Read(endedAt))}.",
            $"Let it stand until {Clock(s, freeAt)}, then start again.", $"from {Clock(s, freeAt)} on", Clock(s, Begins(s)));
    }

    /// <summary>A message that only tells the end of a run does not say when it began: as long before as its programme lasts.</summary>
    static DateTimeOffset Begins(Situation s) => s.Said.Stage == "begin" ? s.Said.OccurredAt
        : s.Running?.BeganAt is { } began ? Utc.Read(began)
        : s.Said.OccurredAt.AddSeconds(s.Step.Kind == StepKind.LoadTest ? -(s.Revision.Product.LoadTest?.Cycle.DurationS ?? 0) : 0);

    static string Clock(Situation s, DateTimeOffset time) => time.ToOffset(s.Said.OccurredAt.Offset).ToString("HH:mm:ss", System.Globalization.CultureInfo.InvariantCulture);

    static Refusal Says(RetestBar bar, IReadOnlyList<TestTry> tries, string unit) => bar == RetestBar.NeverAgain
        ? new(tries.Any(t => t is { NeverAgain: true, Verdict: RunVerdict.Fail }) ? $"A safety function failed on {unit}: it is not tested again without repair." : $"A safety function of {unit} cannot be decided: it is neither tested again without repair nor let go on.",
            "Name the step to which it goes back for repair, or scrap it.", "a repair", "a plain second test")
        : new($"Unit {unit} has {(tries.All(t => t.Verdict != RunVerdict.Hold) ? "failed" : "not passed")} the same step {ReleaseUnit.Times(tries.Count(t => t.Verdict != RunVerdict.Pass))}: it is not tested again without repair.",
            "Name the step to which it goes back for repair, or scrap it.", "a repair", "another test");

    static IEnumerable<StepRow> Counted(SqliteConnection c, SqliteTransaction? t, string unit, IEnumerable<StepRow> steps, string step) =>
        steps.Where(s => s.Step == step && s is { Repaired: 0, EndedAt: not null, Verdict: "pass" or "fail" or "hold" } && !IsUnjudged(c, t, unit, s));

    static TestTry ToTry(StepRow s, bool unusual) => new(s.Verdict switch { "pass" => RunVerdict.Pass, "fail" => RunVerdict.Fail, _ => RunVerdict.Hold }, s.SafetyFailed == 1, unusual);
}

/// <summary>Runs of a load test before the one in hand, without a repair since.</summary>
/// <param name="Counted">Those that were judged and count, the oldest first.</param>
sealed record RunsBefore(IReadOnlyList<(string Rig, LoadTestVerdict Verdict)> Counted);
