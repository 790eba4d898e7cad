using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.ReadModel;

/// <summary>A revision in the list of all.</summary>
/// <param name="State">standing: new units start on it; to-come: its time has not come; replaced; withdrawn: no new unit starts on its product.</param>
/// <param name="UnitsStarted">All that ever started on it.</param>
/// <param name="UnitsOnTheWay">Those that are not through their route, held ones included.</param>
public sealed record RevisionRow(
    string Revision, string Product, string Line, string State, DateTimeOffset From, DateTimeOffset ApprovedAt, string ApprovedBy, string Reason, string Hash, long UnitsStarted, long UnitsOnTheWay);

/// <summary>Every revision that was ever approved, with what became of it, newest first.</summary>
public static class RevisionList
{
    public static IReadOnlyList<RevisionRow> Run(SqliteConnection c, RevisionBook book, DateTimeOffset now)
    {
        var units = c.Query<(string Revision, long Started, long OnTheWay)>($"select revision, count(*), sum({OnItsWay}) from unit group by revision").ToDictionary(u => u.Revision, StringComparer.Ordinal);
        return
        [
            .. from r in book.All.Reverse()
               let counted = units.GetValueOrDefault(r.Revision.Id)
               select new RevisionRow(r.Revision.Id, r.Revision.Product.Id, r.Revision.Line.Name, StateOf(r, book, now), r.From, r.ApprovedAt, r.Person, r.Reason, r.Hash, counted.Started, counted.OnTheWay),
        ];
    }

    /// <summary>Units of a product that are not through their route.</summary>
    public static long OnTheWay(SqliteConnection c, string product) => c.ExecuteScalar<long>($"select count(*) from unit where product = @product and {OnItsWay}", new { product });

    // A unit of a cell is through when no step is left, and waits then to be built in.
    const string OnItsWay = "(state in ('building', 'held', 'passed') and (next_step is not null or state = 'held'))";

    static string StateOf(ApprovedRevision r, RevisionBook book, DateTimeOffset now)
    {
        var product = r.Revision.Product.Id;
        if (r.From > now)
            return book.StandingOf(product, r.From) == r && book.WithdrawalOf(product, r.From) is null ? "to-come" : "replaced";
        if (book.StandingOf(product, now) != r) return "replaced";
        return book.WithdrawalOf(product, now) is null ? "standing" : "withdrawn";
    }
}
