using System.Collections.Concurrent;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.LoadTest;
using Roadproof.Plant.Rigs;

namespace Roadproof.Plant.Tests.Rigs;

/// <summary>Runs shared by the tests of this folder, and plain ways to look into their tables.</summary>
static class Runs
{
    static readonly ConcurrentDictionary<Deviation, GeneratedRun> Kept = [];

    /// <summary>A unit on a rig without errors and noise, all at 25 °C at the start.</summary>
    public static GeneratedRun Exact(Deviation? unit = null) => Kept.GetOrAdd(unit ?? Deviation.None, d =>
        RunGenerator.Run(Fixtures.Noiseless, d, RigErrors.None, new() { UnitSeed = 1, AmbientC = 25, UnitStartC = 25 }));

    public static PointTruth Point(this GeneratedRun run, string id) => run.Truth.Points.Single(p => p.Point == id);

    /// <summary>Start of a load point or function test in the run, s.</summary>
    public static double StartS(string point) => Fixtures.Plan.Cycle.Points.TakeWhile(p => p.Id != point).Sum(p => p.HoldS);

    public static double StartS(FunctionTestKind kind) =>
        Fixtures.Plan.Cycle.PointsDurationS + Fixtures.Plan.Cycle.Functions.TakeWhile(f => f.Kind != kind).Sum(f => f.HoldS);

    public static LoadPoint Load(string point) => Fixtures.Plan.Cycle.Points.Single(p => p.Id == point);

    /// <summary>Rows of a table whose time lies in [from, to).</summary>
    public static Range Rows(this CaptureTable table, double fromS, double toS)
    {
        var from = Array.FindIndex(table.TimeS, t => t >= fromS);
        var to = Array.FindLastIndex(table.TimeS, t => t < toS) + 1;
        return from..to;
    }

    public static Range Window(this CaptureTable table, string point)
    {
        var load = Load(point);
        return table.Rows(StartS(point) + load.WindowFromS, StartS(point) + load.WindowFromS + load.WindowForS);
    }

    public static double Mean(this CaptureTable table, string channel, Range rows) => table.Channels[channel].AsSpan(rows).ToArray().Average(x => (double)x);

    public static double Mean(this CaptureTable table, string channel, double fromS, double toS) => table.Mean(channel, table.Rows(fromS, toS));

    /// <summary>Mean d and q of three phase channels in the frame of the reported angle (textbook Clarke and Park, amplitude invariant).</summary>
    public static (double D, double Q) InReportedFrame(this CaptureTable fast, string u, string v, string w, Range rows)
    {
        double d = 0, q = 0;
        var (a, b, c, angle) = (fast.Channels[u], fast.Channels[v], fast.Channels[w], fast.Channels["motor_angle_rad"]);
        var (from, count) = rows.GetOffsetAndLength(a.Length);
        for (var i = from; i < from + count; i++)
        {
            var e = 7 * (double)angle[i];
            d += 2.0 / 3 * (a[i] * Math.Cos(e) + b[i] * Math.Cos(e - Math.Tau / 3) + c[i] * Math.Cos(e + Math.Tau / 3)) / count;
            q -= 2.0 / 3 * (a[i] * Math.Sin(e) + b[i] * Math.Sin(e - Math.Tau / 3) + c[i] * Math.Sin(e + Math.Tau / 3)) / count;
        }

        return (d, q);
    }
}
