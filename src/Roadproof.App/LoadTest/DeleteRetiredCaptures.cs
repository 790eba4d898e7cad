using System.Threading.Channels;
using Microsoft.Data.Sqlite;
using Roadproof.App.Frame;
using Roadproof.Records.Ledger;

namespace Roadproof.App.LoadTest;

/// <summary>Deletes the files of captures that records have retired, after the ledger has grown: no station waits for a disk.</summary>
public sealed class DeleteRetiredCaptures(OpenLine line, ILogger<DeleteRetiredCaptures> log) : BackgroundService
{
    static readonly TimeSpan Pace = TimeSpan.FromSeconds(1);

    long seen;

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        var grown = Channel.CreateBounded<LedgerHead>(new BoundedChannelOptions(1) { FullMode = BoundedChannelFullMode.DropOldest });
        void Heard(LedgerHead head) => grown.Writer.TryWrite(head);
        line.Ledger.Committed += Heard;
        seen = line.Ledger.Head.Size; // what was retired before was deleted when the store was opened
        try
        {
            await foreach (var _ in grown.Reader.ReadAllAsync(stoppingToken))
            {
                Try();
                await Task.Delay(Pace, stoppingToken);
            }
        }
        catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
        {
            Try();
        }
        finally
        {
            line.Ledger.Committed -= Heard;
        }
    }

    // A disk that fails is tried again when the ledger grows next, and at the next start; the line goes on meanwhile.
    void Try()
    {
        try
        {
            seen = line.Captures.DeleteRetired(seen);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or SqliteException)
        {
            log.LogWarning(e, "The files of retired captures could not be deleted.");
        }
    }
}
