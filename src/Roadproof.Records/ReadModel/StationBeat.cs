using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;

namespace Roadproof.Records.ReadModel;

/// <summary>How long a station takes from begin to end.</summary>
static class StationBeat
{
    const int UsualUnits = 20;

    /// <summary>Beats of the last units that were begun there, s, newest first.</summary>
    public static IReadOnlyList<double> Last(SqliteConnection c, string station) => c
        .Query<(string BeganAt, string EndedAt)>(
            "select began_at, ended_at from unit_step where station = @station and ended_at is not null and began_at is not null order by ended_at desc limit @UsualUnits", new { station, UsualUnits })
        .Select(b => (Utc.Read(b.EndedAt) - Utc.Read(b.BeganAt)).TotalSeconds)
        .ToList();
}
