namespace Roadproof.Plant.Tests.Stations;

public sealed class PlantClockTests
{
    static readonly DateTimeOffset Start = new(2031, 3, 4, 6, 0, 0, TimeSpan.FromHours(1));

    [Fact]
    public void Runs_as_much_faster_as_it_is_told()
    {
        var wall = new Wall();
        var clock = PlantClock.Scaled(Start, 30, wall);
        wall.Advance(TimeSpan.FromSeconds(10));
        Assert.Equal(Start.AddSeconds(300), clock.GetUtcNow());
        Assert.Equal(TimeSpan.FromSeconds(300), clock.GetElapsedTime(Start.UtcTicks));
    }

    [Fact]
    public void Tells_local_time_with_the_offset_of_its_start() => Assert.Equal(Start, PlantClock.Stepped(Start).GetLocalNow());

    [Fact]
    public void Tells_universal_time_as_such() => Assert.Equal(TimeSpan.Zero, PlantClock.Stepped(Start).GetUtcNow().Offset);

    [Fact]
    public void Does_not_go_back_with_the_wall()
    {
        var wall = new Wall();
        var clock = PlantClock.Real(wall);
        var before = clock.GetUtcNow();
        wall.PutBack(TimeSpan.FromHours(1));
        Assert.Equal(before, clock.GetUtcNow());
        wall.Advance(TimeSpan.FromHours(2));
        Assert.True(clock.GetUtcNow() > before);
    }

    [Fact]
    public void Is_never_set_back()
    {
        var clock = PlantClock.Stepped(Start);
        clock.Set(Start.AddMinutes(5));
        Assert.Contains("never goes back", Assert.Throws<InvalidOperationException>(() => clock.Set(Start.AddMinutes(4))).Message);
        Assert.Equal(Start.AddMinutes(5), clock.GetUtcNow());
    }

    [Fact]
    public void Is_set_only_where_it_is_stepped() => Assert.Throws<InvalidOperationException>(() => PlantClock.Scaled(Start, 2).Set(Start.AddDays(1)));

    [Theory]
    [InlineData(0), InlineData(-1), InlineData(double.NaN), InlineData(double.PositiveInfinity)]
    public void Refuses_a_speed_at_which_no_time_passes(double speed) => Assert.Throws<ArgumentOutOfRangeException>(() => PlantClock.Scaled(Start, speed));

    [Fact]
    public async Task Scaled_timers_wait_plant_time()
    {
        var wall = new Wall();
        var clock = PlantClock.Scaled(Start, 60, wall);
        var minute = Task.Delay(TimeSpan.FromMinutes(1), clock, CancellationToken.None);
        Assert.Equal(TimeSpan.FromSeconds(1), wall.LastDue);
        wall.Advance(TimeSpan.FromMilliseconds(999));
        Assert.False(minute.IsCompleted);
        wall.Advance(TimeSpan.FromMilliseconds(1));
        await minute;
        Assert.Equal(Start.AddMinutes(1), clock.GetUtcNow());
    }

    [Fact]
    public void Scaled_timers_never_fire_before_their_plant_time()
    {
        var wall = new Wall();
        var clock = PlantClock.Scaled(Start, 7, wall);
        DateTimeOffset? fired = null;
        using var timer = clock.CreateTimer(_ => fired = clock.GetUtcNow(), null, TimeSpan.FromMilliseconds(10), Timeout.InfiniteTimeSpan);
        for (var i = 0; i < 5; i++) wall.Advance(TimeSpan.FromMilliseconds(1));
        Assert.True(fired >= Start.AddMilliseconds(10));
    }

    [Fact]
    public void A_stepped_clock_fires_its_timers_in_their_order_on_the_way()
    {
        var clock = PlantClock.Stepped(Start);
        var fired = new List<(string, double)>();
        void Note(string name) => fired.Add((name, (clock.GetUtcNow() - Start).TotalSeconds));
        using var late = clock.CreateTimer(_ => Note("late"), null, TimeSpan.FromSeconds(7), Timeout.InfiniteTimeSpan);
        using var often = clock.CreateTimer(_ => Note("often"), null, TimeSpan.FromSeconds(3), TimeSpan.FromSeconds(3));
        using var gone = clock.CreateTimer(_ => Note("gone"), null, TimeSpan.FromSeconds(1), Timeout.InfiniteTimeSpan);
        gone.Dispose();
        clock.Set(Start.AddSeconds(10));
        Assert.Equal([("often", 3), ("often", 6), ("late", 7), ("often", 9)], fired);
        Assert.Equal(Start.AddSeconds(10), clock.GetUtcNow());
    }

    [Fact]
    public void A_stepped_clock_starts_to_run_from_where_it_stands_and_takes_its_timers_along()
    {
        var wall = new Wall();
        var clock = PlantClock.Stepped(Start, wall);
        var fired = 0;
        using var timer = clock.CreateTimer(_ => fired++, null, TimeSpan.FromSeconds(100), Timeout.InfiniteTimeSpan);
        using var later = clock.CreateTimer(_ => fired += 10, null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
        clock.Set(Start.AddSeconds(40));
        clock.Run(10);
        Assert.Equal(Start.AddSeconds(40), clock.GetUtcNow());
        later.Change(TimeSpan.FromSeconds(70), Timeout.InfiniteTimeSpan);
        wall.Advance(TimeSpan.FromSeconds(5.9));
        Assert.Equal(0, fired);
        wall.Advance(TimeSpan.FromSeconds(0.1));
        Assert.Equal(1, fired);
        wall.Advance(TimeSpan.FromSeconds(1));
        Assert.Equal(11, fired);
        Assert.Equal(Start.AddSeconds(110), clock.GetUtcNow());
        Assert.Throws<InvalidOperationException>(() => clock.Run(2));
        Assert.Throws<InvalidOperationException>(() => clock.Set(Start.AddDays(1)));
    }

    /// <summary>A wall clock by hand, which can be put back as a real one can; its timers fire when it is advanced past them.</summary>
    sealed class Wall : TimeProvider
    {
        readonly List<Timer> _timers = [];
        DateTimeOffset _now = new(2026, 1, 1, 0, 0, 0, TimeSpan.Zero);
        long _ticks;

        public TimeSpan LastDue { get; private set; }
        public override long TimestampFrequency => TimeSpan.TicksPerSecond;

        public override DateTimeOffset GetUtcNow() => _now;

        public override long GetTimestamp() => _ticks;

        public void PutBack(TimeSpan by) => _now -= by;

        public void Advance(TimeSpan by)
        {
            _now += by;
            _ticks += by.Ticks;
            foreach (var timer in _timers.Where(t => t.DueAt <= _ticks).ToList())
            {
                _timers.Remove(timer);
                timer.Fire();
            }
        }

        public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
        {
            LastDue = dueTime;
            var timer = new Timer(this, callback, state, _ticks + dueTime.Ticks);
            _timers.Add(timer);
            return timer;
        }

        sealed class Timer(Wall wall, TimerCallback callback, object? state, long dueAt) : ITimer
        {
            public long DueAt => dueAt;

            public void Fire() => callback(state);

            public bool Change(TimeSpan dueTime, TimeSpan period) => false;

            public void Dispose() => wall._timers.Remove(this);

            public ValueTask DisposeAsync()
            {
                Dispose();
                return ValueTask.CompletedTask;
            }
        }
    }
}
