using Microsoft.Data.Sqlite;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Rework;

/// <summary>A reading that a repairer may take of a unit.</summary>
/// <param name="Into">The step of the unit's own route that puts in the part which the reading is of; null for a reading of the unit itself.</param>
/// <param name="Part">That part's name.</param>
sealed record BenchReading(RouteStep Step, StepReading Reading, RouteStep? Into, string? Part)
{
    public string Name => Part is null ? Reading.Name : $"{Reading.Name} of the {Wording.Lower(Part)}";
}

/// <summary>Everything that the plant can read of a unit: what its own route reads, and what the routes of the parts read that the plant built itself.</summary>
static class BenchReadings
{
    /// <remarks>Where two routes have a reading of one id, the unit's own stands for both.</remarks>
    public static IReadOnlyList<BenchReading> Of(SqliteConnection c, SqliteTransaction? t, PlantContext plant, string unit, RouteRevision revision)
    {
        var own = revision.Steps.SelectMany(s => s.Readings.Select(r => new BenchReading(s, r, null, null)));
        var built = c.Rows(
                "select p.part, p.step, u.revision from part_use p join unit u on u.unit = p.built_unit where p.unit = @unit and p.replaced is null and p.via is null order by p.step_number, p.part",
                new { unit }, t, row => (Part: row.GetString(0), Step: row.GetString(1), Revision: row.GetString(2)))
            .SelectMany(b => plant.RevisionOf(b.Revision).Steps.SelectMany(s => s.Readings.Select(r => new BenchReading(s, r, revision.StepOf(b.Step), revision.Parts.FirstOrDefault(p => p.Id == b.Part)?.Name ?? b.Part))));
        return [.. own.Concat(built).DistinctBy(r => r.Reading.Id)];
    }
}
