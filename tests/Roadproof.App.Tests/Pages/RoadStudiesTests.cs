using Roadproof.App.Road;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Tests.Pages;

public sealed class RoadStudiesTests
{
    static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);

    [Fact]
    public async Task What_was_computed_is_not_computed_again()
    {
        using var studies = new RoadStudies();
        var calls = 0;
        string Count(Action done, CancellationToken stop)
        {
            done();
            calls++;
            return "there";
        }

        var first = await studies.Of("a", 1, Count, Patience);
        Assert.Equal(("there", 1, false), (first.Answer, first.Done, first.AtWork));
        Assert.Same(first.Answer, (await studies.Of("a", 1, Count, Patience)).Answer);
        Assert.Equal(1, calls);
        await studies.Of("b", 1, Count, Patience);
        Assert.Equal(2, calls);
    }

    [Fact]
    public async Task A_person_stops_one_that_is_at_work_and_begins_it_again()
    {
        using var studies = new RoadStudies();
        using var begun = new ManualResetEventSlim();
        var calls = 0;
        string Work(Action done, CancellationToken stop)
        {
            if (Interlocked.Increment(ref calls) > 1) return "there";
            done();
            begun.Set();
            stop.WaitHandle.WaitOne();
            stop.ThrowIfCancellationRequested();
            return "never";
        }

        var early = await studies.Of("a", 3, Work, TimeSpan.Zero);
        begun.Wait(TestContext.Current.CancellationToken);
        Assert.True(early.AtWork);
        studies.Stop(early.Id);
        var stopped = await studies.Of("a", 3, Work, Patience);
        Assert.Equal((true, 1, 3), (stopped.Stopped, stopped.Done, stopped.Total));
        Assert.Null(stopped.Answer);
        // It stays stopped however often a page looks, until somebody begins it again.
        Assert.True((await studies.Of("a", 3, Work, Patience)).Stopped);
        studies.Forget(early.Id);
        Assert.Equal("there", (await studies.Of("a", 3, Work, Patience)).Answer);
    }

    [Fact]
    public async Task A_short_one_does_not_wait_for_a_long_one_and_another_long_one_does()
    {
        using var studies = new RoadStudies();
        using var free = new ManualResetEventSlim();
        var token = TestContext.Current.CancellationToken;
        string Long(Action done, CancellationToken stop)
        {
            free.Wait(token);
            return "long";
        }

        await studies.Of("long", 1, Long, TimeSpan.Zero);
        Assert.Equal("short", (await studies.Of("short", 1, (_, _) => "short", Patience, isShort: true)).Answer);
        Assert.True((await studies.Of("next", 1, (_, _) => "next", TimeSpan.Zero)).Waits);
        free.Set();
        Assert.Equal("next", (await studies.Of("next", 1, (_, _) => "never", Patience)).Answer);
    }

    [Fact]
    public async Task One_that_is_stopped_while_it_waits_lets_the_next_go_on()
    {
        using var studies = new RoadStudies();
        using var free = new ManualResetEventSlim();
        var token = TestContext.Current.CancellationToken;
        await studies.Of("long", 1, (_, _) => { free.Wait(token); return ""; }, TimeSpan.Zero);
        var waits = await studies.Of("waits", 1, (_, _) => "never", TimeSpan.Zero);
        studies.Stop(waits.Id);
        Assert.True((await studies.Of("waits", 1, (_, _) => "never", Patience)).Stopped);
        free.Set();
        Assert.Equal("there", (await studies.Of("after", 1, (_, _) => "there", Patience)).Answer);
    }

    [Fact]
    public async Task What_nobody_can_look_at_any_more_is_stopped()
    {
        using var studies = new RoadStudies();
        var (begun, stopped) = (new TaskCompletionSource(), new TaskCompletionSource());
        await studies.Of("left", 1, (_, stop) =>
        {
            begun.SetResult();
            stop.WaitHandle.WaitOne();
            stopped.SetResult();
            return "";
        }, TimeSpan.Zero);
        await begun.Task.WaitAsync(Patience, TestContext.Current.CancellationToken);
        for (var i = 0; i < 24; i++) await studies.Of(FormattableString.Invariant($"more {i}"), 1, (_, _) => "", TimeSpan.Zero);
        await stopped.Task.WaitAsync(Patience, TestContext.Current.CancellationToken);
    }

    [Fact]
    public async Task What_cannot_be_computed_is_told_in_words()
    {
        using var studies = new RoadStudies();
        var refused = await studies.Of<string>("a", 1, (_, _) => throw new InputException(new InputError("ride", 0, "", "no way", "a way", "Send another.")), Patience);
        Assert.Equal("Found no way, expected a way. Send another.", refused.Refused);
        var broken = await studies.Of<string>("b", 1, (_, _) => throw new InvalidOperationException("Two and two."), Patience);
        Assert.Equal("Bug in Roadproof: Two and two. Please report it with these settings.", broken.Refused);
    }

    /// <summary>Answers that hold much are let go of first: three are remembered, and asking for the first again works it out anew; small ones stay.</summary>
    [Fact]
    public async Task Of_large_answers_three_are_remembered()
    {
        using var studies = new RoadStudies();
        var worked = 0;
        Task<RoadStudy<string>> Ask(string key, bool isLarge) => studies.Of(key, 1, (done, _) =>
        {
            Interlocked.Increment(ref worked);
            return key;
        }, isLarge: isLarge);

        await Ask("small", false);
        foreach (var key in new[] { "a", "b", "c", "d" }) Assert.Equal(key, (await Ask(key, true)).Answer);
        Assert.Equal(5, worked);
        await Ask("d", true);
        await Ask("small", false);
        Assert.Equal(5, worked);
        await Ask("a", true);
        Assert.Equal(6, worked);
    }
}
