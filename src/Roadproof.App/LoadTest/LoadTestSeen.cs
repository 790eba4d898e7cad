using System.Collections.Concurrent;
using Roadproof.App.Frame;
using Roadproof.Engineering.LoadTest;
using Roadproof.Records.Definitions;

namespace Roadproof.App.LoadTest;

/// <summary>What each product's load test sees, worked out once for a revision and behind everything that a person or a rig waits for.</summary>
public sealed class LoadTestSeen(OpenLine line)
{
    readonly ConcurrentDictionary<string, Lazy<Task<LoadTestJudge>>> working = new(StringComparer.Ordinal);

    /// <summary>The revision's judge, once it also knows what its load test sees; that takes some seconds of one core.</summary>
    public Task<LoadTestJudge> Of(RouteRevision revision) => working.GetOrAdd(revision.Id, _ => new(() => Task.Run(() =>
    {
        var judge = line.JudgeOf(revision);
        judge.Sensitivity();
        judge.Unseen();
        return judge;
    }))).Value;

    /// <summary>Begins with every product that the plant builds now, one after another: a run that is to be judged meanwhile finds a core free.</summary>
    public async Task Begin()
    {
        foreach (var revision in line.Standing.Where(r => r.Product.LoadTest is not null)) await Of(revision);
    }
}
