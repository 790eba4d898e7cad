using System.Globalization;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;

namespace Roadproof.Records.Rework;

/// <summary>Whether a stopped unit may be tested again, by the same rule that decides when somebody asks for it.</summary>
static class RetestQuery
{
    /// <param name="readings">Readings of its steps with their attempts.</param>
    /// <returns>Null where no test stopped it: work that is done again is its own repair.</returns>
    public static RetestView? Of(SqliteConnection c, UnitRow unit, IReadOnlyList<StepRow> steps, RouteRevision revision, IEnumerable<(string Step, int Attempt, RequirementReading Reading)> readings)
    {
        if (unit.State != "held" || AtBench.StoppedAt(steps) is not { } stopped || revision.StepOf(stopped.Step) is not { } test || !Route.IsTest(test)) return null;
        if (AtBench.SwappedAt(c, null, unit.Unit, revision) is not null) return null;
        var rule = test.Retests;
        var tries = Retests.Tries(c, null, unit.Unit, steps, test.Id);
        var barred = Retests.Barred(c, null, unit, steps, revision, test);
        var view = new RetestView(test.Id, test.Name, barred is null, barred is null ? Next(test, tries) : $"{barred.Reason} {barred.Remedy}", rule.Scheme, rule.AtMost, [.. tries.Select(t => t.Verdict.ToString().ToLowerInvariant())],
            barred is null && test.CoolDownS is { } s ? Utc.Read(stopped.EndedAt!).AddSeconds(s) : null, barred is null ? test.CoolDownK : null, null, []) { AsksTwice = rule.AsksTwice(tries) };
        if (barred is not null || Retests.IsUnjudged(c, null, unit.Unit, stopped)) return view;

        var verdict = AtBench.VerdictOf(c, null, unit.Unit, stopped);
        var all = verdict?.Mean?.Requirements ?? verdict?.Requirements ?? [.. readings.Where(r => r.Step == stopped.Step && r.Attempt == stopped.Attempt).Select(r => r.Reading)];
        // As everywhere: what failed first, then what is unusual, then what could only not be decided.
        var failed = Farthest(all, Verdict.Fail);
        var isUnusual = failed is null && verdict is not null && StopReasons.IsUnusual(verdict);
        var worst = failed ?? (isUnusual ? null : Farthest(all, Verdict.Undecided));
        var meaning = worst is not null ? RetestMeaning.Of(worst, rule, rule.AsksTwice(tries))
            : isUnusual && StopReasons.Statistic(verdict!) is { } statistic ? RetestMeaning.Of(statistic, rule) : null;
        return view with { Meaning = meaning, Says = meaning is null ? [Nothing(worst, isUnusual)] : [.. Sentences(meaning, rule, stopped.Station, test.Kind == StepKind.LoadTest)] };
    }

    static RequirementReading? Farthest(IEnumerable<RequirementReading> readings, Verdict verdict) => readings.Where(r => r.Verdict == verdict).MaxBy(r => r.BeyondU());

    static string Next(RouteStep test, IReadOnlyList<TestTry> tries)
    {
        if (tries.Count == 0) return "The run could not be judged, or does not count: it is run again and costs no try.";
        var left = test.RetestsAtMost - tries.Count(t => t.Verdict != RunVerdict.Pass) + 1;
        var rule = test.RetestScheme == RetestScheme.Mean ? "The mean of all runs is judged." : test.Retests.AsksTwice(tries) ? "It then has to pass twice in a row." : "One pass is enough, because nothing failed.";
        return $"{(left == 1 ? "Once more" : string.Create(CultureInfo.InvariantCulture, $"{left} times more"))} without repair. {rule}";
    }

    static string Nothing(RequirementReading? worst, bool isUnusual) =>
        worst is not null ? $"No uncertainty is known of {Wording.Lower(worst.Name)}: nobody can say what a pass would be worth."
        : isUnusual ? "It reads unlike sound units, and its verdict is from before it was kept how such a figure scatters: nobody can say what a pass would be worth."
        : "What failed is no figure with an uncertainty: nobody can say what a pass would be worth.";

    static IEnumerable<string> Sentences(RetestMeaning m, RetestRule rule, string station, bool isRig) => m.Statistic is { } s ? OfStatistic(m, s, rule, station) : OfRequirement(m, station, isRig);

    static IEnumerable<string> OfStatistic(RetestMeaning m, StopStatistic s, RetestRule rule, string station)
    {
        yield return string.Create(CultureInfo.InvariantCulture, $"{Wording.Where(s)} it was read {s.Value:0.0} σ of sound units out, {s.Limit:0.0} at most: {m.DistanceU:0.0} standard uncertainties of the reading beyond.")
            + $" Of 100 units with the fault as found, {OfHundred(m.ByRule.PassIfBad)} by this rule; of 100 sound ones, {OfHundred(m.ByRule.PassIfGood)}."
            + (m.IsFarOut ? " So far out no test is mistaken: another one will say the same. Repair it." : "")
            + (rule.Scheme == RetestScheme.Mean ? " What sound units read is not averaged: a run that was unusual holds the unit, whatever the next one says." : "");
        if (m.RedrawnShare is not { } share)
        {
            yield return "Nobody has split this uncertainty up: the figures take all of it to be drawn anew, which lets most bad units through.";
            yield break;
        }

        yield return $"Another run on {station} draws {Percent(share)} of the reading's uncertainty anew, and {Percent(m.SoundRedrawnShare ?? 1)} of what scatters sound units: its parts, the instruments and the rig come again."
            + (share < RetestMeaning.LittleAnew ? " It will read much the same: a pass there says little more than the first test did." : "")
            + (m is { RedrawnElsewhere: { } other, Elsewhere: { } elsewhere } && other > share + 0.01 ? $" On another rig {Percent(other)} is drawn anew, its own error too: {OfHundred(elsewhere.PassIfBad)} of 100 with the fault, {OfHundred(elsewhere.PassIfGood)} of 100 sound ones." : "");
    }

    static IEnumerable<string> OfRequirement(RetestMeaning m, string station, bool isRig)
    {
        yield return string.Create(CultureInfo.InvariantCulture, $"{m.Name} was read {m.DistanceU:0.0} standard uncertainties {(m.IsBeyond ? "beyond" : "inside")} its limit.")
            + $" Of 100 units truly as far outside, {OfHundred(m.ByRule.PassIfBad)} by this rule; of 100 as far inside, {OfHundred(m.ByRule.PassIfGood)}."
            + (m.IsFarOut ? " So far out no test is mistaken: another one will say the same. Repair it." : "");
        if (m.RedrawnShare is not { } share)
        {
            yield return "Nobody has split this uncertainty up: the figures take all of it to be drawn anew, which lets most bad units through.";
            yield break;
        }

        var place = isRig ? station : $"{station} again";
        yield return $"Another run on {place} draws {Percent(share)} of the uncertainty anew; what the instruments and the unit add comes again."
            + (share < RetestMeaning.LittleAnew ? " It will read much the same: a pass there says little more than the first test did." : "")
            + (m is { RedrawnElsewhere: { } other, Elsewhere: { } elsewhere } && other > share + 0.01 ? $" On another rig {Percent(other)} is drawn anew, its own error too: {OfHundred(elsewhere.PassIfBad)} of 100 as far outside, {OfHundred(elsewhere.PassIfGood)} of 100 as far inside." : "");
    }

    static string OfHundred(double share) => share switch
    {
        < 0.005 => "fewer than 1 passes",
        > 0.995 => "more than 99 pass",
        _ => Math.Round(100 * share) is var n && n == 1 ? "1 passes" : string.Create(CultureInfo.InvariantCulture, $"{n:0} pass"),
    };

    static string Percent(double share) => share is > 0 and < 0.005 ? "less than 1 %" : share is > 0.995 and < 1 ? "more than 99 %" : string.Create(CultureInfo.InvariantCulture, $"{100 * share:0} %");
}
