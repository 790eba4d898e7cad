using System.Threading.Channels;
using Dapper;
using Microsoft.Data.Sqlite;
using Roadproof.App.Frame;
using Roadproof.Records.Ledger;

namespace Roadproof.App.LoadTest;

/// <summary>Deletes captures under the plant's retention rule: so many of the newest passed runs and of the newest stopped runs are kept.</summary>
/// <remarks>Each deletion is a record first: retired is not missing. It looks after the ledger has grown, so that no station waits for it and it does not matter what came last, message or capture.</remarks>
public sealed class RetireCaptures(OpenLine line, ILogger<RetireCaptures> log) : BackgroundService
{
    static readonly TimeSpan Pace = TimeSpan.FromSeconds(1);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        var grown = Channel.CreateBounded<LedgerHead>(new BoundedChannelOptions(1) { FullMode = BoundedChannelFullMode.DropOldest });
        void Heard(LedgerHead head) => grown.Writer.TryWrite(head);
        line.Ledger.Committed += Heard;
        try
        {
            await foreach (var _ in grown.Reader.ReadAllAsync(stoppingToken))
            {
                await Try();
                await Task.Delay(Pace, stoppingToken);
            }
        }
        catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
        {
            // The program stops; what is left to retire is found at the next start.
        }
        finally
        {
            line.Ledger.Committed -= Heard;
        }
    }

    // A disk that fails is tried again when the ledger grows next; the line goes on meanwhile.
    async Task Try()
    {
        try
        {
            await Run(line);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or SqliteException)
        {
            log.LogWarning(e, "Captures could not be retired.");
        }
    }

    public static async Task Run(OpenLine line)
    {
        var plant = line.Standing[0].Plant;
        foreach (var sha256 in Beyond(plant.KeepPassedCaptures, passed: true, line))
            await line.Captures.Retire(sha256, Invariant($"The run passed and {plant.KeepPassedCaptures} newer passed runs are kept."), "");
        foreach (var sha256 in Beyond(plant.KeepStoppedCaptures, passed: false, line))
            await line.Captures.Retire(sha256, Invariant($"The run was stopped and {plant.KeepStoppedCaptures} newer stopped runs are kept."), "");
    }

    static List<string> Beyond(int keep, bool passed, OpenLine line)
    {
        using var ask = line.Ask();
        return ask.Query<string>("""
            select r.sha256 from capture_ref r
            where r.state = 'kept' and (r.unit, r.step, r.attempt) in (
              select s.unit, s.step, s.attempt from unit_step s join load_test l on l.step_sequence = s.sequence
              where (s.verdict = 'pass') = @passed and s.verdict <> 'waiting' order by s.sequence desc limit -1 offset @keep)
            order by r.sequence, r.sha256
            """, new { keep, passed }).AsList();
    }
}
