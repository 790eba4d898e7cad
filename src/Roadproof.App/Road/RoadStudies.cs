using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Road;

/// <summary>A long computation over the kept rides, and how far it is.</summary>
/// <param name="Done">Rides worked out, of <paramref name="Total"/>.</param>
/// <param name="Answer">Null until it is there.</param>
/// <param name="Refused">What cannot be computed, in words; null where nothing is wrong.</param>
public sealed record RoadStudy<T>(int Done, int Total, T? Answer, string? Refused) where T : class;

/// <summary>Long computations over the kept rides that pages look at: each once for what it was asked, one at a time, behind the pages.</summary>
public sealed class RoadStudies : IDisposable
{
    const int Remembered = 8;

    /// <summary>What is soon there is waited for: a page that answers whole needs no second look.</summary>
    static readonly TimeSpan Soon = TimeSpan.FromSeconds(4);

    readonly Lock one = new();
    readonly LinkedList<(string Key, Work Work)> newest = new();
    readonly SemaphoreSlim oneAtATime = new(1);
    readonly CancellationTokenSource stop = new();

    /// <param name="key">Everything that the answer depends on.</param>
    /// <param name="total">Rides to be worked out.</param>
    /// <param name="compute">Told of each ride that is done.</param>
    public async Task<RoadStudy<T>> Of<T>(string key, int total, Func<Action, CancellationToken, T> compute) where T : class
    {
        Work work;
        lock (one)
        {
            var at = newest.First;
            while (at is not null && at.Value.Key != key) at = at.Next;
            if (at is not null) newest.Remove(at);
            at ??= new((key, new Work(total)));
            newest.AddFirst(at);
            if (newest.Count > Remembered) newest.RemoveLast();
            work = at.Value.Work;
            work.Running ??= Run(work, compute);
        }

        await Task.WhenAny(work.Running, Task.Delay(Soon));
        return new(work.Done, work.Total, work.Answer as T, work.Refused);
    }

    async Task Run<T>(Work work, Func<Action, CancellationToken, T> compute) where T : class
    {
        await Task.Yield();
        await oneAtATime.WaitAsync(stop.Token);
        try
        {
            work.Answer = await Task.Run(() => compute(work.OneMore, stop.Token), stop.Token);
        }
        catch (OperationCanceledException)
        {
            work.Refused = "The server stops.";
        }
        catch (InputException e)
        {
            work.Refused = string.Join(" ", e.Errors.Select(error => $"Found {error.Found}, expected {error.Expected}. {error.Hint}".TrimEnd()));
        }
        catch (Exception e)
        {
            work.Refused = $"Bug in Roadproof: {(e as AggregateException)?.InnerExceptions[0].Message ?? e.Message} Please report it with these settings.";
        }
        finally
        {
            oneAtATime.Release();
        }
    }

    public void Dispose()
    {
        stop.Cancel();
        stop.Dispose();
        oneAtATime.Dispose();
    }

    sealed class Work(int total)
    {
        int done;

        public int Total => total;
        public int Done => Volatile.Read(ref done);
        public Task? Running { get; set; }
        public object? Answer { get; set; }
        public string? Refused { get; set; }

        public void OneMore() => Interlocked.Increment(ref done);
    }
}
