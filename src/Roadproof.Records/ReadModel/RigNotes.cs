using Microsoft.Data.Sqlite;
using Roadproof.Records.Messages;
using Roadproof.Records.Rigs;

namespace Roadproof.Records.ReadModel;

/// <summary>Rigs that read their reference wrong, and those that will soon wait for one.</summary>
static class RigNotes
{
    public const string Link = "/rigs";

    public static IEnumerable<Note> Of(SqliteConnection c, PlantContext plant, DateTimeOffset now)
    {
        foreach (var (rig, name) in plant.Standing.SelectMany(r => r.Line.Stations).Select(s => (s.Id, s.Name)))
        {
            if (RigBook.Standing(c, null, plant, rig, now) is not { MayJudge: false } standing) continue;
            var runs = ReferenceRow.Of(c, null, rig, RigBook.LastCalibration(c, null, rig));
            var wrong = runs.FindLast(r => r.Counts);
            // A rig that only waits for its reference says so on its own page.
            if (wrong is not { Outcome: "out" or "passed" }) continue;
            yield return new("rig", 92, $"{name} may not judge: {wrong.Reason}", standing.Remedy, rig, null, null, wrong.At.ToOffset(now.Offset), "See the rigs", Link);
        }
    }
}
