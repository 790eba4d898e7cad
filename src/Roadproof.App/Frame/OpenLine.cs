using System.Collections.Concurrent;
using Microsoft.Data.Sqlite;
using Roadproof.App.LoadTest;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Captures;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Messages;
using Roadproof.Records.ReadModel;
using Roadproof.Records.Stores;

namespace Roadproof.App.Frame;

/// <summary>The line that this program serves: its records, its captures, its approved revisions and the judges made from them.</summary>
public sealed class OpenLine : IAsyncDisposable
{
    readonly DataFolder folder;
    readonly ConcurrentDictionary<string, Lazy<LoadTestJudge>> judges = new(StringComparer.Ordinal);
    readonly SemaphoreSlim approving = new(1);
    volatile RevisionBook revisions;

    OpenLine(DataFolder folder, LineLedger ledger, CaptureStore captures, TimeProvider clock, RevisionBook revisions)
    {
        (this.folder, Ledger, Captures, Clock, this.revisions) = (folder, ledger, captures, clock, revisions);
    }

    /// <summary>The data folder, as an absolute path.</summary>
    public string FolderPath => folder.Path;
    public LineLedger Ledger { get; }
    public CaptureStore Captures { get; }

    /// <summary>The plant clock; the only clock there is.</summary>
    public TimeProvider Clock { get; }
    public RevisionBook Revisions => revisions;

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

    /// <summary>Takes the data folder and opens everything in it.</summary>
    /// <exception cref="InputException">Another program has the folder open, or its files are not what they should be.</exception>
    public static Task<OpenLine> Open(string path, TimeProvider clock) => Open(path, _ => clock);

    /// <summary>The same by the clock on the wall, or by the plant's own where its records are ahead of that.</summary>
    /// <exception cref="InputException">As above.</exception>
    public static Task<OpenLine> Open(string path) => Open(path, taken =>
    {
        using var ask = taken.ReadConnection();
        return RecordedClock.Of(ask);
    });

    static async Task<OpenLine> Open(string path, Func<DataFolder, TimeProvider> clockOf)
    {
        var taken = DataFolder.Open(path);
        LineLedger? ledger = null;
        try
        {
            var clock = clockOf(taken);
            ledger = new LineLedger(taken, clock, new PlantState());
            using var ask = taken.ReadConnection();
            var line = new OpenLine(taken, ledger, new CaptureStore(taken, ledger), clock, RevisionBook.Read(ask));
            if (line.Revisions.All.Count > 0) await CompleteWaiting.Run(WaitingSteps.All, line);
            return line;
        }
        catch
        {
            if (ledger is not null) await ledger.DisposeAsync();
            taken.Dispose();
            throw;
        }
    }

    /// <summary>A connection for questions; give it back with <c>using</c>.</summary>
    public SqliteConnection Ask() => folder.ReadConnection();

    /// <summary>Answers a question of several parts at one moment of the line.</summary>
    public T Ask<T>(Func<SqliteConnection, T> question) => folder.Ask(question);

    /// <summary>The judge of a revision's load test; made once, which takes a second or two.</summary>
    public LoadTestJudge JudgeOf(RouteRevision revision) =>
        judges.GetOrAdd(revision.Id, _ => new Lazy<LoadTestJudge>(() => new LoadTestJudge(revision.LoadTest))).Value;

    /// <summary>Approves definition files as the next revisions of what they change, all or none; the same files again change nothing. Units on the way keep theirs.</summary>
    /// <exception cref="InputException">Every mistake in the files.</exception>
    public async Task<Outcome<Approvals>> Approve(IEnumerable<(string Name, string Text)> files, ApprovalWord said)
    {
        // One at a time: each is held against the revisions that the one before left.
        await approving.WaitAsync();
        try
        {
            var outcome = DefinitionDraft.Of(files, revisions).Approve(said, Clock.GetUtcNow());
            if (outcome.Done is not { Records.Count: > 0 } approvals) return outcome;
            var kept = await Ledger.Write(t => approvals.Records.Select(t.Append).ToList());
            revisions = kept.Aggregate(revisions, (book, record) => book.With(record));
            return outcome;
        }
        finally
        {
            approving.Release();
        }
    }

    public async ValueTask DisposeAsync()
    {
        await Ledger.DisposeAsync();
        folder.Dispose();
        approving.Dispose();
    }
}
