using System.Globalization;
using System.Reflection;
using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.Quantities;
using static System.FormattableString;

namespace Roadproof.Records.Stores;

/// <summary>The numbered files of <c>Schema/</c>: each is run once on a data folder, in the order of its number, in a transaction of its own.</summary>
/// <remarks>A file that has been released is never edited: a change comes as a new number. Derived tables are rebuilt when a number is added.</remarks>
static class SchemaSteps
{
    static readonly IReadOnlyList<Step> All = ReadAll();

    sealed record Step(int Number, string Name, string Sql);

    /// <summary>The highest number this program knows.</summary>
    public static int Newest => All[^1].Number;

    /// <exception cref="InputException">The folder was written by a newer program.</exception>
    public static void Apply(SqliteConnection connection, string folder)
    {
        connection.Execute("create table if not exists schema_step (number integer primary key, name text not null) strict");
        var done = Done(connection);
        RefuseNewer(done, folder);
        foreach (var step in All.Where(s => !done.Contains(s.Number)))
        {
            using var transaction = connection.BeginTransaction(deferred: false);
            connection.Execute(step.Sql, transaction: transaction);
            connection.Execute("insert into schema_step (number, name) values (@Number, @Name)", new { step.Number, step.Name }, transaction);
            transaction.Commit();
        }
    }

    /// <exception cref="InputException">The folder's tables are not exactly those of this program.</exception>
    public static void Require(SqliteConnection connection, string folder)
    {
        var known = connection.ExecuteScalar<long>("select count(*) from sqlite_master where name = 'schema_step'") > 0;
        var done = known ? Done(connection) : [];
        RefuseNewer(done, folder);
        if (All.FirstOrDefault(s => !done.Contains(s.Number)) is { } missing)
            throw new InputException(new InputError(folder, 0, "schema", Invariant($"no step {missing.Number} ({missing.Name})"), Invariant($"all steps up to {Newest}"),
                "Start this version of the program once on the folder; it brings the tables up to date."));
    }

    static void RefuseNewer(HashSet<int> done, string folder)
    {
        var newer = done.Except(All.Select(s => s.Number)).DefaultIfEmpty(0).Max();
        if (newer > 0)
            throw new InputException(new InputError(folder, 0, "schema", Invariant($"step {newer}"), Invariant($"no step above {Newest}, the newest this program knows"),
                "The folder was written by a newer version: use that one, or a backup from before the update."));
    }

    static HashSet<int> Done(SqliteConnection connection) => connection.Query<int>("select number from schema_step").ToHashSet();

    static List<Step> ReadAll()
    {
        const string folder = "Roadproof.Records.Schema.";
        var assembly = Assembly.GetExecutingAssembly();
        var steps = assembly.GetManifestResourceNames()
            .Where(n => n.StartsWith(folder, StringComparison.Ordinal))
            .Select(n => new Step(int.Parse(n.AsSpan(folder.Length, 4), CultureInfo.InvariantCulture), n[folder.Length..^4], Read(assembly, n)))
            .OrderBy(s => s.Number)
            .ToList();
        var twice = steps.GroupBy(s => s.Number).FirstOrDefault(g => g.Count() > 1);
        return twice is null ? steps : throw new InvalidOperationException(Invariant($"Bug in Roadproof: two schema files have the number {twice.Key}."));
    }

    static string Read(Assembly assembly, string name)
    {
        using var reader = new StreamReader(assembly.GetManifestResourceStream(name)!);
        return reader.ReadToEnd();
    }
}
