namespace Roadproof.Plant;

/// <summary>The one source of time of a plant, shared by its stations and the server: real, scaled, or stepped by the demo's own loop. It never goes back.</summary>
/// <remarks>
/// Timers follow plant time: a scaled clock asks its inner clock for a shorter wait (rounded up to a millisecond, so that nothing fires early),
/// a stepped clock fires them inside <see cref="Set"/>. A stepped clock may start to run once, and takes its timers along.
/// </remarks>
public sealed class PlantClock : TimeProvider
{
    readonly TimeProvider _inner;
    readonly Lock _gate = new();
    readonly List<SteppedTimer> _timers = [];
    DateTimeOffset _start, _latest;
    long _innerStart;

    PlantClock(TimeProvider inner, DateTimeOffset start, double? speed, bool isReal)
    {
        (_inner, _start, Speed, IsReal) = (inner, start, speed, isReal);
        _innerStart = inner.GetTimestamp();
        _latest = start;
        LocalTimeZone = isReal ? inner.LocalTimeZone : Zone(start.Offset);
    }

    /// <summary>Plant seconds in one real second; null where the clock is stepped.</summary>
    public double? Speed { get; private set; }
    public bool IsReal { get; }
    public bool IsStepped => Speed is null;
    public override TimeZoneInfo LocalTimeZone { get; }
    public override long TimestampFrequency => IsReal ? _inner.TimestampFrequency : TimeSpan.TicksPerSecond;

    /// <summary>The time on the wall.</summary>
    public static PlantClock Real(TimeProvider? inner = null) => new(inner ?? System, (inner ?? System).GetUtcNow(), 1, isReal: true);

    /// <summary>Starts at an instant and runs faster or slower than the time on the wall. The start's offset is the plant's time zone.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The speed is not a positive finite number.</exception>
    public static PlantClock Scaled(DateTimeOffset start, double plantSecondsPerSecond, TimeProvider? inner = null) =>
        new(inner ?? System, start, RequireSpeed(plantSecondsPerSecond), isReal: false);

    /// <summary>Stands until it is set. The start's offset is the plant's time zone.</summary>
    public static PlantClock Stepped(DateTimeOffset start, TimeProvider? inner = null) => new(inner ?? System, start, null, isReal: false);

    public override DateTimeOffset GetUtcNow()
    {
        lock (_gate)
        {
            // A wall clock may be put back; a plant clock stands until it has caught up.
            if (!IsStepped && Running() is var now && now > _latest) _latest = now;
            return _latest.ToUniversalTime();
        }
    }

    public override long GetTimestamp() => IsReal ? _inner.GetTimestamp() : GetUtcNow().UtcTicks;

    /// <summary>Sets a stepped clock on, and fires the timers that fall due on the way, in their order.</summary>
    /// <exception cref="InvalidOperationException">The clock is not stepped, or the instant lies before its time.</exception>
    public void Set(DateTimeOffset instant)
    {
        if (!IsStepped) throw new InvalidOperationException("Only a stepped plant clock is set; this one runs by itself.");
        if (instant < GetUtcNow()) throw new InvalidOperationException($"A plant clock never goes back: it shows {_latest:O}, asked for was {instant:O}.");
        while (NextDue(instant) is { } timer) timer.Fire();
        lock (_gate) _latest = instant;
    }

    /// <summary>Lets a stepped clock run from where it stands.</summary>
    /// <exception cref="InvalidOperationException">The clock runs already.</exception>
    /// <exception cref="ArgumentOutOfRangeException">The speed is not a positive finite number.</exception>
    public void Run(double plantSecondsPerSecond)
    {
        List<SteppedTimer> waiting;
        lock (_gate)
        {
            if (!IsStepped) throw new InvalidOperationException("This plant clock runs already.");
            Speed = RequireSpeed(plantSecondsPerSecond);
            (_start, _innerStart) = (_latest, _inner.GetTimestamp());
            waiting = [.. _timers];
            _timers.Clear();
        }

        foreach (var timer in waiting) timer.Run();
    }

    public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
    {
        ArgumentNullException.ThrowIfNull(callback);
        if (IsReal) return _inner.CreateTimer(callback, state, dueTime, period);
        if (IsStepped) return new SteppedTimer(this, callback, state, dueTime, period);
        return new ScaledTimer(this, callback, state, dueTime, period);
    }

    DateTimeOffset Running() => IsReal ? _inner.GetUtcNow() : _start + _inner.GetElapsedTime(_innerStart) * Speed!.Value;

    SteppedTimer? NextDue(DateTimeOffset until)
    {
        lock (_gate)
        {
            var next = _timers.Where(t => t.DueAt <= until).MinBy(t => t.DueAt);
            if (next is null) return null;
            if (next.DueAt > _latest) _latest = next.DueAt;
            next.Advance();
            return next;
        }
    }

    static double RequireSpeed(double speed) => double.IsFinite(speed) && speed > 0
        ? speed
        : throw new ArgumentOutOfRangeException(nameof(speed), speed, "A clock runs at a positive number of plant seconds per second.");

    static TimeZoneInfo Zone(TimeSpan offset) =>
        offset == TimeSpan.Zero ? TimeZoneInfo.Utc : TimeZoneInfo.CreateCustomTimeZone("plant", offset, "plant time", "plant time");

    sealed class ScaledTimer : ITimer
    {
        readonly PlantClock _clock;
        readonly ITimer _timer;

        public ScaledTimer(PlantClock clock, TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
        {
            _clock = clock;
            _timer = clock._inner.CreateTimer(callback, state, OnWall(dueTime), OnWall(period));
        }

        public bool Change(TimeSpan dueTime, TimeSpan period) => _timer.Change(OnWall(dueTime), OnWall(period));

        public void Dispose() => _timer.Dispose();

        public ValueTask DisposeAsync() => _timer.DisposeAsync();

        TimeSpan OnWall(TimeSpan plant) => plant <= TimeSpan.Zero ? plant : TimeSpan.FromMilliseconds(Math.Ceiling(plant.TotalMilliseconds / _clock.Speed!.Value));
    }

    sealed class SteppedTimer : ITimer
    {
        readonly PlantClock _clock;
        readonly TimerCallback _callback;
        readonly object? _state;
        TimeSpan _period;
        ITimer? _running;
        bool _gone;

        public SteppedTimer(PlantClock clock, TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
        {
            (_clock, _callback, _state) = (clock, callback, state);
            Change(dueTime, period);
        }

        public DateTimeOffset DueAt { get; private set; }

        public bool Change(TimeSpan dueTime, TimeSpan period)
        {
            lock (_clock._gate)
            {
                if (_running is not null) return _running.Change(dueTime, period);
                if (_gone) return false;
                _clock._timers.Remove(this);
                _period = period;
                if (dueTime == Timeout.InfiniteTimeSpan) return true;
                if (!_clock.IsStepped)
                {
                    _running = new ScaledTimer(_clock, _callback, _state, dueTime, period);
                    return true;
                }

                DueAt = _clock._latest + dueTime;
                _clock._timers.Add(this);
                return true;
            }
        }

        /// <summary>To the next time it is due, or off the list. Called inside the clock's lock.</summary>
        public void Advance()
        {
            if (_period > TimeSpan.Zero) DueAt += _period;
            else _clock._timers.Remove(this);
        }

        public void Fire() => _callback(_state);

        /// <summary>The clock has begun to run: what is left of the wait passes on it.</summary>
        public void Run()
        {
            lock (_clock._gate)
            {
                if (_gone) return;
                var left = DueAt - _clock._latest;
                _running = new ScaledTimer(_clock, _callback, _state, left > TimeSpan.Zero ? left : TimeSpan.Zero, _period > TimeSpan.Zero ? _period : Timeout.InfiniteTimeSpan);
            }
        }

        public void Dispose()
        {
            lock (_clock._gate)
            {
                _gone = true;
                _clock._timers.Remove(this);
                _running?.Dispose();
            }
        }

        public ValueTask DisposeAsync()
        {
            Dispose();
            return ValueTask.CompletedTask;
        }
    }
}
