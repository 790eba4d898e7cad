namespace Roadproof.App.Drive;

/// <summary>The gear trains that people last looked at, computed: a page that is kept true by itself asks for the same one again and again.</summary>
public sealed class ComputedTrains : IDisposable
{
    const int Kept = 32;

    // For all who look one at a time is soonest done: each uses every core.
    readonly SemaphoreSlim oneAtATime = new(1);
    readonly Lock one = new();
    readonly LinkedList<(string Key, Task<ComputedTrain> Of)> newest = new();

    /// <summary>What was computed for a key, or is being computed; made anew where it failed.</summary>
    public Task<ComputedTrain> Of(string key, Func<ComputedTrain> compute)
    {
        lock (one)
        {
            for (var at = newest.First; at is not null; at = at.Next)
            {
                if (at.Value.Key != key) continue;
                newest.Remove(at);
                if (at.Value.Of.IsFaulted) break;
                newest.AddFirst(at);
                return at.Value.Of;
            }

            var made = Made(compute);
            newest.AddFirst((key, made));
            if (newest.Count > Kept) newest.RemoveLast();
            return made;
        }
    }

    async Task<ComputedTrain> Made(Func<ComputedTrain> compute)
    {
        await oneAtATime.WaitAsync();
        try
        {
            return await Task.Run(compute);
        }
        finally
        {
            oneAtATime.Release();
        }
    }

    public void Dispose() => oneAtATime.Dispose();
}

/// <summary>A train beside the one as drawn and designs around it, computed.</summary>
public sealed record ComputedTrain(StudyGearTrain.Answer Answer, IReadOnlyList<TrainPoint> Points);
