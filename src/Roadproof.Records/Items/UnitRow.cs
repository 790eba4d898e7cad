using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Items;

/// <summary>A unit as it stands now.</summary>
sealed record UnitRow(
    string Unit, string? Serial, string Product, string Revision, string State, string? NextStep, long Good, string StartedAt, string? ShippedAt, string? ScrappedAt)
{
    const string Columns = "unit, serial, product, revision, state, next_step NextStep, good, started_at StartedAt, shipped_at ShippedAt, scrapped_at ScrappedAt";

    /// <param name="code">Shell code or serial number.</param>
    public static UnitRow? Find(SqliteConnection connection, SqliteTransaction? transaction, string code) =>
        connection.QueryFirstOrDefault<UnitRow>($"select {Columns} from unit where unit = @code", new { code }, transaction)
        ?? connection.QueryFirstOrDefault<UnitRow>($"select {Columns} from unit where serial = @code", new { code }, transaction);

    public IReadOnlyList<string> OpenHolds(SqliteConnection connection, SqliteTransaction? transaction) =>
        connection.Query<string>("select reason from hold where unit = @Unit and released_at is null order by id", new { Unit }, transaction).AsList();
}

/// <summary>One attempt of a unit at a step.</summary>
sealed record StepRow(
    string Step, long Attempt, long Number, string Station, string? BeganAt, string? EndedAt, string? Verdict, long Stands, long SafetyFailed, long Repaired, long Sequence)
{
    public bool IsRunning => EndedAt is null;

    public static IReadOnlyList<StepRow> Of(SqliteConnection connection, SqliteTransaction? transaction, string unit) => connection.Query<StepRow>(
        """
        select step, attempt, number, station, began_at BeganAt, ended_at EndedAt, verdict, stands, safety_failed SafetyFailed, repaired, sequence
        from unit_step where unit = @unit order by number, attempt
        """,
        new { unit }, transaction).AsList();
}

/// <summary>A unit's way along its route.</summary>
static class Route
{
    /// <summary>The first step that does not stand; null when the route is through.</summary>
    /// <param name="alsoStands">A step that is about to stand.</param>
    /// <param name="undone">Steps that are about to stand no more.</param>
    public static RouteStep? Next(RouteRevision revision, IReadOnlyList<StepRow> steps, string? alsoStands = null, IReadOnlyList<string>? undone = null) =>
        revision.Steps.FirstOrDefault(s => undone?.Contains(s.Id) == true || (s.Id != alsoStands && !Stands(steps, s.Id)));

    public static bool Stands(IReadOnlyList<StepRow> steps, string step) => steps.Any(s => s.Step == step && s.Stands == 1);

    /// <summary>Where a step is done, as a person would say it: "st30", "rig1, rig2 or rig3".</summary>
    public static string StationsOf(RouteRevision revision, string step)
    {
        var ids = revision.Plant.Stations.Where(s => s.Step == step).Select(s => s.Id).ToList();
        return ids.Count < 2 ? ids.FirstOrDefault("no station") : string.Join(", ", ids.Take(ids.Count - 1)) + " or " + ids[^1];
    }

    public static NextStep? ToNext(RouteStep? step) => step is null ? null : new(step.Id, step.Number);
}
