using Roadproof.App.Frame;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.LoadTest;

/// <summary>How strongly a channel of a run repeats with the rotor: amplitude over order and speed, thinned to the columns of a picture.</summary>
public static class ShowOrderMap
{
    /// <param name="OrderStep">Lines nearer than two of it flow together.</param>
    /// <param name="Orders">Middle of each column, events per turn of the rotor.</param>
    /// <param name="Rows">In the order of time.</param>
    public sealed record Answer(string Channel, string Unit, double OrderStep, double[] Orders, IReadOnlyList<Named> Named, IReadOnlyList<Row> Rows, string Method, IReadOnlyList<string> Warnings);

    public sealed record Named(string Name, double Order);

    /// <param name="Point">Load point in or beside whose window it lies; null far from all.</param>
    /// <param name="Amplitude">Greatest of each column, peak value of a sine; null where the sample rate does not reach.</param>
    /// <param name="Lines">At each named order; null where the sample rate does not reach.</param>
    public sealed record Row(string? Point, double FromS, double ToS, double SpeedRadPerS, double?[] Amplitude, double?[] Lines);

    internal const int UsualColumns = 320;

    public static void Map(IEndpointRouteBuilder app) => app
        .MapGet("/api/v1/units/{unit}/load-tests/{attempt}/orders", (string unit, int attempt, string channel, string? point, int? columns, double? orders, OpenLine line, RecentCaptures recent) =>
            Run(unit, attempt, channel, point, columns ?? UsualColumns, orders, line, recent).ToHttp())
        .WithSummary("Amplitude of a load test's channel over order and speed");

    /// <exception cref="InputException">Columns or orders that cannot be.</exception>
    internal static void Require(int columns, double? highestOrder)
    {
        if (columns is < 1 or > 2_000) throw new InputException(new InputError("orders", 0, "columns", Invariant($"{columns}"), "1 to 2000 columns"));
        if (highestOrder is { } asked && !(asked is >= 1 and <= 10_000)) throw new InputException(new InputError("orders", 0, "orders", Invariant($"{asked}"), "a highest order from 1 to 10000"));
    }

    /// <param name="point">Only this load point, its rows taken together; null for the whole run, row by row.</param>
    /// <param name="highestOrder">The last order shown; null for a little more than three times the first mesh.</param>
    public static Outcome<Answer> Run(string unit, int attempt, string channel, string? point, int columns, double? highestOrder, OpenLine line, RecentCaptures recent)
    {
        Require(columns, highestOrder);
        var found = RunCaptures.Of(unit, attempt, channel, line, recent);
        if (found.Done is not { } run) return found.Refused!;
        var window = point is null ? null : run.WindowOf(point, "orders");
        var map = OrderMap.Of(run.Capture, channel, run.Drive, columns, highestOrder, window?.FromS, window?.ToS);
        var rows = window is null ? map.Rows : [OrderMap.Together(map.Rows)];
        return new Answer(channel, map.Unit, map.OrderStep, Array.ConvertAll(map.Orders, o => Math.Round(o, 4)), [.. map.Named.Select(o => new Named(o.Name, o.PerRotorTurn))],
            [.. rows.Select(r => new Row(run.PointOf(r.FromS, r.ToS), Math.Round(r.FromS, 4), Math.Round(r.ToS, 4), Math.Round(r.SpeedRadPerS, 3), Rounded(r.Amplitude), Rounded(r.Lines)))],
            "Resampled over the rotor's angle, averaged spectra of half-overlapped Hann blocks, the greatest bin of each column; docs/methods/orders.md.", map.Warnings);
    }

    // Three digits: a picture shows no more, and the answer is a third as long.
    static double?[] Rounded(double[] values) => Array.ConvertAll(values, v => double.IsFinite(v) ? (double?)(v == 0 ? 0 : double.Parse(v.ToString("G3", CultureInfo.InvariantCulture), CultureInfo.InvariantCulture)) : null);
}
