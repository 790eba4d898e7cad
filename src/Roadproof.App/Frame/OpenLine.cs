using Roadproof.App.LoadTest;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Captures;
using Roadproof.Records.Definitions;
using Roadproof.Records.Items;
using Roadproof.Records.Ledger;
using Roadproof.Records.Stores;

namespace Roadproof.App.Frame;

/// <summary>The line that this program serves: beside what can be asked, the ledger that is written to and the captures.</summary>
public sealed class OpenLine : AskedLine, IAsyncDisposable
{
    readonly SemaphoreSlim approving = new(1);

    OpenLine(DataFolder folder, LineLedger ledger, CaptureStore captures, TimeProvider clock, RevisionBook revisions)
        : base(folder, clock, revisions) => (Ledger, Captures) = (ledger, captures);

    public LineLedger Ledger { get; }
    public CaptureStore Captures { get; }

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

    /// <summary>Approves definition files as the next revisions of what they change, all or none; the same files again change nothing. Units on the way keep theirs.</summary>
    /// <exception cref="InputException">Every mistake in the files.</exception>
    public async Task<Outcome<Approvals>> Approve(IEnumerable<(string Name, string Text)> files, ApprovalWord said)
    {
        // One at a time: each is held against the revisions that the one before left.
        await approving.WaitAsync();
        try
        {
            var outcome = DefinitionDraft.Of(files, Revisions).Approve(said, Clock.GetUtcNow());
            if (outcome.Done is not { Records.Count: > 0 } approvals) return outcome;
            var kept = await Ledger.Write(t => approvals.Records.Select(t.Append).ToList());
            Revisions = kept.Aggregate(Revisions, (book, record) => book.With(record));
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
        Dispose();
    }

    public override void Dispose()
    {
        base.Dispose();
        approving.Dispose();
    }
}
