using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;

namespace Roadproof.Records.Rework;

/// <summary>Units that wait for a repairer or a decision, the longest wait first; parts out of units that wait for one; and how often the diagnosis was right.</summary>
public sealed record ReworkListView(int Total, IReadOnlyList<ReworkLine> Units, IReadOnlyList<HeldPart> Parts, IReadOnlyList<DiagnosisRight> Findings);

/// <summary>A unit that waits.</summary>
/// <param name="StoppedAt">Name of the step that stopped it; empty where a person, a report or a lot did.</param>
public sealed record ReworkLine(string Unit, string? Serial, string Product, string StoppedAt, string WaitsFor, DateTimeOffset Since);

/// <summary>A part that came out of a unit and is on hold.</summary>
public sealed record HeldPart(string Unit, string Part, string Name, string? Lot, string? Serial, string Reason, DateTimeOffset At);

/// <summary>Of the units in which the diagnosis put a cause first, how many had it.</summary>
public sealed record DiagnosisRight(string Fault, string Name, int Confirmed, int Of, double Lower, double Upper);

/// <summary>The rework station at one look.</summary>
public static class ReworkList
{
    const int ShownParts = 100;

    public static ReworkListView Run(SqliteConnection c, PlantContext plant, int from = 0, int count = 50)
    {
        var units = c.Rows(
            """
            select h.unit, min(h.at) since from hold h join unit u on u.unit = h.unit
            where h.released_at is null and u.state = 'held' group by h.unit order by since, h.unit limit @count offset @from
            """,
            new { from, count }, null, row => (Unit: row.GetString(0), Since: Utc.Read(row.GetString(1))));
        return new(c.Rows("select count(*) from unit where state = 'held'", new { }, null, row => row.GetInt32(0))[0],
            [.. units.Select(u => Line(c, plant, u.Unit, u.Since))], Parts(c, plant), Findings(c));
    }

    static ReworkLine Line(SqliteConnection c, PlantContext plant, string code, DateTimeOffset since)
    {
        var unit = UnitRow.Find(c, null, code)!;
        var revision = plant.RevisionOf(unit.Revision);
        var steps = StepRow.Of(c, null, unit.Unit);
        var stopped = AtBench.StoppedAt(steps);
        return new(unit.Unit, unit.Serial, revision.Product.Name, stopped is null ? "" : revision.StepOf(stopped.Step)?.Name ?? stopped.Step, ReworkWait.For(c, plant, unit, steps, revision), since);
    }

    static List<HeldPart> Parts(SqliteConnection c, PlantContext plant) => c.Rows(
        "select unit, part, lot, serial, reason, at from part_out where place = 'hold' and built_unit is null order by sequence limit @ShownParts", new { ShownParts }, null,
        row => new HeldPart(row.GetString(0), row.GetString(1), plant.PartName(row.GetString(1)), row.Text(2), row.Text(3), row.GetString(4), Utc.Read(row.GetString(5))));

    static List<DiagnosisRight> Findings(SqliteConnection c) => c.Rows(
        // Two faults at once are right where one of them was found.
        "select named, max(named_word), sum(instr('+' || named || '+', '+' || cause || '+') > 0), count(*) from rework_finding where named is not null group by named order by count(*) desc, named", new { }, null,
        row =>
        {
            var (confirmed, of) = (row.GetInt32(2), row.GetInt32(3));
            var (lower, upper) = Figures.ShareInterval(confirmed, of);
            return new DiagnosisRight(row.GetString(0), row.GetString(1), confirmed, of, lower, upper);
        });
}
