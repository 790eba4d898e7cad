using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Statistics;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Rework;

/// <summary>How often a step stopped units at first try: those with something in common, and all others.</summary>
/// <param name="P">How often chance alone gives so many in the first group, or more; 1 where there is nothing to compare with.</param>
public sealed record FailShare(int Stopped, int Of, int OtherStopped, int OtherOf, double P);

/// <summary>The newest first tries at a step, and which of them were stopped for the same reading.</summary>
sealed class StepFails
{
    // Of each station: enough to see one lot in ten, few enough to ask while somebody waits.
    const int NewestOfStation = 1000;

    readonly Dictionary<string, (string Station, bool Stopped)> tries;
    readonly SqliteConnection c;

    /// <param name="readings">Readings or screw groups that stopped the unit in question; empty counts every stop at the step.</param>
    public StepFails(SqliteConnection c, RouteRevision revision, string step, IReadOnlyCollection<string> readings)
    {
        this.c = c;
        tries = revision.Line.Stations.Where(s => s.Step == step).SelectMany(s => c
            .Query<(string Unit, bool Stopped)>(
                $"""
                select u.unit, {(readings.Count == 0 ? "u.verdict <> 'pass'" : "exists (select 1 from reading r where r.unit = u.unit and r.step = u.step and r.attempt = 1 and r.id in @readings and r.verdict <> 'pass') or exists (select 1 from screw w where w.unit = u.unit and w.step = u.step and w.attempt = 1 and w.screws in @readings and w.verdict <> 'pass')")}
                from unit_step u where u.station = @Id and u.step = @step and u.attempt = 1 and u.verdict in ('pass', 'fail', 'hold') order by u.ended_at desc limit @NewestOfStation
                """,
                new { s.Id, step, readings, NewestOfStation })
            .Select(r => (r.Unit, Station: s.Id, r.Stopped)))
            .DistinctBy(r => r.Unit).ToDictionary(r => r.Unit, r => (r.Station, r.Stopped), StringComparer.Ordinal);
    }

    /// <summary>Units with some of a lot against those without.</summary>
    public FailShare OfLot(string lot)
    {
        var with = c.Query<string>("select distinct unit from part_use where lot = @lot", new { lot }).ToHashSet(StringComparer.Ordinal);
        return Of(unit => with.Contains(unit));
    }

    /// <summary>Units tried at a station against those tried at the others.</summary>
    public FailShare OfStation(string station) => Of(unit => tries[unit].Station == station);

    FailShare Of(Func<string, bool> isInside)
    {
        var (inside, outside) = (tries.Where(t => isInside(t.Key)).ToList(), tries.Where(t => !isInside(t.Key)).ToList());
        var (a, b, x, y) = (inside.Count(t => t.Value.Stopped), inside.Count, outside.Count(t => t.Value.Stopped), outside.Count);
        return new(a, b, x, y, b == 0 || y == 0 ? 1 : FisherExact.Above(a, b, x, y));
    }
}
