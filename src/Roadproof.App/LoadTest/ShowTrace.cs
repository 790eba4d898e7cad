using System.Collections.Concurrent;
using Roadproof.App.Frame;
using Roadproof.Engineering.Formats;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Signals;

namespace Roadproof.App.LoadTest;

/// <summary>A piece of a capture's channel, thinned to the width of the picture that asks for it.</summary>
public static class ShowTrace
{
    /// <param name="Minimum">Least sample of each column; null where the column has none.</param>
    public sealed record Answer(string Channel, double FromS, double ToS, double[] TimeS, double?[] Minimum, double?[] Maximum, int Samples, bool Whole);

    internal static readonly Refusal NotAtHand = new("This capture is not at hand any more.", "Captures of runs that passed are retired; their readings and verdict stay.");

    public static void Map(IEndpointRouteBuilder app) => app
        .MapGet("/api/v1/captures/{sha256}/trace", (string sha256, string channel, double? from, double? to, int? points, OpenLine line, RecentCaptures recent) =>
            Run(sha256, channel, from, to, points ?? 1200, line, recent).ToHttp())
        .WithSummary("A channel of a capture, thinned by least and greatest sample for each column");

    public static Outcome<Answer> Run(string sha256, string channel, double? fromS, double? toS, int points, OpenLine line, RecentCaptures recent)
    {
        if (points is < 1 or > 20_000) throw new InputException(new InputError("trace", 0, "points", Invariant($"{points}"), "1 to 20000 columns"));
        if (recent.Find(sha256, line) is not { } table)
            return NotAtHand;
        if (!table.Channels.TryGetValue(channel, out var samples))
            throw new InputException(new InputError("trace", 0, "channel", $"'{channel}'", $"one of {string.Join(", ", table.Channels.Keys.Order(StringComparer.Ordinal))}"));

        var (from, to) = (fromS ?? table.TimeS[0], toS ?? table.TimeS[^1]);
        if (!(to > from)) throw new InputException(new InputError("trace", 0, "to", $"{to.ToString(CultureInfo.InvariantCulture)} s", $"a time after {from.ToString(CultureInfo.InvariantCulture)} s"));
        var thin = Thinning.Of(table.TimeS, samples, from, to, points);
        return new Answer(channel, from, to, thin.TimeS, Gaps(thin.Minimum), Gaps(thin.Maximum), thin.Samples, thin.Whole);
    }

    internal static double?[] Gaps(double[] values) => Array.ConvertAll(values, v => double.IsNaN(v) ? null : (double?)Math.Round(v, 6));
}

/// <summary>The captures that were looked at last, decoded, so that zooming does not read the file anew.</summary>
public sealed class RecentCaptures
{
    // A whole run decoded is about 25 MB: two runs of three files each stay.
    const int Most = 6;

    readonly ConcurrentDictionary<string, CaptureTable> tables = new(StringComparer.Ordinal);
    readonly ConcurrentQueue<string> order = new();

    /// <returns>Null when the bytes are not at hand.</returns>
    public CaptureTable? Find(string sha256, OpenLine line)
    {
        if (tables.TryGetValue(sha256, out var known)) return known;
        using var stream = line.Captures.Open(sha256);
        if (stream is null) return null;
        var table = CaptureFile.Read([(sha256, stream)]).Tables[0];
        if (tables.TryAdd(sha256, table)) order.Enqueue(sha256);
        while (tables.Count > Most && order.TryDequeue(out var oldest)) tables.TryRemove(oldest, out _);
        return table;
    }
}
