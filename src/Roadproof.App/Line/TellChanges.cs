using System.Runtime.CompilerServices;
using System.Threading.Channels;
using Roadproof.App.Frame;
using Roadproof.Records.Ledger;

namespace Roadproof.App.Line;

/// <summary>Tells pages that the ledger has grown, at most four times a second, so that they look again.</summary>
public static class TellChanges
{
    static readonly TimeSpan Pace = TimeSpan.FromMilliseconds(250);

    public static void Map(IEndpointRouteBuilder app) => app
        .MapGet("/api/v1/changes", (OpenLine line, IHostApplicationLifetime host, CancellationToken stop) =>
            TypedResults.ServerSentEvents(Run(line, host.ApplicationStopping, stop), eventType: "ledger"))
        .WithSummary("Server-sent events: the ledger's head after each change");

    public sealed record Change(long Size, string Head);

    static async IAsyncEnumerable<Change> Run(OpenLine line, CancellationToken hostStops, [EnumeratorCancellation] CancellationToken pageLeaves)
    {
        using var either = CancellationTokenSource.CreateLinkedTokenSource(hostStops, pageLeaves);
        // Only the newest head matters: what a slow page misses it does not need.
        var heads = Channel.CreateBounded<LedgerHead>(new BoundedChannelOptions(1) { FullMode = BoundedChannelFullMode.DropOldest });
        void Heard(LedgerHead head) => heads.Writer.TryWrite(head);
        line.Ledger.Committed += Heard;
        try
        {
            var told = line.Ledger.Head;
            yield return Of(told);
            while (await Wait(heads.Reader, either.Token))
            {
                // A message is answered before its head is told: the head that the page began with may be told once more.
                if (!heads.Reader.TryRead(out var head) || head.Size <= told.Size) continue;
                told = head;
                yield return Of(told);
                await Task.Delay(Pace, CancellationToken.None);
            }
        }
        finally
        {
            line.Ledger.Committed -= Heard;
        }
    }

    static Change Of(LedgerHead head) => new(head.Size, head.RootHash);

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
