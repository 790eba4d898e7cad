using Roadproof.App.Frame;
using Roadproof.App.Line;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.LoadTest;

/// <summary>One run of a unit's load test with the files that are still at hand, to be read over the angle.</summary>
/// <param name="Drive">The drive unit as the run's route revision draws it.</param>
sealed record RunCaptures(UnitLoadTest Run, DriveUnit Drive, Capture Capture)
{
    public IReadOnlyList<SteadyPoint> Windows => Run.Verdict?.Windows ?? [];

    // The fast files begin before the speed is steady and go on after the window: by less than this.
    const double AroundWindowS = 1;

    /// <summary>The load point whose window a stretch lies in or beside; null far from all.</summary>
    public string? PointOf(double fromS, double toS) => Windows
        .Select(w => (w.Point, AwayS: Math.Max(0, Math.Max(w.FromS - toS, fromS - w.ToS))))
        .Where(w => w.AwayS < AroundWindowS).OrderBy(w => w.AwayS).Select(w => w.Point).FirstOrDefault();

    /// <summary>Reads the tables that a reading over the angle needs: those with the channel, and the fast one, which has the rotor's angle.</summary>
    public static Outcome<RunCaptures> Of(string unit, int attempt, string channel, OpenLine line, RecentCaptures recent)
    {
        if (AskLine.Unit(unit, line) is not { } view) return new Refusal($"No unit {unit} on this line.", "Scan the code again, or search for a piece of it.");
        if (view.LoadTests.LastOrDefault(t => t.Attempt == attempt) is not { } run)
            return new Refusal(Invariant($"Unit {view.Unit} has no load test of attempt {attempt}."), view.LoadTests.Count == 0 ? "It has not been run yet." : Invariant($"Its attempts: {string.Join(", ", view.LoadTests.Select(t => t.Attempt))}."));

        var tables = new List<CaptureTable>();
        foreach (var file in run.Captures.Where(c => c.State == "kept" && !RunFiles.IsMetadata(c.Name)).DistinctBy(c => RunFiles.TableOf(c.Name)))
        {
            // The slow table is the longest in time and has nothing that turns with a shaft.
            if (RunFiles.TableOf(file.Name) == "slow" || recent.Find(file.Sha256, line) is not { } table) continue;
            tables.Add(table with { Source = file.Name });
        }

        if (tables.Count == 0) return run.Captures.Any(c => c.State == "kept") ? new Refusal("This run has no fast capture.", "Only a fast capture is read over the angle; the slow traces are shown above.") : ShowTrace.NotAtHand;
        if (!tables.Any(t => t.Channels.ContainsKey(channel)))
            throw new InputException(new InputError("run", 0, "channel", $"'{channel}'", $"one of {string.Join(", ", tables.SelectMany(t => t.Channels.Keys).Distinct().Order(StringComparer.Ordinal))}"));
        return new RunCaptures(run, line.Plant.RevisionOf(view.Revision).LoadTest.Unit, new(CaptureHeader.Unknown, tables));
    }
}
