using System.Globalization;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.LoadTest.Rigs;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Rigs;

/// <summary>What the records say of a rig: its reference runs, and whether it may judge.</summary>
static class RigBook
{
    /// <summary>The reference unit that a code belongs to, with the revision whose rigs it is for; null for any other code.</summary>
    public static (RouteRevision Revision, ReferenceUnit Unit)? ReferenceOf(PlantContext plant, string code) => plant.Standing
        .Select(r => (Revision: r, Unit: r.Product.References?.OfCode(code)))
        .Where(f => f.Unit is not null)
        .Select(f => ((RouteRevision, ReferenceUnit)?)(f.Revision, f.Unit!))
        .FirstOrDefault();

    /// <summary>What the product built at a rig asks of it; null for a station that is no rig, and where its product asks for no reference units.</summary>
    public static RigReferences? AskedOf(PlantContext plant, string station) =>
        plant.At(station) is { Product.References: { } references } revision && revision.StepOf(revision.StationOf(station)!.Step) is { Kind: StepKind.LoadTest } ? references : null;

    /// <param name="at">The rig's own time, as its message gives it.</param>
    /// <returns>Null where no reference units are asked for.</returns>
    public static RigStanding? Standing(SqliteConnection c, SqliteTransaction? t, PlantContext plant, string rig, DateTimeOffset at)
    {
        if (AskedOf(plant, rig) is not { } asked) return null;
        var name = plant.At(rig)!.StationOf(rig)!.Name;
        var calibrated = LastCalibration(c, t, rig);
        var runs = ReferenceRow.Of(c, t, rig, calibrated);
        var good = runs.FindLast(r => r.Outcome == "good");
        var since = good is null ? 0 : RunsSince(c, t, rig, good.Sequence);
        var verdict = good?.Verdict is null ? null : RecordJson.Read<ReferenceVerdict>(good.Verdict);
        RigStanding Says(string reason, string remedy) => new(
            reason.Length == 0, reason, remedy, good?.Reference, good?.At.ToOffset(at.Offset), good?.Sequence, since,
            verdict?.Readings.Max(r => Math.Abs(r.Sigma)), verdict?.Readings.Max(r => Math.Abs(r.Ewma) / r.EwmaLimit));

        var sound = string.Join(" or ", asked.Sound.Select(u => u.Code));
        if (runs.FindLast(r => r.Counts && r.Kind == "sound") is { Outcome: "out" } wrong)
            return Says($"{name} reads its reference wrong: {wrong.Reason}.", $"Look at the rig, have it put right and calibrated, then run {sound}.");
        if (runs.Where(r => r.Counts && r.Kind == "known-bad").GroupBy(r => r.Reference).Select(g => g.Last()).FirstOrDefault(r => r.Outcome == "passed") is { } passed)
            return Says($"{name} has passed {asked.Units.FirstOrDefault(u => u.Id == passed.Reference)?.Code ?? passed.Reference}, which is known to be bad.", "Look at the rig, have it put right and calibrated, then run it again.");
        if (IsCold(c, t, rig, asked, at) || WarmingUp(runs, good))
            return Says($"{name} is cold.", $"Run {Figure(asked.WarmUpRuns)} reference {(asked.WarmUpRuns == 1 ? "run" : "runs")} to warm it up, then {sound}.");
        if (good is null)
            return Says(calibrated > 0 ? $"{name} has run no sound reference since it was calibrated." : $"{name} has run no sound reference.", $"Run {sound} on it.");
        if (since >= asked.EveryRuns) return Says($"{name} has run {Figure(since)} units since its last reference.", $"Run {sound} on it.");
        if (at - good.At > TimeSpan.FromHours(asked.EveryH)) return Says($"The last reference of {name} is older than {Figure(asked.EveryH)} h.", $"Run {sound} on it.");
        foreach (var bad in asked.KnownBad)
        {
            var stopped = runs.FindLast(r => r.Reference == bad.Id && r.Outcome == "stopped");
            if (stopped is null || at - stopped.At > TimeSpan.FromHours(asked.KnownBadEveryH))
                return Says($"{name} has not stopped {bad.Code}, which is known to be bad, {(stopped is null ? "since it was put right" : $"for {Figure(asked.KnownBadEveryH)} h")}.", $"Run {bad.Code} on it.");
        }

        return Says("", "");
    }

    /// <summary>A rig that stood longer than its product allows, or never ran.</summary>
    public static bool IsCold(SqliteConnection c, SqliteTransaction? t, string rig, RigReferences asked, DateTimeOffset at) =>
        asked.WarmUpRuns > 0 && (LastRun(c, t, rig) is not { } last || at - last > TimeSpan.FromMinutes(asked.ColdAfterMin));

    /// <summary>Runs of reference units that have warmed the rig since it stood cold; null where it is warm already.</summary>
    public static int? WarmUpRunsDone(SqliteConnection c, SqliteTransaction? t, string rig, RigReferences asked, DateTimeOffset at)
    {
        if (asked.WarmUpRuns == 0) return null;
        if (IsCold(c, t, rig, asked, at)) return 0;
        var warming = c.Rows(
            "select count(*) from reference_run where rig = @rig and outcome = 'warm-up' and sequence > coalesce((select max(sequence) from reference_run where rig = @rig and outcome not in ('warm-up', 'problem')), 0)",
            new { rig }, t, row => row.GetInt32(0))[0];
        return warming == 0 || warming >= asked.WarmUpRuns ? null : warming;
    }

    // A warm-up run says that the rig had stood; what it showed before that counts no more.
    static bool WarmingUp(List<ReferenceRow> runs, ReferenceRow? good) => runs.FindLast(r => r.Outcome == "warm-up") is { } warming && warming.Sequence > (good?.Sequence ?? 0);

    static DateTimeOffset? LastRun(SqliteConnection c, SqliteTransaction? t, string rig) => c.Rows(
        "select max(at) from (select max(ended_at) at from unit_step where station = @rig union all select max(at) from reference_run where rig = @rig)",
        new { rig }, t, row => Utc.ReadOrNull(row.Text(0)))[0];

    public static int RunsSince(SqliteConnection c, SqliteTransaction? t, string rig, long sequence) =>
        c.Rows("select count(*) from unit_step where station = @rig and ended_at is not null and sequence > @sequence", new { rig, sequence }, t, row => row.GetInt32(0))[0];

    /// <summary>The record of the rig's last calibration: what it read before says nothing of it now. 0 where there is none.</summary>
    public static long LastCalibration(SqliteConnection c, SqliteTransaction? t, string rig) =>
        c.Rows("select coalesce(max(sequence), 0) from calibration where station = @rig", new { rig }, t, row => row.GetInt64(0))[0];

    static string Figure(double number) => number.ToString("0.##", CultureInfo.InvariantCulture);
}

/// <summary>A run of a reference unit, as it is laid out.</summary>
sealed record ReferenceRow(long Sequence, string Reference, string Kind, DateTimeOffset At, string Outcome, string Reason, string? Verdict, string? Level)
{
    /// <summary>It says something of the rig as it was then.</summary>
    public bool Counts => Outcome is not ("warm-up" or "problem");

    // What a rig has to show is at most an interval old; a few days of it are enough.
    const int Newest = 200;

    /// <returns>The runs of a rig behind a record, oldest first.</returns>
    public static List<ReferenceRow> Of(SqliteConnection c, SqliteTransaction? t, string rig, long behind)
    {
        var rows = c.Rows(
            "select sequence, reference, kind, at, outcome, reason, verdict, level from reference_run where rig = @rig and sequence > @behind order by sequence desc limit @Newest",
            new { rig, behind, Newest }, t, row => new ReferenceRow(row.GetInt64(0), row.GetString(1), row.GetString(2), Utc.Read(row.GetString(3)), row.GetString(4), row.GetString(5), row.Text(6), row.Text(7)));
        rows.Reverse();
        return rows;
    }
}
