using System.Diagnostics;
using System.Threading.Channels;
using Roadproof.Records.Marking;
using Roadproof.Records.Stores;

namespace Roadproof.Records.Ledger;

/// <summary>The append-only ledger of one line. One writer gives each record its place; what is written together is made durable together.</summary>
/// <remarks>
/// Works wait in a queue; the writer takes all that wait, runs each in a savepoint of its own, commits once and then answers. While one commit
/// is on its way to the disk the next group gathers, so the more callers there are, the more share a commit. See <c>docs/decisions/0002-one-writer.md</c>.
/// </remarks>
public sealed class LineLedger : IAsyncDisposable
{
    const int MostWaiting = 4096;
    const int MostInOneCommit = 512;

    // A long queue must not make the first of a group wait for all of it.
    static readonly TimeSpan LongestGroup = TimeSpan.FromMilliseconds(10);

    readonly TimeProvider clock;
    readonly LedgerWriter writer;
    readonly Channel<Work> waiting = Channel.CreateBounded<Work>(new BoundedChannelOptions(MostWaiting) { SingleReader = true });
    readonly Thread thread;
    readonly TaskCompletionSource ended = new(TaskCreationOptions.RunContinuationsAsynchronously);
    volatile LedgerHead head;

    /// <param name="folder">A folder taken with <see cref="DataFolder.Open"/>; it stays open as long as the ledger.</param>
    /// <param name="clock">The plant clock.</param>
    /// <param name="derive">Fills the derived tables, after the serial book, which every ledger keeps; they are rebuilt here if their schema has moved since they were filled.</param>
    /// <exception cref="Engineering.Quantities.InputException">The ledger does not end where its tip says: it was changed from outside.</exception>
    public LineLedger(DataFolder folder, TimeProvider clock, IDerive derive)
    {
        this.clock = clock;
        writer = new LedgerWriter(folder, new Derivations(new SerialRecords(), derive));
        head = writer.Head;
        thread = new Thread(WriteUntilClosed) { IsBackground = true, Name = "ledger writer" };
        thread.Start();
    }

    /// <summary>The head of what is durable.</summary>
    public LedgerHead Head => head;

    /// <summary>Raised on the writer after each commit that added records; be quick, or hand it on.</summary>
    public event Action<LedgerHead>? Committed;

    /// <summary>Runs a piece of work on the writer. What it wrote is durable when the task completes; if it throws, only its own writing is undone.</summary>
    /// <exception cref="NotKeptException">The disk is full or fails; nothing of this work was kept.</exception>
    public async Task<T> Write<T>(Func<LedgerTransaction, T> work)
    {
        var one = new Work<T>(work);
        try
        {
            await waiting.Writer.WriteAsync(one).ConfigureAwait(false);
        }
        catch (ChannelClosedException)
        {
            throw new ObjectDisposedException(nameof(LineLedger), "The ledger is closed: nothing was kept.");
        }

        return await one.Done.ConfigureAwait(false);
    }

    /// <summary>Empties the derived tables and fills them again from every record, in one transaction.</summary>
    /// <returns>How many records were applied.</returns>
    public Task<long> Rebuild() => Write(_ => writer.Rebuild());

    /// <summary>Writes what waits, keeps the last head and closes the file.</summary>
    public async ValueTask DisposeAsync()
    {
        waiting.Writer.TryComplete();
        await ended.Task.ConfigureAwait(false);
    }

    void WriteUntilClosed()
    {
        var group = new List<Work>(MostInOneCommit);
        while (waiting.Reader.WaitToReadAsync().AsTask().GetAwaiter().GetResult())
        {
            WriteGroup(group);
            group.Clear();
        }

        Close();
    }

    void WriteGroup(List<Work> group)
    {
        try
        {
            var began = Stopwatch.GetTimestamp();
            while (group.Count < MostInOneCommit && waiting.Reader.TryRead(out var work))
            {
                group.Add(work);
                if (group.Count == 1) writer.Begin();
                RunApart(work);
                if (Stopwatch.GetElapsedTime(began) > LongestGroup) break;
            }

            if (group.Count > 0) writer.Commit();
        }
        catch (Exception e)
        {
            Abandon(group, e);
            return;
        }

        var grown = writer.Size > head.Size;
        if (grown) head = writer.Head;
        foreach (var work in group) work.Answer();
        if (grown) Tell();
    }

    void RunApart(Work work)
    {
        var transaction = new LedgerTransaction(writer, clock.GetUtcNow());
        try
        {
            writer.Apart(() => work.Run(transaction));
        }
        catch (Exception e) when (!LedgerWriter.IsDisk(e))
        {
            work.Failed(e);
        }
        finally
        {
            transaction.End();
        }
    }

    // Nothing of the group is on disk: say so to each, and go on; when there is room again the next group is kept.
    void Abandon(List<Work> group, Exception because)
    {
        var word = because is Microsoft.Data.Sqlite.SqliteException { SqliteErrorCode: SQLitePCL.raw.SQLITE_FULL }
            ? "The disk is full: nothing of this was kept. Make room; the same message may then be sent again."
            : $"The records could not be written ({because.Message}): nothing of this was kept. Mend the disk; the same message may then be sent again.";
        var failure = new NotKeptException(word, because);
        try
        {
            writer.Abandon();
        }
        catch (Microsoft.Data.Sqlite.SqliteException)
        {
            // The disk will not even take back; the next group finds out in its turn.
        }

        foreach (var work in group)
        {
            work.Failed(failure);
            work.Answer();
        }
    }

    void Tell()
    {
        try
        {
            Committed?.Invoke(head);
        }
        catch (Exception e)
        {
            // What listens to the ledger must not stop it: the records are kept already.
            Trace.TraceError($"Bug in Roadproof: a listener to the ledger failed: {e}");
        }
    }

    void Close()
    {
        try
        {
            // Whoever waits for the end may open the file at once: it is let go of first.
            using (writer)
            {
                writer.Begin();
                writer.KeepHead();
                writer.Commit();
            }

            ended.SetResult();
        }
        catch (Exception e)
        {
            ended.SetException(e);
        }
    }

    abstract class Work
    {
        public abstract void Run(LedgerTransaction transaction);

        public abstract void Failed(Exception e);

        public abstract void Answer();
    }

    sealed class Work<T>(Func<LedgerTransaction, T> work) : Work
    {
        readonly TaskCompletionSource<T> done = new(TaskCreationOptions.RunContinuationsAsynchronously);
        T? result;
        Exception? failure;

        public Task<T> Done => done.Task;

        public override void Run(LedgerTransaction transaction) => result = work(transaction);

        public override void Failed(Exception e) => failure = e;

        public override void Answer()
        {
            if (failure is null) done.SetResult(result!);
            else done.SetException(failure);
        }
    }
}
