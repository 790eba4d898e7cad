using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;
using static System.FormattableString;

namespace Roadproof.Engineering.LoadTest;

/// <summary>Whether the fast recordings are there for every load point that the run shows: a file that ends early or a window that was never started is no run of the whole cycle.</summary>
static class RecordedWindows
{
    /// <exception cref="InputException">The fast samples of a load point are not in the file.</exception>
    public static void Require(IReadOnlyList<LoadPointWindow> found, RunChannels channels)
    {
        var errors = Without(found, channels, channels.FastWindows).Select(p => new InputError(
            channels.Fast.Source, 0, CaptureChannel.Time, Invariant($"no samples for load point {p.Point}, between {p.FromS:0.#} s and {p.ToS:0.#} s{Extent(channels.Fast)}"), "the fast window of every load point",
            "The file was cut short or the recorder missed a window: send the file again, or repeat the run.")).ToList();
        if (errors.Count > 0) throw new InputException(errors);
    }

    /// <summary>What is not recorded of the vibration; which readings that costs is told where they are judged.</summary>
    public static IEnumerable<string> Lacking(IReadOnlyList<LoadPointWindow> found, RunChannels channels) => channels.Vibration is not { } vibration ? []
        : Without(found, channels, channels.VibrationWindows).Select(p => Invariant($"No vibration was recorded for load point {p.Point}, between {p.FromS:0.#} s and {p.ToS:0.#} s{Extent(vibration)}."));

    /// <summary>Load points with a fast window that no window of the recording falls in, from the end of the point before to the start of the next.</summary>
    static IEnumerable<(string Point, double FromS, double ToS)> Without(IReadOnlyList<LoadPointWindow> found, RunChannels channels, IReadOnlyList<Segment> windows)
    {
        var timeS = channels.Slow.TimeS;
        for (var i = 0; i < found.Count; i++)
        {
            if (found[i].Point.WindowForS == 0) continue;
            var fromS = i == 0 ? timeS[0] : timeS[found[i - 1].Steady.To - 1];
            var toS = i + 1 == found.Count ? timeS[^1] : timeS[found[i + 1].Steady.From];
            if (!windows.Any(w => w.FromS < toS && w.ToS > fromS)) yield return (found[i].Point.Id, fromS, toS);
        }
    }

    static string Extent(CaptureTable table) => Invariant($": it has some from {table.TimeS[0]:0.#} s to {table.TimeS[^1]:0.#} s");
}
