using Roadproof.App.Frame;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.LoadTest;

/// <summary>A fast channel of a run over one turn of a shaft: the mean of the turns, and how they differ.</summary>
public static class ShowTurn
{
    /// <param name="PerRotorTurn">Turns of the shaft in one of the rotor.</param>
    /// <param name="Turns">Whole turns laid over each other.</param>
    /// <param name="HighestOrder">What repeats more often in a turn of the shaft is filtered out.</param>
    /// <param name="Mean">At equal angles from 0 on, as the three that follow.</param>
    /// <param name="StandardDeviation">Of single turns; over √turns it is the standard uncertainty of the mean.</param>
    public sealed record Answer(
        string Channel, string Unit, string Shaft, double PerRotorTurn, string? Point, double FromS, double ToS, double SpeedRadPerS, int Turns, double HighestOrder,
        double[] Mean, double[] StandardDeviation, double[] Minimum, double[] Maximum, string Method, IReadOnlyList<string> Warnings);

    public static void Map(IEndpointRouteBuilder app) => app
        .MapGet("/api/v1/units/{unit}/load-tests/{attempt}/turn", (string unit, int attempt, string channel, int? shaft, string? point, double? from, double? to, OpenLine line, RecentCaptures recent) =>
            Run(unit, attempt, channel, shaft ?? 0, point, from, to, line, recent).ToHttp())
        .WithSummary("A fast channel of a load test over one turn of a shaft");

    /// <param name="shaft">0 the rotor, k the wheel of stage k, the last one the output.</param>
    /// <param name="point">A load point with a steady window; null reads from <paramref name="fromS"/> to <paramref name="toS"/>.</param>
    public static Outcome<Answer> Run(string unit, int attempt, string channel, int shaft, string? point, double? fromS, double? toS, OpenLine line, RecentCaptures recent)
    {
        var found = RunCaptures.Of(unit, attempt, channel, line, recent);
        if (found.Done is not { } run) return found.Refused!;
        if (point is not null)
        {
            var window = run.WindowOf(point, "turn");
            (fromS, toS) = (window.FromS, window.ToS);
        }

        var t = ShaftTurn.Of(run.Capture, channel, run.Drive, shaft, fromS, toS);
        return new Answer(channel, t.Unit, t.Shaft, t.PerRotorTurn, point ?? run.PointOf(t.FromS, t.ToS), t.FromS, t.ToS, t.SpeedRadPerS, t.Band.Turns, t.HighestOrder,
            Rounded(t.Band.Mean), Rounded(t.Band.StandardDeviation), Rounded(t.Band.Minimum), Rounded(t.Band.Maximum), "Synchronous average over the shaft's angle; docs/methods/orders.md.", t.Warnings);
    }

    // Seven digits are what the capture's samples have.
    static double[] Rounded(double[] values) => Array.ConvertAll(values, v => (double)(float)v);
}
