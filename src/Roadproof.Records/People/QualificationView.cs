using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Items;

namespace Roadproof.Records.People;

/// <summary>One grant of a qualification, as it stands; the newest comes first.</summary>
/// <param name="WithdrawnAt">When it was taken away before its time; null where it was not.</param>
public sealed record QualificationView(string Qualification, DateTimeOffset GrantedAt, DateTimeOffset ValidUntil, DateTimeOffset? WithdrawnAt)
{
    public static IReadOnlyList<QualificationView> Of(SqliteConnection c, string person) => c
        .Query<(string Qualification, string GrantedAt, string ValidUntil, string? WithdrawnAt)>(
            "select qualification, granted_at, valid_until, withdrawn_at from qualification where person = @person order by sequence desc", new { person })
        .Select(q => new QualificationView(q.Qualification, Utc.Read(q.GrantedAt), Utc.Read(q.ValidUntil), Utc.ReadOrNull(q.WithdrawnAt)))
        .ToList();
}
