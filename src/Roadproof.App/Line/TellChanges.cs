using System.Net.ServerSentEvents;
using System.Runtime.CompilerServices;
using System.Threading.Channels;
using Roadproof.App.Frame;
using Roadproof.App.Station;
using Roadproof.Records.Ledger;

namespace Roadproof.App.Line;

/// <summary>Tells pages that the ledger has grown, at most four times a second, so that they look again; and while it does not, that the line between them still stands.</summary>
public static class TellChanges
{
    static readonly TimeSpan Pace = TimeSpan.FromMilliseconds(250);

    /// <summary>A page that has missed three of them says that it hears nothing (live.js).</summary>
    static readonly TimeSpan Beat = TimeSpan.FromSeconds(2);

    public static void Map(IEndpointRouteBuilder app) => app
        .MapGet("/api/v1/changes", (OpenLine line, BenchScans bench, IHostApplicationLifetime host, CancellationToken stop) =>
            TypedResults.ServerSentEvents(Run(line, bench, host.ApplicationStopping, stop)))
        .WithSummary("Server-sent events: the ledger's head after each change, what a station shows that no record tells, and a beat in between");

    public sealed record Change(long Size, string Head);

    static async IAsyncEnumerable<SseItem<Change>> Run(OpenLine line, BenchScans bench, CancellationToken hostStops, [EnumeratorCancellation] CancellationToken pageLeaves)
    {
        using var either = CancellationTokenSource.CreateLinkedTokenSource(hostStops, pageLeaves);
        // Only the newest head matters: what a slow page misses it does not need.
        var heads = Channel.CreateBounded<LedgerHead>(new BoundedChannelOptions(1) { FullMode = BoundedChannelFullMode.DropOldest });
        void Heard(LedgerHead head) => heads.Writer.TryWrite(head);
        var moved = false;
        void Moved()
        {
            Volatile.Write(ref moved, true);
            Heard(line.Ledger.Head);
        }

        line.Ledger.Committed += Heard;
        bench.Changed += Moved;
        await using var beat = new Timer(_ => Heard(line.Ledger.Head), null, Beat, Beat);
        try
        {
            var told = line.Ledger.Head;
            yield return Of(told, "ledger");
            while (await Wait(heads.Reader, either.Token))
            {
                if (!heads.Reader.TryRead(out var head)) continue;
                var grown = head.Size > told.Size;
                if (grown) told = head;
                yield return Of(told, grown ? "ledger" : Interlocked.Exchange(ref moved, false) ? "bench" : "beat");
                await Task.Delay(Pace, CancellationToken.None);
            }
        }
        finally
        {
            line.Ledger.Committed -= Heard;
            bench.Changed -= Moved;
        }
    }

    static SseItem<Change> Of(LedgerHead head, string what) => new(new(head.Size, head.RootHash), what);

    static async ValueTask<bool> Wait(ChannelReader<LedgerHead> heads, CancellationToken stop)
    {
        try
        {
            return await heads.WaitToReadAsync(stop);
        }
        catch (OperationCanceledException)
        {
            return false;
        }
    }
}
