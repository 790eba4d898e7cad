using System.Security.Cryptography;
using System.Text;
using Microsoft.AspNetCore.Mvc;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Road;

/// <summary>A long computation over the kept rides, and how far it is.</summary>
/// <param name="Id">What it is stopped by.</param>
/// <param name="Done">Rides worked out, of <paramref name="Total"/>.</param>
/// <param name="Answer">Null until it is there.</param>
/// <param name="Refused">What cannot be computed, in words; null where nothing is wrong.</param>
/// <param name="Left">How long it still takes if it goes on as before; null where nobody can tell yet.</param>
/// <param name="Waits">Another one is worked out first.</param>
/// <param name="Stopped">A person stopped it: there will be no answer unless it is begun anew.</param>
public sealed record RoadStudy<T>(string Id, int Done, int Total, T? Answer, string? Refused, TimeSpan? Left, bool Waits, bool Stopped) where T : class
{
    public bool AtWork => Answer is null && Refused is null;
}

/// <summary>Long computations over the kept rides that pages look at: each once for what it was asked, one at a time, behind the pages. Short ones do not stand in their queue.</summary>
public sealed class RoadStudies : IDisposable
{
    const int Remembered = 24;

    /// <summary>Of answers that hold some ten megabytes each.</summary>
    const int LargeRemembered = 3;

    /// <summary>What is soon there is waited for: a page that answers whole needs no second look.</summary>
    static readonly TimeSpan Soon = TimeSpan.FromSeconds(4);

    readonly Lock one = new();
    readonly LinkedList<Work> newest = new();
    readonly SemaphoreSlim oneAtATime = new(1);
    readonly SemaphoreSlim oneShortAtATime = new(1);
    readonly CancellationTokenSource stop = new();

    /// <summary>On all cores but one, which stays free for the line.</summary>
    public static int Cores => Math.Max(1, Environment.ProcessorCount - 1);

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapPost("/road/studies/{study}/stop", (string study, [FromForm] string back, RoadStudies studies) => Leading(back, () => studies.Stop(study))).ExcludeFromDescription();
        app.MapPost("/road/studies/{study}/again", (string study, [FromForm] string back, RoadStudies studies) => Leading(back, () => studies.Forget(study))).ExcludeFromDescription();
    }

    /// <param name="key">Everything that the answer depends on.</param>
    /// <param name="total">Rides to be worked out.</param>
    /// <param name="compute">Told of each ride that is done.</param>
    /// <param name="wait">How long an answer is waited for; else some seconds.</param>
    /// <param name="isShort">Takes a few seconds at most.</param>
    /// <param name="isLarge">Its answer takes up much memory: only a few of these are remembered.</param>
    public async Task<RoadStudy<T>> Of<T>(string key, int total, Func<Action, CancellationToken, T> compute, TimeSpan? wait = null, bool isShort = false, bool isLarge = false) where T : class
    {
        Work work;
        lock (one)
        {
            var at = newest.First;
            while (at is not null && at.Value.Key != key) at = at.Next;
            if (at is not null) newest.Remove(at);
            at ??= new(new Work(key, total, isLarge, stop.Token));
            newest.AddFirst(at);
            if (newest.Count > Remembered) Forget(newest.Last!);
            if (newest.Count(w => w.IsLarge) > LargeRemembered) Forget(newest.FindLast(newest.Last(w => w.IsLarge))!);

            work = at.Value;
            work.Running ??= Run(work, compute, isShort ? oneShortAtATime : oneAtATime);
        }

        await Task.WhenAny(work.Running, Task.Delay(wait ?? Soon));
        return new(work.Id, work.Done, work.Total, work.Answer as T, work.Refused, work.Left, work.Waits, work.Stopped);
    }

    // Nobody can see its answer any more.
    void Forget(LinkedListNode<Work> gone)
    {
        gone.Value.Stop();
        newest.Remove(gone);
    }

    /// <summary>Stops one between seconds of a ride; what is done already stays.</summary>
    public void Stop(string id)
    {
        lock (one) newest.FirstOrDefault(w => w.Id == id)?.Stop();
    }

    /// <summary>Forgets one that came to no answer, so that it begins anew when it is asked for.</summary>
    public void Forget(string id)
    {
        lock (one)
            if (newest.FirstOrDefault(w => w.Id == id) is { } work && (work.Stopped || work.Refused is not null)) newest.Remove(work);
    }

    static async Task Run<T>(Work work, Func<Action, CancellationToken, T> compute, SemaphoreSlim queue) where T : class
    {
        await Task.Yield();
        var entered = false;
        try
        {
            await queue.WaitAsync(work.Token);
            entered = true;
            work.Begin();
            work.Answer = await Task.Run(() => compute(work.OneMore, work.Token), work.Token);
        }
        catch (OperationCanceledException)
        {
            work.Refused = work.Stopped ? "It was stopped." : "The server stops.";
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
            if (entered) queue.Release();
        }
    }

    // A form leads back to the page that it stood on, and nowhere else.
    static IResult Leading(string back, Action act)
    {
        act();
        return Results.Redirect(new[] { "/gear-train", "/road/cycle", "/road/riders", "/road/rig" }.Any(page => back == page || back.StartsWith(page + "?", StringComparison.Ordinal)) ? back : "/road");
    }

    public void Dispose()
    {
        stop.Cancel();
        stop.Dispose();
        oneAtATime.Dispose();
        oneShortAtATime.Dispose();
    }

    sealed class Work(string key, int total, bool isLarge, CancellationToken serverStops)
    {
        readonly CancellationTokenSource stop = CancellationTokenSource.CreateLinkedTokenSource(serverStops);
        int done;
        long begun;

        public string Key => key;
        public string Id { get; } = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(key)))[..16];
        public int Total => total;
        public bool IsLarge => isLarge;
        public int Done => Volatile.Read(ref done);
        public Task? Running { get; set; }
        public object? Answer { get; set; }
        public string? Refused { get; set; }
        public bool Waits => Volatile.Read(ref begun) == 0 && Answer is null && Refused is null;
        public bool Stopped { get; private set; }
        public CancellationToken Token => stop.Token;

        public TimeSpan? Left => Done is > 0 and var n && n < total && Answer is null ? TimeProvider.System.GetElapsedTime(begun) * ((double)(total - n) / n) : null;

        public void Begin() => Volatile.Write(ref begun, TimeProvider.System.GetTimestamp());

        public void OneMore() => Interlocked.Increment(ref done);

        public void Stop()
        {
            if (Answer is not null || Refused is not null) return;
            Stopped = true;
            stop.Cancel();
        }
    }
}
