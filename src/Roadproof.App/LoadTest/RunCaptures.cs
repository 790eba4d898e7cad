using Roadproof.App.Frame;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.App.LoadTest;

/// <summary>One run of a load test with the files that are still at hand, to be read over the angle.</summary>
sealed record RunCaptures(FoundRun Found, Capture Capture)
{
    public DriveUnit Drive => Found.Revision.LoadTest.Unit;

    public IReadOnlyList<SteadyPoint> Windows => Found.Run.Verdict?.Windows ?? [];

    // The fast files begin before the speed is steady and go on after the window: by less than this.
    const double AroundWindowS = 1;

    /// <summary>The load point whose window a stretch lies in or beside; null far from all.</summary>
    public string? PointOf(double fromS, double toS) => Windows
        .Select(w => (w.Point, AwayS: Math.Max(0, Math.Max(w.FromS - toS, fromS - w.ToS))))
        .Where(w => w.AwayS < AroundWindowS).OrderBy(w => w.AwayS).Select(w => w.Point).FirstOrDefault();

    /// <summary>The steady window of a load point.</summary>
    /// <param name="asked">What was asked for, for the error.</param>
    /// <exception cref="InputException">The run has no such window.</exception>
    public SteadyPoint WindowOf(string point, string asked) => Windows.FirstOrDefault(w => w.Point == point)
        ?? throw new InputException(new InputError(asked, 0, "point", $"'{point}'", Windows.Count == 0 ? "no point: the run has no steady window; ask by from and to" : $"one of {string.Join(", ", Windows.Select(w => w.Point))}"));

    /// <summary>Reads the tables that a reading over the angle needs: those with the channel, and the fast one, which has the rotor's angle.</summary>
    public static Outcome<RunCaptures> Of(string unit, int attempt, string channel, OpenLine line, RecentCaptures recent)
    {
        var found = FindRun.Of(unit, attempt, line);
        if (found.Done is not { } at) return found.Refused!;
        var run = at.Run;
        var tables = new List<CaptureTable>();
        foreach (var file in FastFiles(run.Captures))
            if (recent.Find(file.Sha256, line) is { } table) tables.Add(table with { Source = file.Name });

        if (tables.Count == 0) return run.Captures.Any(c => c.State == "kept") ? new Refusal("This run has no fast capture.", "Only a fast capture is read over the angle; the slow traces are shown above.") : ShowTrace.NotAtHand;
        if (!tables.Any(t => t.Channels.ContainsKey(channel)))
            throw new InputException(new InputError("run", 0, "channel", $"'{channel}'", $"one of {string.Join(", ", tables.SelectMany(t => t.Channels.Keys).Distinct().Order(StringComparer.Ordinal))}"));
        return new RunCaptures(at, new(CaptureHeader.Unknown, tables));
    }

    /// <summary>Files at hand in which something turns with a shaft: the slow table is the longest in time and has nothing of it.</summary>
    internal static IEnumerable<UnitCapture> FastFiles(IReadOnlyList<UnitCapture> captures) =>
        captures.Where(c => c.State == "kept" && !RunFiles.IsMetadata(c.Name)).DistinctBy(c => RunFiles.TableOf(c.Name)).Where(c => RunFiles.TableOf(c.Name) != "slow");
}
