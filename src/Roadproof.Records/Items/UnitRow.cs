using Microsoft.Data.Sqlite;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Items;

/// <summary>A unit as it stands now.</summary>
sealed record UnitRow(
    string Unit, string? Serial, string Product, string Revision, string State, string? NextStep, long Good, string StartedAt, string? ShippedAt, string? ScrappedAt, long Repairs, string? Order)
{
    const string Columns = "unit, serial, product, revision, state, next_step, good, started_at, shipped_at, scrapped_at, repairs, work_order";

    /// <param name="code">Shell code or serial number.</param>
    public static UnitRow? Find(SqliteConnection connection, SqliteTransaction? transaction, string code) =>
        connection.Rows($"select {Columns} from unit where unit = @code", new { code }, transaction, Read).FirstOrDefault()
        ?? connection.Rows($"select {Columns} from unit where serial = @code", new { code }, transaction, Read).FirstOrDefault();

    public IReadOnlyList<string> OpenHolds(SqliteConnection connection, SqliteTransaction? transaction) =>
        connection.Rows("select reason from hold where unit = @Unit and released_at is null order by id", new { Unit }, transaction, row => row.GetString(0));

    static UnitRow Read(SqliteDataReader row) => new(
        row.GetString(0), row.Text(1), row.GetString(2), row.GetString(3), row.GetString(4), row.Text(5), row.GetInt64(6), row.GetString(7), row.Text(8), row.Text(9), row.GetInt64(10), row.Text(11));
}

/// <summary>One attempt of a unit at a step.</summary>
sealed record StepRow(
    string Step, long Attempt, long Number, string Station, string? BeganAt, string? EndedAt, string? Verdict, long Stands, long SafetyFailed, long SentBack, long Repaired, long Sequence)
{
    public bool IsRunning => EndedAt is null;

    public static IReadOnlyList<StepRow> Of(SqliteConnection connection, SqliteTransaction? transaction, string unit) => connection.Rows(
        """
        select step, attempt, number, station, began_at, ended_at, verdict, stands, safety_failed, sent_back, repaired, sequence
        from unit_step where unit = @unit order by number, attempt
        """,
        new { unit }, transaction,
        row => new StepRow(row.GetString(0), row.GetInt64(1), row.GetInt64(2), row.GetString(3), row.Text(4), row.Text(5), row.Text(6), row.GetInt64(7), row.GetInt64(8), row.GetInt64(9), row.GetInt64(10), row.GetInt64(11)));
}

/// <summary>A unit's way along its route.</summary>
static class Route
{
    /// <summary>The first step that does not stand; null when the route is through.</summary>
    /// <param name="alsoStands">A step that is about to stand.</param>
    /// <param name="undone">Steps that are about to stand no more.</param>
    public static RouteStep? Next(RouteRevision revision, IReadOnlyList<StepRow> steps, string? alsoStands = null, IReadOnlyList<string>? undone = null) =>
        revision.Steps.FirstOrDefault(s => undone?.Contains(s.Id) == true || (s.Id != alsoStands && !Stands(steps, s.Id)));

    /// <summary>The step measures what others have done: doing it again mends nothing.</summary>
    public static bool IsTest(RouteStep step) => step.Kind is StepKind.Check or StepKind.LoadTest;

    public static bool Stands(IReadOnlyList<StepRow> steps, string step) => steps.Any(s => s.Step == step && s.Stands == 1);

    /// <summary>Where a step is done, as a person would say it: "st30", "rig1, rig2 or rig3".</summary>
    public static string StationsOf(RouteRevision revision, string step)
    {
        var ids = revision.Line.Stations.Where(s => s.Step == step).Select(s => s.Id).ToList();
        return ids.Count < 2 ? ids.FirstOrDefault("no station") : string.Join(", ", ids.Take(ids.Count - 1)) + " or " + ids[^1];
    }

    public static NextStep? ToNext(RouteStep? step) => step is null ? null : new(step.Id, step.Number);
}
