using System.Collections.Concurrent;
using Microsoft.Data.Sqlite;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;
using Roadproof.Records.Stores;

namespace Roadproof.App.Frame;

/// <summary>A line that can be asked and not written to: its records, its approved revisions and the judges made from them. Another program may be writing meanwhile.</summary>
public class AskedLine : IDisposable
{
    readonly DataFolder folder;
    readonly ConcurrentDictionary<string, Lazy<LoadTestJudge>> judges = new(StringComparer.Ordinal);
    volatile RevisionBook revisions;

    private protected AskedLine(DataFolder folder, TimeProvider clock, RevisionBook revisions) => (this.folder, Clock, this.revisions) = (folder, clock, revisions);

    /// <summary>Looks into a data folder, by the clock on the wall or by the plant's own where its records are ahead of that.</summary>
    /// <exception cref="InputException">There are no records in it, or its tables are of another version.</exception>
    public static AskedLine Look(string path)
    {
        var seen = DataFolder.OpenToRead(path);
        using var ask = seen.ReadConnection();
        return new(seen, RecordedClock.Of(ask), RevisionBook.Read(ask));
    }

    /// <summary>The data folder, as an absolute path.</summary>
    public string FolderPath => folder.Path;

    /// <summary>The plant clock; the only clock there is.</summary>
    public TimeProvider Clock { get; }

    public RevisionBook Revisions
    {
        get => revisions;
        private protected set => revisions = value;
    }

    /// <summary>The revisions that new units start on, one for each line; a withdrawn one stays, behind the others, while units of it are on the way.</summary>
    /// <exception cref="InputException">Nothing has been approved in this data folder yet.</exception>
    public IReadOnlyList<RouteRevision> Standing => Plant.Standing;

    public PlantContext Plant
    {
        get
        {
            var (book, now) = (revisions, Clock.GetUtcNow());
            var withdrawn = new List<WithdrawnProduct>();
            var standing = new List<RouteRevision>();
            foreach (var revision in book.StandingAt(now).Select(r => r.Revision))
            {
                var ended = book.WithdrawalOf(revision.Product.Id, now);
                if (ended is not null && Ask(c => RevisionList.OnTheWay(c, ended.Product)) == 0) continue;
                if (ended is not null) withdrawn.Add(ended);
                standing.Add(revision);
            }

            if (standing.Count == 0) throw new InputException(new InputError(folder.Path, 0, "", "no approved definitions", "an approved route revision", "Approve some: roadproof definitions approve DIR --by KEY"));
            return new(standing, id => book.Find(id)?.Revision) { Withdrawn = withdrawn };
        }
    }

    /// <summary>What a line builds; null where the plant has no such line.</summary>
    public RouteRevision? LineOf(string line) => Standing.FirstOrDefault(r => r.Line.Id == line);

    /// <summary>A connection for questions; give it back with <c>using</c>.</summary>
    public SqliteConnection Ask() => folder.ReadConnection();

    /// <summary>Answers a question of several parts at one moment of the line.</summary>
    public T Ask<T>(Func<SqliteConnection, T> question) => folder.Ask(question);

    /// <summary>The judge of a revision's load test; made once, which takes a second or two.</summary>
    public LoadTestJudge JudgeOf(RouteRevision revision) =>
        judges.GetOrAdd(revision.Id, _ => new Lazy<LoadTestJudge>(() => new LoadTestJudge(revision.LoadTest))).Value;

    public virtual void Dispose()
    {
        folder.Dispose();
        GC.SuppressFinalize(this);
    }
}
