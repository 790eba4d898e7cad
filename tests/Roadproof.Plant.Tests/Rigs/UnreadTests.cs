using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Judging;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Statistics;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>A unit cannot pass by a run that does not tell all that its plan asks for, however good the rest is.</summary>
public sealed class UnreadTests
{
    static readonly LoadTestJudge Judge = new(Fixtures.Plan);
    static readonly GeneratedRun Run = RunGenerator.Run(Fixtures.Plan, Deviation.None, RigErrors.None, new() { UnitSeed = 21 });

    static LoadTestVerdict Judged(CaptureTable? slow = null, CaptureTable? fast = null, params CaptureTable[] vibration) =>
        Judge.Judge(new Capture(CaptureHeader.Unknown, [slow ?? Run.Slow, fast ?? Run.Fast, .. vibration]));

    static CaptureTable Until(CaptureTable t, double toS)
    {
        var rows = t.TimeS.Count(s => s <= toS);
        return t with { TimeS = t.TimeS[..rows], Channels = t.Channels.ToDictionary(c => c.Key, c => c.Value[..rows], StringComparer.Ordinal) };
    }

    static CaptureTable Changed(CaptureTable t, string channel, Func<int, float, float> change) => t with
    {
        Channels = t.Channels.ToDictionary(c => c.Key, c => c.Key == channel ? [.. c.Value.Select((x, i) => change(i, x))] : c.Value, StringComparer.Ordinal),
    };

    [Fact]
    public void The_whole_run_of_a_sound_unit_passes()
    {
        var verdict = Judged(vibration: Run.Vibration);
        Assert.Equal(RunVerdict.Pass, verdict.Verdict);
        Assert.Empty(verdict.NotRead);
        Assert.Empty(verdict.Silent);
    }

    [Fact]
    public void Without_its_vibration_a_unit_is_held_and_what_was_not_heard_is_named()
    {
        var none = Judged();
        Assert.Equal(RunVerdict.Hold, none.Verdict);
        Assert.False(StopReasons.IsUnusual(none));
        Assert.Contains("Blow once per turn of the first wheel", none.NotRead);

        // The tooth is looked for where the load is highest, which comes after the file's end.
        var cut = Judged(vibration: Until(Run.Vibration, 50));
        Assert.Equal(RunVerdict.Hold, cut.Verdict);
        Assert.NotEmpty(cut.NotRead);
        Assert.Contains(cut.Warnings, w => w.StartsWith("No vibration was recorded for load point 85-60", StringComparison.Ordinal));
    }

    [Fact]
    public void A_load_point_that_is_unsteady_in_its_window_is_not_passed_over()
    {
        var (fromS, toS) = (Run.Fast.TimeS[0], 0.0);
        foreach (var window in Judged(vibration: Run.Vibration).Windows.Where(w => w.Point == "50-60")) (fromS, toS) = (window.FromS, window.ToS);
        var stepped = Changed(Run.Slow, "output_torque_nm", (i, x) => Run.Slow.TimeS[i] > fromS - 1 && Run.Slow.TimeS[i] < toS + 1 ? x + 3 * MathF.Sign(MathF.Sin((float)(9 * Run.Slow.TimeS[i]))) : x);
        var verdict = Judged(stepped, vibration: Run.Vibration);
        Assert.Equal(RunVerdict.Hold, verdict.Verdict);
        Assert.Contains(verdict.NotRead, n => n.Contains("50 N·m", StringComparison.Ordinal));
    }

    /// <summary>A rig without voltage clamps tells less of every unit; what is left is judged.</summary>
    [Fact]
    public void Without_phase_voltages_the_rest_is_judged()
    {
        var fast = Run.Fast with { Channels = Run.Fast.Channels.Where(c => !c.Key.StartsWith("phase_voltage", StringComparison.Ordinal)).ToDictionary(c => c.Key, c => c.Value, StringComparer.Ordinal) };
        var verdict = Judged(fast: fast, vibration: Run.Vibration);
        Assert.Equal(RunVerdict.Pass, verdict.Verdict);
        Assert.Empty(verdict.NotRead);
        Assert.Contains(verdict.Warnings, w => w.Contains("Without phase voltages", StringComparison.Ordinal));
    }

    /// <summary>Its zero is right and it says nothing of the pull on the crank: a rider who pushes would get no help.</summary>
    [Fact]
    public void A_unit_whose_torque_sensor_tells_nothing_is_judged_and_held()
    {
        var draws = new SeededNoise(5, "reported");
        var verdict = Judged(Changed(Run.Slow, "reported_torque_nm", (_, _) => (float)(0.1 * draws.Normal())), vibration: Run.Vibration);
        Assert.Equal(RunVerdict.Hold, verdict.Verdict);
        Assert.Contains("The unit's torque sensor reports", Assert.Single(verdict.Silent), StringComparison.Ordinal);
    }
}
