namespace Roadproof.Plant.Line;

/// <summary>What a person or machine on the line waits for: a span of plant time, or a signal.</summary>
readonly record struct Pause(TimeSpan For, Signal? Until)
{
    public static Pause Seconds(double s) => new(TimeSpan.FromMilliseconds(Math.Round(s * 1000)), null);

    public static Pause Minutes(double min) => Seconds(60 * min);

    public static Pause UntilHeard(Signal signal) => new(TimeSpan.Zero, signal);
}

/// <summary>Something that several may wait for: a unit has come, a place is free.</summary>
sealed class Signal
{
    public Queue<IAsyncEnumerator<Pause>> Waiting { get; } = [];
}

/// <summary>Runs everything that happens on the line one after another in the order of plant time; what falls on one instant runs in the order in which it was asked for.</summary>
sealed class PlantTime(PlantClock clock)
{
    /// <summary>A running clock may get ahead of the line by so much before the line takes the clock's time for its own.</summary>
    static readonly TimeSpan Slack = TimeSpan.FromSeconds(5);

    readonly PriorityQueue<IAsyncEnumerator<Pause>, (DateTimeOffset At, long Order)> _due = new();
    long _order;

    /// <summary>Plant time of what happens now, with the plant's offset, to the millisecond.</summary>
    public DateTimeOffset Now { get; private set; } = Milliseconds(clock.GetLocalNow());

    public void Start(IAsyncEnumerable<Pause> doing) => Schedule(doing.GetAsyncEnumerator(), Now);

    public void Raise(Signal signal)
    {
        while (signal.Waiting.TryDequeue(out var doing)) Schedule(doing, Now);
    }

    /// <summary>From here on the clock runs, and the line waits for it.</summary>
    public void RunClock(double plantSecondsPerSecond)
    {
        if (clock.IsStepped) clock.Run(plantSecondsPerSecond);
    }

    /// <summary>Goes on until nobody waits for a time any more, or it is stopped.</summary>
    public async Task Run(CancellationToken stop)
    {
        while (_due.TryDequeue(out var doing, out var due))
        {
            await Reach(due.At, stop);
            if (!await doing.MoveNextAsync())
            {
                await doing.DisposeAsync();
                continue;
            }

            var pause = doing.Current;
            if (pause.Until is { } signal) signal.Waiting.Enqueue(doing);
            else Schedule(doing, Now + pause.For);
        }
    }

    async Task Reach(DateTimeOffset at, CancellationToken stop)
    {
        stop.ThrowIfCancellationRequested();
        if (at > Now) Now = at;
        if (clock.IsStepped)
        {
            clock.Set(Now);
            return;
        }

        for (var now = clock.GetUtcNow(); now < Now; now = clock.GetUtcNow()) await Task.Delay(Now - now, clock, stop);
        var ahead = clock.GetLocalNow();
        if (ahead - Now > Slack) Now = Milliseconds(ahead);
    }

    void Schedule(IAsyncEnumerator<Pause> doing, DateTimeOffset at) => _due.Enqueue(doing, (at, _order++));

    static DateTimeOffset Milliseconds(DateTimeOffset time) => new(time.Ticks - time.Ticks % TimeSpan.TicksPerMillisecond, time.Offset);
}
